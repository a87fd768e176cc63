import { expect, test } from "vitest";
import { formNames, rates, spoils, tryCase, type Spoil } from "../../bench/recognise/matrix.ts";
import { atOtherSpeed, withParity } from "../../bench/recognise/wire.ts";

/** Forms that leave a fact open or whose meaning a person must confirm. */
const asking = new Set([
  "status-frame",
  "status-frame-sum",
  "bare",
  "implied-point",
  "unit-when-still",
]);

test.each(spoils)("no form is ever taken for another one: %s", (spoil: Spoil) => {
  const seeds = spoil === "wrong speed" ? [0, 1, 2, 3, 4, 5, 6, 7] : [0, 1, 2];
  for (const form of formNames) {
    for (const linesPerS of rates) {
      for (const seed of seeds) {
        const { outcome, why } = tryCase({ form, linesPerS, spoil, seed });
        const wanted = spoil === "wrong speed" ? "refuses" : asking.has(form) ? "asks" : "right";
        expect(outcome, `${form} at ${linesPerS}/s, seed ${seed}: ${why}`).toBe(wanted);
      }
    }
  }
});

test("the line at the wrong speed is one: at the same speed it hands on what was sent, at others it does not", () => {
  const bytes = Buffer.from("ST,GS,+    123.4 g\r\n", "latin1");
  expect(Buffer.from(atOtherSpeed(bytes, 1, 0))).toEqual(bytes);
  expect(Buffer.from(atOtherSpeed(bytes, 1.02, 2))).toEqual(bytes);
  for (const faster of [0.25, 0.5, 2, 4]) {
    expect(Buffer.from(atOtherSpeed(bytes, faster, 0))).not.toEqual(bytes);
  }
});

test("a parity bit makes the ones of a byte even or odd", () => {
  const ones = (byte: number): number => byte.toString(2).replaceAll("0", "").length;
  const bytes = Uint8Array.from({ length: 128 }, (_, byte) => byte);
  expect([...withParity(bytes, "even")].every((byte) => ones(byte) % 2 === 0)).toBe(true);
  expect([...withParity(bytes, "odd")].every((byte) => ones(byte) % 2 === 1)).toBe(true);
});
