import { setTimeout as pause } from "node:timers/promises";
import { afterEach, expect, test } from "vitest";
import type { Clock } from "../../src/clock.ts";
import { PagePort, pageGoneAfterMs, type HandedOver } from "../../src/port/page.ts";
import type { Chunk, LinkReport } from "../../src/port/port.ts";
import { monoMs, utcMs } from "../../src/units/quantity.ts";
import { clock as running } from "./fakes.ts";

let port: PagePort;
let nowMs = 1000;
const clock: Clock = {
  ...running,
  mono: () => monoMs(nowMs),
  utc: () => utcMs(1_700_000_000_000 + nowMs),
};
const chunks: Chunk[] = [];
const reports: LinkReport[] = [];

function open(): PagePort {
  nowMs = 1000;
  chunks.length = 0;
  reports.length = 0;
  port = new PagePort(clock);
  port.open({
    chunk: (chunk) => void chunks.push(chunk),
    link: (report) => void reports.push(report),
  });
  return port;
}
afterEach(() => port.close());

const page = "a page of mine";
const said = (text: string, agoMs = 0, sender = page): HandedOver => ({
  sender,
  ended: false,
  chunks: [{ agoMs, bytes: Buffer.from(text) }],
});
const sign = (sender = page): HandedOver => ({ sender, chunks: [], ended: false });
const links = (): string[] => reports.map(({ link }) => link);

test("without a page it is searching and says where it has to be read", () => {
  open();
  expect(reports).toMatchObject([{ link: "searching", why: "no page reads this scale" }]);
  expect(reports[0]?.fix).toContain("Set up");
});

test("bytes carry the time at which the page got them, and never an earlier one than those before", () => {
  open().take(said("a", 40));
  nowMs = 1100;
  port.take(said("b", 20));
  nowMs = 1110;
  port.take(said("c", 500));
  expect(links()).toEqual(["searching", "up"]);
  expect(chunks.map(({ atMonoMs }) => atMonoMs)).toEqual([960, 1080, 1080]);
  expect(chunks.map(({ atUtcMs }) => atUtcMs - 1_700_000_000_000)).toEqual([960, 1080, 1080]);
});

test("a browser counts parts of milliseconds, the record whole ones", () => {
  open().take(said("a", 40.3));
  expect(chunks.map(({ atUtcMs }) => atUtcMs - 1_700_000_000_000)).toEqual([960]);
});

test("a page that lets go, and one that says nothing for a while, are an unplug", async () => {
  open().take(said("a"));
  port.take({ ...sign(), ended: true });
  expect(links()).toEqual(["searching", "up", "searching"]);
  port.take(sign());
  expect(links().at(-1)).toBe("up");
  nowMs += pageGoneAfterMs + 1;
  await expect.poll(() => links().at(-1)).toBe("searching");
  expect(reports.at(-1)?.why).toContain("closed");
});

test("a second page is refused while the first holds the scale, and may have it afterwards", () => {
  open().take(said("a"));
  expect(() => port.take(said("b", 0, "another page"))).toThrow(
    expect.objectContaining({ code: "scale.held" }),
  );
  port.take({ ...sign("another page"), ended: true });
  expect(links().at(-1)).toBe("up");
  port.take({ ...sign(), ended: true });
  port.take(said("c", 0, "another page"));
  expect(chunks.map(({ bytes }) => Buffer.from(bytes).toString())).toEqual(["a", "c"]);
});

test("more than any scale sends is refused whole, and time lets it through again", () => {
  open();
  const much = "x".repeat(60_000);
  port.take(said(much));
  expect(() => port.take(said(much))).toThrow(expect.objectContaining({ code: "scale.too-fast" }));
  expect(chunks).toHaveLength(1);
  nowMs += 4000;
  port.take(said(much));
  expect(chunks).toHaveLength(2);
});

test("what is to be sent goes out with the page's next word, once, or is never sent", async () => {
  open();
  await expect(port.write(Buffer.from("T"))).rejects.toThrow("nothing was sent");
  port.take(sign());
  const sent = port.write(Buffer.from("T\r\n"));
  expect(Buffer.from(port.take(sign())!).toString()).toBe("T\r\n");
  await sent;
  expect(port.take(sign())).toBeNull();
  const lost = port.write(Buffer.from("Z"));
  port.take({ ...sign(), ended: true });
  await expect(lost).rejects.toThrow("nothing was sent");
  expect(port.take(sign())).toBeNull();
});

test("closed and opened again, as after a long silence, it is up at once where the page is still there", async () => {
  open().take(said("a"));
  await port.close();
  await pause(1);
  port.open({ chunk: () => undefined, link: (report) => void reports.push(report) });
  expect(links()).toEqual(["searching", "up", "up"]);
});
