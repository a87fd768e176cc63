import { mkdirSync, mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterEach, beforeEach, expect, test, vi } from "vitest";
import { systemClock } from "../../src/clock.ts";
import type { LinkReport } from "../../src/port/port.ts";
import {
  NotConnected,
  Supervisor,
  type Connection,
  type ConnectionEvents,
  type Keeping,
} from "../../src/port/supervisor.ts";

beforeEach(() =>
  vi.useFakeTimers({
    toFake: ["setTimeout", "clearTimeout", "setInterval", "clearInterval", "performance", "Date"],
  }),
);
afterEach(() => vi.useRealTimers());

class Line {
  readonly events: ConnectionEvents;
  closed = false;
  probe = (): Promise<void> => Promise.resolve();
  write = (_bytes: Uint8Array): Promise<void> => Promise.resolve();
  constructor(events: ConnectionEvents) {
    this.events = events;
  }
  get connection(): Connection {
    return {
      write: (bytes) => this.write(bytes),
      probe: () => this.probe(),
      close: () => {
        this.closed = true;
        return Promise.resolve();
      },
    };
  }
}

function supervised(more: Partial<Keeping> = {}) {
  const lines: Line[] = [];
  const reports: LinkReport[] = [];
  const heard: string[] = [];
  const tries: number[] = [];
  const state = { absent: false };
  const clock = systemClock();
  const port = new Supervisor({
    clock,
    path: null,
    lostFix: "check the cable",
    chance: () => 0.5,
    connect: (events) => {
      tries.push(clock.mono());
      if (state.absent)
        return Promise.reject(new NotConnected("searching", "not there", "plug it in"));
      const line = new Line(events);
      lines.push(line);
      return Promise.resolve(line.connection);
    },
    ...more,
  });
  const open = async (): Promise<void> => {
    port.open({
      chunk: ({ bytes }) => heard.push(Buffer.from(bytes).toString("latin1")),
      link: (report) => reports.push(report),
    });
    await vi.advanceTimersByTimeAsync(1);
  };
  return { port, lines, reports, heard, tries, state, open };
}

const links = (reports: readonly LinkReport[]): string[] => reports.map(({ link }) => link);

test("bytes of a lost connection that come late are ignored", async () => {
  const { port, lines, heard, open } = supervised();
  await open();
  lines[0]?.events.bytes(Buffer.from("a"));
  lines[0]?.events.lost("pulled");
  await vi.advanceTimersByTimeAsync(300);
  lines[0]?.events.bytes(Buffer.from("stale"));
  lines[0]?.events.lost("pulled again");
  lines[1]?.events.bytes(Buffer.from("b"));
  expect(heard).toEqual(["a", "b"]);
  expect(lines).toHaveLength(2);
  expect(lines[0]?.closed).toBe(true);
  await port.close();
});

test("what waited while the program had no time, twice and in parts, is handed over as it came", async () => {
  let mono = 0;
  const clock = systemClock(1, { monoMs: () => mono, utcMs: () => mono, upMs: () => mono });
  const got: [atMs: number, text: string][] = [];
  const { port, lines } = supervised({ clock });
  port.open({
    chunk: ({ bytes, atMonoMs }) => got.push([atMonoMs, Buffer.from(bytes).toString("latin1")]),
    link: () => undefined,
  });
  const pass = async (ms: number): Promise<void> => {
    mono += ms;
    await vi.advanceTimersByTimeAsync(ms);
  };
  await pass(250);
  lines[0]?.events.bytes(Buffer.from("0\n"));
  expect(got.splice(0)).toEqual([[250, "0\n"]]);
  // Two commits of two seconds: the first ten lines were read between them, and are handed over after the second.
  mono = 2250;
  lines[0]?.events.bytes(Buffer.from("1\n".repeat(10)));
  expect(got).toEqual([]);
  mono = 4250;
  await vi.advanceTimersByTimeAsync(20);
  lines[0]?.events.bytes(Buffer.from("2\n".repeat(10)));
  await pass(20);
  expect(got.map(([, text]) => text).join("")).toBe("1\n".repeat(10) + "2\n".repeat(10));
  const ends = got.filter(([, text]) => text.endsWith("\n")).map(([at]) => at);
  expect(ends).toHaveLength(20);
  for (const [line, at] of ends.entries())
    expect(Math.abs(at - (250 + 201 * (line + 1)))).toBeLessThanOrEqual(20);
  got.length = 0;
  // What waited when the line is lost is not.
  mono += 3000;
  lines[0]?.events.bytes(Buffer.from("3\n"));
  lines[0]?.events.lost("pulled");
  expect(got.map(([, text]) => text).join("")).toBe("3\n");
  mono += 3000;
  await port.close();
});

test("a connection that says nothing of its loss is found out by asking it", async () => {
  const { port, lines, reports, open } = supervised();
  await open();
  (lines[0] as Line).probe = () => Promise.reject(new Error("EIO"));
  await vi.advanceTimersByTimeAsync(260);
  expect(links(reports)).toEqual(["up", "searching"]);
  expect(reports[1]?.why).toContain("EIO");
  await port.close();
});

test("a probe that never answers counts as lost within half a second", async () => {
  const { port, lines, reports, open } = supervised();
  await open();
  (lines[0] as Line).probe = () => new Promise(() => undefined);
  await vi.advanceTimersByTimeAsync(499);
  expect(links(reports)).toEqual(["up", "searching"]);
  await port.close();
});

test("a device that sends is not probed, and one that falls silent for ever is lost within half a second", async () => {
  const { port, lines, reports, open } = supervised();
  await open();
  const line = lines[0] as Line;
  let probes = 0;
  line.probe = () => {
    probes += 1;
    return new Promise(() => undefined);
  };
  for (let sent = 0; sent < 50; sent++) {
    line.events.bytes(Buffer.from("0"));
    await vi.advanceTimersByTimeAsync(20);
  }
  expect(probes).toBe(0);
  expect(links(reports)).toEqual(["up"]);
  await vi.advanceTimersByTimeAsync(479);
  expect(probes).toBe(1);
  expect(links(reports)).toEqual(["up", "searching"]);
  await port.close();
});

test("retries come after 250 ms, 1.6 times as long each time, and never more than 1.5 s apart", async () => {
  const { port, tries, state, reports, open } = supervised();
  state.absent = true;
  await open();
  await vi.advanceTimersByTimeAsync(8000);
  const gaps = tries.slice(1).map((at, index) => Math.round(at - (tries[index] ?? 0)));
  expect(gaps.slice(0, 6)).toEqual([250, 400, 640, 1024, 1500, 1500]);
  expect(reports[0]).toMatchObject({ link: "searching", why: "not there", fix: "plug it in" });
  await port.close();
});

test("a refusal is told as one and tried less and less often", async () => {
  const { port, open, reports, tries } = supervised({
    connect: () => {
      tries.push(performance.now());
      return Promise.reject(new NotConnected("denied", "no permission", "add the user"));
    },
  });
  await open();
  expect(reports[0]).toMatchObject({ link: "denied", fix: "add the user" });
  await vi.advanceTimersByTimeAsync(30_000);
  const last = tries.slice(-2);
  expect(Math.round((last[1] ?? 0) - (last[0] ?? 0))).toBe(5000);
  await port.close();
});

test("the wait begins small again only after ten seconds of a living connection", async () => {
  const { port, lines, tries, open } = supervised();
  await open();
  lines[0]?.events.lost("flap");
  await vi.advanceTimersByTimeAsync(251);
  lines[1]?.events.lost("flap");
  const lostAt = performance.now();
  await vi.advanceTimersByTimeAsync(500);
  expect(tries).toHaveLength(3);
  expect(tries[2]).toBeGreaterThan(tries[1] ?? 0);
  expect(performance.now() - lostAt).toBeGreaterThan(399);
  await vi.advanceTimersByTimeAsync(10_000);
  lines[2]?.events.lost("pulled");
  await vi.advanceTimersByTimeAsync(251);
  expect(tries).toHaveLength(4);
  await port.close();
});

test("nothing is sent while the scale is away, and nothing later", async () => {
  const { port, lines, state, open } = supervised();
  state.absent = true;
  await open();
  await expect(port.write(Buffer.from("T"))).rejects.toThrow("nothing was sent");
  state.absent = false;
  await vi.advanceTimersByTimeAsync(2000);
  let written = 0;
  (lines[0] as Line).write = () => {
    written += 1;
    return Promise.resolve();
  };
  await vi.advanceTimersByTimeAsync(1000);
  expect(written).toBe(0);
  await port.close();
});

test("bytes that are not taken within a second cost the connection, so that they never go out late", async () => {
  const { port, lines, reports, open } = supervised();
  await open();
  (lines[0] as Line).write = () => new Promise(() => undefined);
  const sent = port.write(Buffer.from("T"));
  const refused = expect(sent).rejects.toThrow("took no bytes for 1 s");
  await vi.advanceTimersByTimeAsync(1001);
  await refused;
  expect(lines[0]?.closed).toBe(true);
  expect(links(reports)).toContain("searching");
  await port.close();
});

test("a connection made too late is closed again", async () => {
  let late: (connection: Connection) => void = () => undefined;
  const line = new Line({ bytes: () => undefined, lost: () => undefined });
  let first = true;
  const { port, reports, open } = supervised({
    connect: () => {
      if (!first) return Promise.reject(new Error("busy"));
      first = false;
      return new Promise((resolve) => (late = resolve));
    },
  });
  await open();
  await vi.advanceTimersByTimeAsync(5001);
  expect(reports[0]?.why).toContain("no answer within 5 s");
  late(line.connection);
  await vi.advanceTimersByTimeAsync(1);
  expect(line.closed).toBe(true);
  await port.close();
});

test("a closed port says nothing more, and can be opened again", async () => {
  const { port, lines, reports, open } = supervised();
  await open();
  await port.close();
  lines[0]?.events.lost("late");
  expect(links(reports)).toEqual(["up"]);
  await open();
  expect(links(reports)).toEqual(["up", "up"]);
  await port.close();
});

test("a device file that appears is tried at once, even in a folder that was not there", async () => {
  vi.useRealTimers();
  const folder = mkdtempSync(join(tmpdir(), "stillweight-watch-"));
  const byId = join(folder, "serial", "by-id");
  const { port, tries, state, lines } = supervised({ path: join(byId, "scale"), chance: () => 1 });
  try {
    state.absent = true;
    port.open({ chunk: () => undefined, link: () => undefined });
    // The next try by the timer alone would be 1.2 s after the fourth.
    await expect.poll(() => tries.length).toBe(4);
    state.absent = false;
    const at = performance.now();
    mkdirSync(byId, { recursive: true });
    writeFileSync(join(byId, "scale"), "");
    await expect.poll(() => lines.length, { interval: 5 }).toBe(1);
    expect(performance.now() - at).toBeLessThan(600);
  } finally {
    await port.close();
    rmSync(folder, { recursive: true });
  }
});
