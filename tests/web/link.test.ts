import { afterEach, beforeEach, expect, test, vi } from "vitest";
import { localTime, openLink, type Link } from "../../web/src/link.ts";
import type { Input } from "../../web/src/state.ts";

/** A socket in memory: what the browser would call is called by hand. */
class FakeSocket {
  static readonly OPEN = 1;
  static all: FakeSocket[] = [];
  readyState = 0;
  onopen: (() => void) | null = null;
  onclose: (() => void) | null = null;
  onmessage: ((event: { data: string }) => void) | null = null;
  readonly address: string;
  constructor(address: string) {
    this.address = address;
    FakeSocket.all.push(this);
  }
  open(): void {
    this.readyState = FakeSocket.OPEN;
    this.onopen?.();
  }
  close(): void {
    this.readyState = 3;
    this.onclose?.();
  }
}

let told: Input[];
let link: Link;
const newest = (): FakeSocket => FakeSocket.all.at(-1) as FakeSocket;
const kinds = (): string[] => told.map((input) => input.is);
/** By the service's clock, which need not be the page's. */
const serviceAt = (agoMs = 0): string => new Date(Date.now() - 7_200_000 - agoMs).toISOString();
const say = (socket: FakeSocket, type = "here", agoMs = 0, more: object = {}): void =>
  socket.onmessage?.({
    data: JSON.stringify({ v: 1, type, seq: 1, at: serviceAt(agoMs), ...more }),
  });

beforeEach(() => {
  vi.useFakeTimers();
  FakeSocket.all = [];
  told = [];
  const events = { addEventListener: () => undefined, removeEventListener: () => undefined };
  vi.stubGlobal("WebSocket", FakeSocket);
  vi.stubGlobal("window", events);
  vi.stubGlobal("document", { ...events, visibilityState: "visible" });
  link = openLink("ws://here/api/live", (input) => told.push(input));
});
afterEach(() => {
  link.close();
  vi.unstubAllGlobals();
  vi.useRealTimers();
});

test("a socket that closes is told at once and opened again by itself, ever and ever", async () => {
  newest().open();
  newest().close();
  expect(kinds()).toEqual(["opened", "lost"]);
  for (let tries = 0; tries < 20; tries++) {
    const before = FakeSocket.all.length;
    await vi.advanceTimersByTimeAsync(4000);
    expect(FakeSocket.all.length).toBeGreaterThan(before);
    newest().close();
  }
});

test("after it came back, the first retry is soon again", async () => {
  newest().open();
  newest().close();
  for (let tries = 0; tries < 10; tries++) {
    await vi.advanceTimersByTimeAsync(4000);
    newest().close();
  }
  await vi.advanceTimersByTimeAsync(4000);
  newest().open();
  newest().close();
  const before = FakeSocket.all.length;
  await vi.advanceTimersByTimeAsync(300);
  expect(FakeSocket.all.length).toBe(before + 1);
});

test("a connection that died without a word is found out within 6 s and opened again", async () => {
  newest().open();
  await vi.advanceTimersByTimeAsync(6000);
  expect(kinds()).toEqual(["opened", "lost"]);
  expect(FakeSocket.all).toHaveLength(2);
});

test("a service that has nothing to say but that it is there is not taken for a dead one", async () => {
  newest().open();
  for (let s = 0; s < 120; s += 2) {
    await vi.advanceTimersByTimeAsync(2000);
    say(newest());
  }
  expect(FakeSocket.all).toHaveLength(1);
  expect(new Set(kinds())).toEqual(new Set(["opened", "message"]));
});

test("a socket that does not come to be open is given up and tried anew", async () => {
  await vi.advanceTimersByTimeAsync(9000);
  expect(FakeSocket.all.length).toBe(2);
  newest().open();
  expect(kinds()).toEqual(["lost", "opened"]);
});

test("a message that was long on its way is as old as it is, by the quickest one before", () => {
  newest().open();
  say(newest(), "reading");
  say(newest(), "reading", 2000);
  expect(told.at(-1)).toMatchObject({ is: "message", localMs: localTime() - 2000 });
});

test("what comes out of a backlog is told by nobody, and a new connection begins with the present", async () => {
  newest().open();
  say(newest(), "reading");
  const before = newest();
  say(before, "reading", 60_000);
  say(before, "reading", 59_000);
  expect(kinds()).toEqual(["opened", "message", "lost"]);
  await vi.advanceTimersByTimeAsync(500);
  expect(newest()).not.toBe(before);
  newest().open();
  say(newest(), "reading", 60_000);
  expect(kinds().slice(3)).toEqual(["opened", "message"]);
});

test("when a load came to rest is told with the moment of its last reading, and is no backlog", () => {
  newest().open();
  say(newest(), "reading");
  say(newest(), "settled", 9000);
  expect(told.at(-1)).toMatchObject({ is: "message", localMs: localTime() });
});

test("a clock that runs faster, or another one when practice ends, is no delay", () => {
  newest().open();
  const bench = (timeFactor: number): object => ({ bench: { timeFactor } });
  const fast = (ranMs: number): void =>
    say(newest(), "bench", 7_200_000 - ranMs * 3600, bench(3600));
  fast(0);
  vi.advanceTimersByTime(4000);
  fast(4000);
  vi.advanceTimersByTime(4000);
  fast(8000);
  say(newest(), "bench", 0, bench(1));
  vi.advanceTimersByTime(1000);
  say(newest(), "reading");
  expect(kinds()).toEqual(["opened", "message", "message", "message", "message", "message"]);
  expect(told.at(-1)).toMatchObject({ localMs: localTime() });
});

test("a phone whose clock is set back by an hour notices a dead connection as soon as ever", async () => {
  newest().open();
  say(newest());
  const before = localTime();
  vi.setSystemTime(Date.now() - 3_600_000);
  expect(localTime()).toBe(before);
  await vi.advanceTimersByTimeAsync(6000);
  expect(kinds()).toContain("lost");
  expect(localTime()).toBe(before + 6000);
});

test("what is no message is passed over", () => {
  newest().open();
  for (const data of ["", "{", "null", "7", '{"no":"type"}']) newest().onmessage?.({ data });
  expect(kinds()).toEqual(["opened"]);
  newest().onmessage?.({ data: '{"v":1,"type":"lifted","seq":1,"at":"2026-03-14T16:05:00Z"}' });
  expect(kinds()).toEqual(["opened", "message"]);
});

test("a closed link stays closed", async () => {
  newest().open();
  link.close();
  await vi.advanceTimersByTimeAsync(60_000);
  expect(FakeSocket.all).toHaveLength(1);
});
