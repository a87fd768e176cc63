import { expect, test } from "vitest";
import { heldBehindFront, iceHours } from "../../src/drying/late.ts";
import { normalQuantile } from "../../src/drying/normal.ts";

const shares = Array.from({ length: 4000 }, (_, i) => (i + 0.5) / 4000);
const meanOf = (values: readonly number[]): number =>
  values.reduce((sum, one) => sum + one, 0) / values.length;

test("the ice of a tray is that of its pieces, whose knees scatter evenly or as a Gaussian", () => {
  for (const spread of [0.05, 0.26])
    for (const bounded of [false, true]) {
      // An even distribution over ±a has the standard deviation a/√3 (GUM 4.3.7, from memory).
      const knees = shares.map(
        (p) => 20 + 20 * spread * (bounded ? Math.sqrt(3) * (2 * p - 1) : normalQuantile(p)),
      );
      for (let hour = 2; hour < 45; hour += 0.7) {
        const pieces = meanOf(knees.map((knee) => Math.max(knee - hour, 0)));
        expect(Math.abs(iceHours(hour, 20, { spread, bounded }) - pieces)).toBeLessThan(0.003);
      }
    }
  // No piece is thicker than the bound.
  expect(iceHours(20 * (1 + Math.sqrt(3) * 0.26), 20, { spread: 0.26, bounded: true })).toBe(0);
});

test("what is still held behind the front is the sum over its layers", () => {
  for (const lifetimes of [0.05, 1, 5, 30, 150]) {
    // The dried share x is reached after the share (x + x²/2)/1.5 of the front's time, for β = 1.
    const steps = 40_000;
    let held = 0;
    for (let i = 0; i < steps; i++) {
      const x = (i + 0.5) / steps;
      held += Math.exp(-lifetimes * (1 - (x + (x * x) / 2) / 1.5)) / steps;
    }
    expect(heldBehindFront(lifetimes) / held).toBeCloseTo(1, 2);
  }
});
