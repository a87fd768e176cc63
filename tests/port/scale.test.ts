import { afterEach, beforeEach, expect, test, vi } from "vitest";
import { systemClock, type Clock } from "../../src/clock.ts";
import { openScale, type Scale, type ScaleReport } from "../../src/port/scale.ts";
import type { Reading } from "../../src/reading/reading.ts";
import { MemoryPort } from "./fakes.ts";

const line = "ST,GS,+    123.4 g\r\n";

let port: MemoryPort;
let clock: Clock;
let scale: Scale;
let readings: Reading[];
let reports: ScaleReport[];

beforeEach(() => {
  vi.useFakeTimers({
    toFake: ["setTimeout", "clearTimeout", "setInterval", "clearInterval", "performance", "Date"],
  });
  readings = [];
  reports = [];
});
afterEach(async () => {
  await scale.close();
  vi.useRealTimers();
});

function open(uri = "/dev/ttyUSB0"): void {
  port = new MemoryPort();
  clock = systemClock();
  scale = openScale(
    uri,
    clock,
    { reading: (one) => readings.push(one), link: (one) => reports.push(one) },
    port,
  );
}

const say = (text: string): void => {
  const bytes = Buffer.from(text, "latin1");
  port.listener?.chunk({ bytes, atMonoMs: clock.mono(), atUtcMs: clock.utc() });
};

async function stream(count: number, everyMs = 100, text = line): Promise<void> {
  for (let at = 0; at < count; at++) {
    say(text);
    await vi.advanceTimersByTimeAsync(everyMs);
  }
}

test("a steady scale is recognised in about a second", async () => {
  open();
  port.link("up");
  await stream(10);
  expect(scale.state()).toMatchObject({ link: "up", form: "marked", unit: "g", question: null });
  expect(readings).toHaveLength(9);
});

test("the half line that a connection begins with is never a weight", async () => {
  open("/dev/ttyUSB0?form=number-unit");
  port.link("up");
  say("3.4 g\r\n  123.4 g\r\n");
  expect(readings.map((one) => (one.is === "weight" ? one.mass : one))).toEqual([123.4]);
});

test("a line that begins after a pause is whole: a scale that sends on a key press loses none", async () => {
  open("/dev/ttyUSB0?form=number-unit");
  port.link("up");
  await vi.advanceTimersByTimeAsync(400);
  say("  123.4 g\r\n");
  expect(readings).toHaveLength(1);
});

test("a key of the scale is pressed in the words of its form, or refused", async () => {
  open("/dev/ttyUSB0?form=marked");
  await expect(scale.press("tare")).rejects.toMatchObject({ code: "scale.not-connected" });
  port.link("up");
  await expect(scale.press("tare")).rejects.toMatchObject({ code: "scale.no-such-key" });
  await stream(3);
  await scale.press("tare");
  await scale.press("zero");
  await scale.press("unit");
  expect(port.written).toEqual(["T\r\n", "Z\r\n", "U\r\n"]);
});

test("a key pressed while the scale is away is refused and not sent when it is back", async () => {
  open("/dev/ttyUSB0?form=poll-frame");
  port.link("up");
  await stream(3, 100, "\n 1G      12.300kg \r");
  port.link("searching", "pulled");
  await expect(scale.press("zero")).rejects.toMatchObject({ code: "scale.not-connected" });
  port.link("up");
  await stream(3, 100, "\n 1G      12.300kg \r");
  expect(port.written).toEqual([]);
  await expect(scale.press("unit")).rejects.toMatchObject({ code: "scale.no-such-key" });
  await scale.press("zero");
  expect(port.written).toEqual(["\nZ\r"]);
});

test("a tail at an unplug is not joined with what comes after it", async () => {
  open("/dev/ttyUSB0?form=number-unit");
  port.link("up");
  await vi.advanceTimersByTimeAsync(400);
  say("  123.4 g\r\n  99");
  port.link("searching", "pulled");
  port.link("up");
  await vi.advanceTimersByTimeAsync(400);
  say("9.9 g\r\n");
  expect(readings.map((one) => (one.is === "weight" ? one.mass : one.is))).toEqual([123.4, 9.9]);
});

test("a scale that stops sending is silent after two seconds, opened afresh once, and up when it speaks", async () => {
  open();
  port.link("up");
  await stream(20);
  await vi.advanceTimersByTimeAsync(2300);
  expect(scale.state().link).toBe("silent");
  expect(scale.state().fix).toContain("switch the scale on");
  expect(port.opened).toBe(1);
  await vi.advanceTimersByTimeAsync(9000);
  expect(port.opened).toBe(2);
  port.link("up");
  expect(scale.state().link).toBe("silent");
  await vi.advanceTimersByTimeAsync(30_000);
  expect(port.opened).toBe(2);
  await stream(2);
  expect(scale.state().link).toBe("up");
  expect(reports.map(({ link }) => link).filter((one, at, all) => one !== all[at - 1])).toEqual([
    "up",
    "silent",
    "up",
  ]);
});

test.each(["", "?form=marked"])(
  'a scale at "%s" that sends at its key alone is to be set to send continuously',
  async (options) => {
    open(`/dev/ttyUSB0${options}`);
    port.link("up");
    for (const pause of [20_000, 35_000, 14_000]) {
      await vi.advanceTimersByTimeAsync(400);
      say(line);
      expect(scale.state().link).toBe("up");
      await vi.advanceTimersByTimeAsync(pause);
      // It is opened afresh once in each silence.
      port.link("up");
      expect(scale.state()).toMatchObject({ link: "silent" });
      expect(scale.state().why).toContain("one at a time");
      expect(scale.state().fix).toContain("set the scale to send continuously");
    }
    expect(readings).toHaveLength(options === "" ? 0 : 3);
    port.link("searching", "pulled out");
    port.link("up");
    await vi.advanceTimersByTimeAsync(2500);
    expect(scale.state().why).toContain("nothing readable comes");
  },
);

test("a scale that sends every 8 s is not called silent once its pause is known", async () => {
  open("/dev/ttyUSB0?form=marked");
  port.link("up");
  await vi.advanceTimersByTimeAsync(400);
  await stream(2, 8000);
  reports = [];
  await stream(10, 8000);
  expect(readings).toHaveLength(12);
  expect(reports.filter(({ link }) => link !== "up")).toEqual([]);
});

test("rubbish does not count as speech", async () => {
  open();
  port.link("up");
  await stream(20);
  await stream(9, 300, "?\r\n");
  expect(scale.state()).toMatchObject({ link: "silent", unreadable: 3, form: null });
  expect(scale.state().why).toContain("form of the lines changed");
});

test("a lost scale is told with its reason, and the form is known when it is back", async () => {
  open();
  port.link("up");
  await stream(10);
  port.link("searching", "pulled out");
  expect(scale.state()).toMatchObject({ link: "searching", why: "pulled out", form: "marked" });
  port.link("up");
  await vi.advanceTimersByTimeAsync(400);
  const before = readings.length;
  say(line);
  expect(readings).toHaveLength(before + 1);
});

test("a question is told with its answers, and the answer is taken", async () => {
  open();
  port.link("up");
  await stream(12, 100, "   250.3\r\n");
  expect(reports.at(-1)?.question).toContain("unit");
  expect(readings).toEqual([]);
  scale.chooseForm({ form: "bare", unit: "oz" });
  expect(reports.at(-1)).toMatchObject({ form: "bare", unit: "oz", question: null });
  expect(readings).toHaveLength(11);
});

test("a scale that only answers is asked ten times a second at most, and again when it does not", async () => {
  open("/dev/ttyUSB0?ask=SI%0D%0A");
  await vi.advanceTimersByTimeAsync(3000);
  expect(port.written).toEqual([]);
  port.link("up");
  await vi.advanceTimersByTimeAsync(1);
  expect(port.written).toEqual(["SI\r\n"]);
  await vi.advanceTimersByTimeAsync(998);
  expect(port.written).toHaveLength(1);
  await vi.advanceTimersByTimeAsync(2);
  expect(port.written).toHaveLength(2);
  for (let at = 0; at < 10; at++) {
    say("S S     12.34 g\r\n");
    await vi.advanceTimersByTimeAsync(101);
  }
  expect(port.written).toHaveLength(12);
  port.link("searching");
  await vi.advanceTimersByTimeAsync(3000);
  expect(port.written).toHaveLength(12);
});

test("a silent scale is asked only once a person agreed, at the rate that is set, one question at a time", async () => {
  open();
  port.link("up");
  await vi.advanceTimersByTimeAsync(30_000);
  expect(port.written).toEqual([]);
  scale.askFor({ ask: "P", everyMs: 500 });
  await vi.advanceTimersByTimeAsync(1);
  expect(port.written).toEqual(["P"]);
  for (let at = 1; at <= 4; at++) {
    say("   250.3\r\n");
    await vi.advanceTimersByTimeAsync(499);
    expect(port.written).toHaveLength(at);
    await vi.advanceTimersByTimeAsync(2);
    expect(port.written).toHaveLength(at + 1);
  }
  scale.askFor(null);
  await vi.advanceTimersByTimeAsync(5000);
  expect(port.written).toHaveLength(5);
});

test("what the address says to send goes on, whatever is said of asking", async () => {
  open("/dev/ttyUSB0?ask=SI%0D%0A");
  port.link("up");
  scale.askFor(null);
  await vi.advanceTimersByTimeAsync(1);
  expect(port.written).toEqual(["SI\r\n"]);
});

test("a refused address throws the reason", () => {
  open();
  expect(() =>
    openScale("seriel:x", clock, { reading: () => undefined, link: () => undefined }),
  ).toThrow("did you mean serial:?");
});

test("nothing is told after closing", async () => {
  open();
  port.link("up");
  const { listener } = port;
  await scale.close();
  const told = reports.length;
  listener?.link({ link: "searching", sinceUtcMs: clock.utc(), why: null, fix: null });
  await vi.advanceTimersByTimeAsync(20_000);
  expect(reports).toHaveLength(told);
});
