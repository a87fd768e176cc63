import { afterEach, beforeEach, expect, test, vi } from "vitest";
import { openLink, type Link } from "../../web/src/link.ts";
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
let isThere: boolean;
const newest = (): FakeSocket => FakeSocket.all.at(-1) as FakeSocket;
const kinds = (): string[] => told.map((input) => input.is);

beforeEach(() => {
  vi.useFakeTimers();
  FakeSocket.all = [];
  told = [];
  isThere = true;
  const events = { addEventListener: () => undefined, removeEventListener: () => undefined };
  vi.stubGlobal("WebSocket", FakeSocket);
  vi.stubGlobal("window", events);
  vi.stubGlobal("document", { ...events, visibilityState: "visible" });
  vi.stubGlobal("fetch", async () => {
    if (!isThere) throw new TypeError("no answer");
    return new Response("{}");
  });
  link = openLink("ws://here/api/live", "http://here/api/health", (input) => told.push(input));
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

test("a connection that died without a word is found out within 10 s", async () => {
  newest().open();
  isThere = false;
  await vi.advanceTimersByTimeAsync(10_000);
  expect(kinds()).toContain("lost");
});

test("a service that has nothing to say is not taken for a dead one", async () => {
  newest().open();
  await vi.advanceTimersByTimeAsync(120_000);
  expect(kinds()).toEqual(["opened"]);
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
