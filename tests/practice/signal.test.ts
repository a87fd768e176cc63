import { expect, test } from "vitest";
import { seeded, standardNormal } from "../../src/practice/chance.ts";
import { emptyPan, loaded, nextLine, type Pan } from "../../src/practice/signal.ts";
import { grams, monoMs } from "../../src/units/quantity.ts";
import fc from "../rig/properties.ts";

const form = /^(ST|US),GS,([+-])([ \d]{5}\.\d) g\r\n$/;

function listen(
  pan: Pan,
  fromMs: number,
  toMs: number,
  seed: number,
): { pan: Pan; lines: string[] } {
  const chance = seeded(seed);
  const lines: string[] = [];
  for (let ms = fromMs; ms < toMs; ms += 100) {
    const next = nextLine(pan, monoMs(ms), chance);
    pan = next.pan;
    lines.push(next.line);
  }
  return { pan, lines };
}

function gramsIn(line: string): number {
  const [, , sign, digits] = form.exec(line) ?? [];
  if (digits === undefined) throw new Error(`not of the form: ${JSON.stringify(line)}`);
  return Number(digits) * (sign === "-" ? -1 : 1);
}

test("a line reads as a stability mark, a mode, a sign, a number of fixed width, a unit, CR LF", () => {
  const pan = loaded(emptyPan(monoMs(0)), grams(123.4), monoMs(0));
  const { lines } = listen(pan, 5000, 6000, 1);
  expect(lines.at(-1)).toMatch(/^ST,GS,\+ {2}123\.[345] g\r\n$/);
});

test("every line of any load is of the form, and rest is within half a division of the truth", () => {
  const anyLoad = fc.double({ min: 0, max: 4000, noNaN: true });
  fc.assert(
    fc.property(anyLoad, fc.nat(), (gross, seed) => {
      const placed = loaded(emptyPan(monoMs(0)), grams(gross), monoMs(0));
      const { lines } = listen(placed, 0, 8000, seed);
      for (const line of lines) expect(line).toMatch(form);
      const atRest = lines.slice(-40).map(gramsIn);
      const mean = atRest.reduce((sum, one) => sum + one, 0) / atRest.length;
      expect(Math.abs(mean - gross)).toBeLessThan(0.05);
    }),
  );
});

test("a load rings when it is put down and is marked stable only after that", () => {
  const placed = loaded(emptyPan(monoMs(0)), grams(800), monoMs(0));
  const { pan, lines } = listen(placed, 0, 4000, 7);
  expect(Math.max(...lines.map(gramsIn))).toBeGreaterThan(810);
  expect(lines[0]).toMatch(/^US/);
  expect(lines.slice(0, 8).every((line) => line.startsWith("US"))).toBe(true);
  expect(lines.at(-1)).toMatch(/^ST/);
  const lifted = listen(loaded(pan, grams(0), monoMs(4000)), 4000, 8000, 8).lines;
  expect(Math.abs(gramsIn(lifted.at(-1) ?? ""))).toBeLessThanOrEqual(0.1);
});

test("an empty pan never shows minus zero", () => {
  const { lines } = listen(emptyPan(monoMs(0)), 0, 60_000, 3);
  expect(lines.filter((line) => line.includes("- ") && gramsIn(line) === 0)).toEqual([]);
  expect(lines.some((line) => line === "ST,GS,+    0.0 g\r\n")).toBe(true);
});

test("more than the scale can carry shows as overload, not as a number", () => {
  const { lines } = listen(loaded(emptyPan(monoMs(0)), grams(9000), monoMs(0)), 5000, 5200, 1);
  expect(lines).toEqual(["OL,GS,--------\r\n", "OL,GS,--------\r\n"]);
});

// Mean 0, variance 1 and 2.275 % above 2: the normal distribution's tables.
test("the noise is standard normal and the same for the same seed", () => {
  const draw = (seed: number): number[] => {
    const chance = seeded(seed);
    return Array.from({ length: 40_000 }, () => standardNormal(chance));
  };
  const seen = draw(20261125);
  const mean = seen.reduce((sum, one) => sum + one, 0) / seen.length;
  const variance = seen.reduce((sum, one) => sum + one * one, 0) / seen.length;
  expect(Math.abs(mean)).toBeLessThan(0.02);
  expect(Math.abs(variance - 1)).toBeLessThan(0.03);
  expect(Math.abs(seen.filter((one) => one > 2).length / seen.length - 0.02275)).toBeLessThan(
    0.003,
  );
  expect(draw(20261125)).toEqual(seen);
});
