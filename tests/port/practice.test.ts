import { afterEach, beforeEach, expect, test, vi } from "vitest";
import type { LinkReport } from "../../src/port/port.ts";
import { practicePort } from "../../src/port/practice.ts";
import { grams } from "../../src/units/quantity.ts";
import { clockOfTimers } from "./fakes.ts";

beforeEach(() => void vi.useFakeTimers());
afterEach(() => void vi.useRealTimers());

function listen(): { port: ReturnType<typeof practicePort>; lines: string[]; links: LinkReport[] } {
  const port = practicePort(clockOfTimers, 1);
  const lines: string[] = [];
  const links: LinkReport[] = [];
  port.open({
    chunk: ({ bytes }) => void lines.push(Buffer.from(bytes).toString("latin1")),
    link: (report) => void links.push(report),
  });
  return { port, lines, links };
}

test("the link is up at once and ten lines a second come", () => {
  const { lines, links } = listen();
  vi.advanceTimersByTime(3000);
  expect(links.map((report) => report.link)).toEqual(["up"]);
  expect(lines).toHaveLength(30);
});

test("a load that is placed shows, and is gone once lifted", () => {
  const { port, lines } = listen();
  port.place(grams(250));
  vi.advanceTimersByTime(4000);
  expect(lines.at(-1)).toMatch(/^ST,GS,\+ {2}(249\.9|250\.0|250\.1) g\r\n$/);
  port.lift();
  vi.advanceTimersByTime(4000);
  expect(lines.at(-1)).toMatch(/^ST,GS,[+-] {4}0\.[01] g\r\n$/);
});

test("a closed port is silent and may be opened again", async () => {
  const { port, lines } = listen();
  vi.advanceTimersByTime(1000);
  await port.close();
  vi.advanceTimersByTime(1000);
  expect(lines).toHaveLength(10);
  port.open({ chunk: () => void lines.push("again"), link: () => {} });
  vi.advanceTimersByTime(1000);
  expect(lines).toHaveLength(20);
});

test("what is sent to the practice scale changes nothing", async () => {
  const { port, lines } = listen();
  port.place(grams(250));
  await port.write(Buffer.from("T\r\n"));
  vi.advanceTimersByTime(4000);
  expect(lines.at(-1)).toMatch(/250\.0|249\.9|250\.1/);
});
