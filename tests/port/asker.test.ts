import { afterEach, beforeEach, expect, test, vi } from "vitest";
import { Asker } from "../../src/port/asker.ts";

beforeEach(() => void vi.useFakeTimers());
afterEach(() => void vi.useRealTimers());

test("a port that takes no question is not given a second one, however long it lasts", async () => {
  let asked = 0;
  let take: () => void = () => undefined;
  const asker = new Asker(() => {
    asked += 1;
    return new Promise((resolve) => (take = resolve));
  });
  asker.start();
  await vi.advanceTimersByTimeAsync(60_000);
  expect(asked).toBe(1);
  take();
  await vi.advanceTimersByTimeAsync(1000);
  expect(asked).toBe(2);
  asker.stop();
});

test("a question that fails, or has no answer, is asked again after a second; the rate is never less than set", async () => {
  let asked = 0;
  const failing = new Asker(() => {
    asked += 1;
    return Promise.reject(new Error("gone"));
  });
  failing.start();
  await vi.advanceTimersByTimeAsync(5001);
  expect(asked).toBe(6);
  failing.stop();
  asked = 0;
  const slow = new Asker(() => Promise.resolve(void (asked += 1)), 10_000);
  slow.start();
  await vi.advanceTimersByTimeAsync(20_001);
  expect(asked).toBe(3);
  slow.stop();
});

test("a flood of lines asks no faster", async () => {
  let asked = 0;
  const asker = new Asker(() => Promise.resolve(void (asked += 1)), 200);
  asker.start();
  for (let ms = 0; ms < 1000; ms++) {
    await vi.advanceTimersByTimeAsync(1);
    asker.answered();
  }
  expect(asked).toBeLessThanOrEqual(6);
  asker.stop();
});
