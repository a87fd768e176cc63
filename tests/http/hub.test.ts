import { EventEmitter } from "node:events";
import { afterEach, beforeEach, describe, expect, test, vi } from "vitest";
import { systemClock } from "../../src/clock.ts";
import {
  goneAboveBytes,
  goneAfterMs,
  Hub,
  mostPages,
  mostPagesOfOne,
  mostWords,
  readingsPerSecond,
  slowAboveBytes,
  type Socket,
} from "../../src/http/hub.ts";
import type { Shown } from "../../src/service/service.ts";
import fc from "../rig/properties.ts";
import { at, bench, fakeService, scale, weighing } from "./fake.ts";

type Told = { type: string; seq: number; v: number; at: string; scale?: string; grams?: number };

class Page extends EventEmitter implements Socket {
  bufferedAmount = 0;
  readonly told: Told[] = [];
  readonly atMs: number[] = [];
  pings = 0;
  closed: number | "terminated" | null = null;
  send(text: string): void {
    this.told.push(JSON.parse(text) as Told);
    this.atMs.push(performance.now());
  }
  ping(): void {
    this.pings += 1;
  }
  close(code: number): void {
    this.closed = code;
  }
  terminate(): void {
    this.closed = "terminated";
    this.emit("close");
  }
  types(): string[] {
    return this.told.map((message) => message.type);
  }
  forget(): void {
    this.told.length = 0;
    this.atMs.length = 0;
  }
}

const reading = (grams: number, id = "practice"): Shown => ({
  type: "reading",
  at,
  scale: id,
  state: "weight",
  grams,
  settled: false,
  division: 0.1,
  unit: "g",
});
const settled = (grams: number): Shown => ({
  type: "settled",
  at,
  scale: "practice",
  grams,
  division: 0.1,
  zeroSeen: true,
});
const lost: Shown = {
  type: "link",
  at,
  scale: "practice",
  link: "searching",
  form: null,
  unit: null,
  why: "unplugged",
};
const benchShown = (program: string): Shown => ({
  type: "bench",
  at,
  bench: { ...bench, program },
});

let service = fakeService();
let hub = new Hub(service, systemClock());
const open = (): Page => {
  const page = new Page();
  hub.add(page);
  return page;
};

beforeEach(() => {
  vi.useFakeTimers();
  service = fakeService();
  hub = new Hub(service, systemClock());
});
afterEach(async () => {
  await Promise.all([hub.close(), vi.advanceTimersByTimeAsync(1000)]);
  vi.useRealTimers();
});

describe("a page that comes", () => {
  test("gets the present first, then what happens", () => {
    service.bench = () => ({ ...bench, scales: [scale("one"), scale("two")] });
    const page = open();
    service.show(settled(512.4));
    expect(page.types()).toEqual(["link", "reading", "link", "reading", "bench", "settled"]);
    expect(page.told.map((message) => message.scale).slice(0, 4)).toEqual([
      "one",
      "one",
      "two",
      "two",
    ]);
    expect(page.told[1]).toMatchObject({ v: 1, grams: 512.4, settled: true, division: 0.1 });
  });

  test("is told the service's time, not the computer's", () => {
    const fast = new Hub(service, { ...systemClock(), utc: () => 0 as never });
    const page = new Page();
    fast.add(page);
    expect(page.told[0]?.at).toBe("1970-01-01T00:00:00.000Z");
    void fast.close();
  });

  test("gets numbers that rise, whatever happens", () => {
    fc.assert(
      fc.property(
        fc.array(
          fc.oneof(
            fc.constantFrom<Shown>(
              reading(1),
              reading(2, "other"),
              settled(1),
              lost,
              benchShown("x"),
            ),
            fc.integer({ min: 0, max: 200 }),
            fc.constantFrom("slow" as const, "quick" as const),
          ),
          { maxLength: 60 },
        ),
        (steps) => {
          const page = open();
          for (const step of steps) {
            if (typeof step === "number") vi.advanceTimersByTime(step);
            else if (typeof step === "string")
              page.bufferedAmount = step === "slow" ? slowAboveBytes + 1 : 0;
            else service.show(step);
          }
          const seq = page.told.map((message) => message.seq);
          expect(seq).toEqual([...new Set(seq)].toSorted((a, b) => a - b));
          page.emit("close");
        },
      ),
    );
  });

  test("is sent away when there are too many, and let in when one has gone", () => {
    const pages = Array.from({ length: mostPages }, open);
    const tooMany = open();
    expect(tooMany.closed).toBe(1013);
    expect(tooMany.told).toEqual([]);
    pages[0]?.emit("close");
    expect(open().told.length).toBeGreaterThan(0);
  });
});

describe("readings", () => {
  test("the first is told at once, and of the rest the newest of each slot", () => {
    const page = open();
    vi.advanceTimersByTime(2000);
    page.forget();
    for (let grams = 1; grams <= 5; grams++) service.show(reading(grams));
    expect(page.told.map((message) => message.grams)).toEqual([1]);
    vi.advanceTimersByTime(50);
    expect(page.told.map((message) => message.grams)).toEqual([1, 5]);
    vi.advanceTimersByTime(1000);
    expect(page.told).toHaveLength(2);
  });

  test("come at most 20 times in any second, all scales together, and none is forgotten", () => {
    fc.assert(
      fc.property(
        fc.array(fc.record({ scale: fc.nat(3), waitMs: fc.nat(30), event: fc.boolean() }), {
          minLength: 100,
          maxLength: 300,
        }),
        (steps) => {
          const page = open();
          const newest = new Map<string, number>();
          for (const [n, { scale: which, waitMs, event }] of steps.entries()) {
            const id = `scale ${which}`;
            newest.set(id, n);
            service.show(reading(n, id));
            if (event) service.show({ ...lost, scale: id } as Shown);
            vi.advanceTimersByTime(waitMs);
          }
          vi.advanceTimersByTime(3000);
          const readings = page.told.flatMap((message, n) =>
            message.type === "reading" ? [{ ...message, ms: page.atMs[n] ?? 0 }] : [],
          );
          for (const { ms } of readings) {
            const within = readings.filter((one) => one.ms >= ms && one.ms < ms + 1000);
            expect(within.length).toBeLessThanOrEqual(readingsPerSecond);
          }
          for (const [id, grams] of newest)
            expect(readings.findLast((one) => one.scale === id)).toMatchObject({ grams });
          page.emit("close");
        },
      ),
      { numRuns: 30 },
    );
  });

  test("a lost link is not followed by the weight from before it", () => {
    const page = open();
    service.show(reading(1));
    service.show(reading(2));
    service.show(lost);
    vi.advanceTimersByTime(1000);
    expect(page.told.at(-2)).toMatchObject({ type: "reading", grams: 2 });
    expect(page.told.at(-1)).toMatchObject({ type: "link", link: "searching" });
  });

  test("one text is made for all pages", () => {
    const pages = [open(), open(), open()];
    const made = vi.spyOn(JSON, "stringify");
    service.show(reading(1));
    service.show(settled(1));
    service.show(benchShown("x"));
    expect(made).toHaveBeenCalledTimes(3);
    made.mockRestore();
    const last = pages.map((page) => page.told.at(-1));
    expect(last[1]).toEqual(last[0]);
    expect(last[2]).toEqual(last[0]);
  });
});

describe("a page that reads too slowly", () => {
  test("gets no readings and one bench, the newest, once it has caught up; the rest in order", () => {
    const page = open();
    page.forget();
    page.bufferedAmount = slowAboveBytes + 1;
    service.show(reading(1));
    service.show(benchShown("older"));
    service.show({ type: "weighing", at, weighing, name: "Tray 1" });
    service.show(benchShown("newer"));
    service.show(reading(2));
    vi.advanceTimersByTime(500);
    expect(page.types()).toEqual(["weighing"]);
    page.bufferedAmount = 0;
    vi.advanceTimersByTime(50);
    expect(page.types()).toEqual(["weighing", "bench", "reading"]);
    expect(page.told[1]).toMatchObject({ bench: { program: "newer" } });
    expect(page.told[2]).toMatchObject({ grams: 2 });
    vi.advanceTimersByTime(1000);
    expect(page.told).toHaveLength(3);
  });

  test("does not hold up the others", () => {
    const slow = open();
    const quick = open();
    slow.bufferedAmount = slowAboveBytes + 1;
    vi.advanceTimersByTime(2000);
    quick.forget();
    service.show(reading(1));
    service.show(benchShown("x"));
    expect(quick.types()).toEqual(["reading", "bench"]);
  });

  test("is let go before it costs memory", () => {
    const page = open();
    page.bufferedAmount = goneAboveBytes + 1;
    page.forget();
    service.show(settled(1));
    expect(page.closed).toBe("terminated");
    expect(page.told).toEqual([]);
    expect(hub.measures().map((one) => one.values[0]?.value)).toEqual([0, 1]);
  });

  test("is let go when it has not answered for 30 s", () => {
    const dead = open();
    const alive = open();
    const pong = setInterval(() => alive.emit("pong"), 5000);
    vi.advanceTimersByTime(goneAfterMs);
    expect(dead.closed).toBeNull();
    vi.advanceTimersByTime(10_000);
    expect(dead.closed).toBe("terminated");
    expect(dead.pings).toBeGreaterThanOrEqual(3);
    expect(alive.closed).toBeNull();
    clearInterval(pong);
  });
});

test("one device may follow with so many pages, and leaves room for another", () => {
  const all = Array.from({ length: mostPagesOfOne + 1 }, () => new Page());
  for (const page of all) hub.add(page, 7);
  expect(all.map(({ closed }) => closed).filter((one) => one !== null)).toEqual([1013]);
  const other = new Page();
  hub.add(other, 8);
  expect(other.closed).toBeNull();
  expect(other.types()).toContain("bench");
});

describe("a page to which nothing happens", () => {
  test("is told every 2 s that it is followed, unless it takes nothing", () => {
    const [page, slow] = [open(), open()];
    slow.bufferedAmount = slowAboveBytes + 1;
    page.forget();
    slow.forget();
    vi.advanceTimersByTime(10_000);
    expect(page.types()).toEqual(["here", "here", "here", "here", "here"]);
    expect(slow.told).toEqual([]);
  });
});

describe("a page that speaks", () => {
  test("is let go when it goes on and on", () => {
    const [page, quiet] = [open(), open()];
    for (let n = 0; n < mostWords; n++) page.emit("message", Buffer.from("x"));
    expect(page.closed).toBeNull();
    page.emit("message", Buffer.from("x"));
    expect(page.closed).toBe("terminated");
    expect(quiet.closed).toBeNull();
  });

  test("is answered once that nobody listens, and stays", () => {
    const page = open();
    page.forget();
    for (let n = 0; n < mostWords; n++) page.emit("message", Buffer.from("{"));
    expect(page.told).toHaveLength(1);
    expect(page.told[0]).toMatchObject({ type: "problem", problem: { status: 400 } });
    service.show(settled(1));
    expect(page.types()).toEqual(["problem", "settled"]);
  });
});

describe("the end", () => {
  test("every page hears 1001, one that does not answer is cut off, and the service is let go", async () => {
    const polite = open();
    const deaf = open();
    polite.close = (code) => {
      polite.closed = code;
      polite.emit("close");
    };
    const closing = hub.close();
    await vi.advanceTimersByTimeAsync(1000);
    await closing;
    expect(polite.closed).toBe(1001);
    expect(deaf.closed).toBe("terminated");
    expect(service.listeners()).toBe(0);
    service.show(settled(1));
  });
});
