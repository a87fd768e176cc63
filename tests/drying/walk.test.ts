import { expect, test } from "vitest";
import { combination, observe } from "../../src/drying/gaussian.ts";
import { heldAfter, iceHours } from "../../src/drying/late.ts";
import { normalBelow } from "../../src/drying/normal.ts";
import { bendAt, roughlyBelow } from "../../src/drying/normaltable.ts";
import { beliefAfter, noneYet, weighAll, type Course } from "../../src/drying/walk.ts";
import fc from "../rig/properties.ts";

const between = (min: number, max: number) => fc.double({ min, max, noNaN: true });

/** Four weighings, and a stop before the second, before the last and after it. */
const courses = fc
  .record({
    masses: fc.array(between(80, 140), { minLength: 4, maxLength: 4 }),
    sd: between(0.1, 5),
    knee: between(8, 30),
    spread: between(0.02, 0.3),
    bounded: fc.boolean(),
    k: between(0.05, 1),
  })
  .map(({ masses, sd, knee, spread, bounded, k }) => {
    const hours = [12, 16, 20, 24];
    const stopHours = [14, 23, 26];
    const ice = (hour: number) => iceHours(hour, knee, { spread, bounded });
    const since = (hour: number) => hour - knee + ice(hour);
    const flat = Float64Array.from(hours, () => -Infinity);
    const course: Course = {
      rows: 4,
      mass: Float64Array.from(masses),
      variance: Float64Array.from(hours, () => sd ** 2),
      ice: Float64Array.from(hours, ice),
      since: Float64Array.from(hours, since),
      stops: 3,
      stopRow: Int32Array.from([1, 3, 4]),
      stopIce: Float64Array.from(stopHours, ice),
      stopSince: Float64Array.from(stopHours, since),
      restMass: Float64Array.from(masses, (_, i) => masses.at(-1)! + 0.1 * i),
      restVariance: Float64Array.from(hours, () => sd ** 2 / 2),
      restLog: Float64Array.from(hours, (_, i) => -0.3 * i),
      mostStopped: flat.map(() => Infinity),
      mostWorking: flat.map(() => Infinity),
    };
    return { course, k };
  });

const start = Float64Array.from([90, 4, 6, 64, 0, 0, 9, 0, 25]);
const limitPerGram = 0.0098;

test("the sums written out for speed are those of the Gaussian that they stand for", () => {
  fc.assert(
    fc.property(courses, ({ course, k }) => {
      const log = new Float64Array(4);
      const dry = new Float64Array(4);
      const best = noneYet(4, Float64Array.of(0, 12, 12, 12));
      const answers = { log, dry, offset: 0 };
      const way = { k, logPrior: -1.5, logStops: 0, limitPerGram };
      weighAll(course, start, way, answers, best);
      const belief = Float64Array.from(start);
      let sum = -1.5;
      const expected: number[] = [];
      for (let row = 0; row < 4; row++) {
        for (const [stop, before] of course.stopRow.entries())
          if (before === row)
            expected[stop + 1] =
              sum +
              course.restLog[row]! +
              observe(
                Float64Array.from(belief),
                course.stopIce[stop]!,
                heldAfter(course.stopSince[stop]!, k),
                course.restMass[row]!,
                course.restVariance[row]!,
              );
        sum += observe(
          belief,
          course.ice[row]!,
          heldAfter(course.since[row]!, k),
          course.mass[row]!,
          course.variance[row]!,
        );
      }
      expected[0] = sum;
      // A stop after the last weighing is none.
      expected[3] = sum;
      for (const [h, value] of expected.entries()) expect(log[h]! / value).toBeCloseTo(1, 9);
      for (const [h, stop] of [null, 0, 1, null].entries()) {
        const after = beliefAfter(course, start, k, h);
        const ice = stop === null ? course.ice[3]! : course.stopIce[stop]!;
        const since = stop === null ? course.since[3]! : course.stopSince[stop]!;
        const over = combination(after, -limitPerGram, ice, heldAfter(since, k));
        if (log[h]! < best.any - 12) continue;
        expect(dry[h]).toBeCloseTo(normalBelow(-over.mean / Math.sqrt(over.variance)), 3);
      }
    }),
    { numRuns: 200, seed: 20261125 },
  );
});

test("the table of the normal distribution keeps to its closed forms", () => {
  for (let z = -7.99; z < 8; z += 0.037) {
    const density = Math.exp(-0.5 * z * z) / Math.sqrt(2 * Math.PI);
    expect(Math.abs(roughlyBelow(z) - normalBelow(z))).toBeLessThan(2e-5);
    expect(Math.abs(bendAt(z) - (density + z * normalBelow(z)))).toBeLessThan(1e-8);
  }
  // Φ(1.959964) = 0.975 (NIST/SEMATECH e-Handbook 1.3.6.7.1).
  expect(roughlyBelow(1.959964)).toBeCloseTo(0.975, 4);
  expect([roughlyBelow(-9), roughlyBelow(9)]).toEqual([0, 1]);
});
