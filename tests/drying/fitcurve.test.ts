import { expect, test } from "vitest";
import { fitFreely, fitPage, type CurvePoint } from "../../src/drying/fitcurve.ts";

const pointsOf = (hours: readonly number[], netAt: (hour: number) => number): CurvePoint[] =>
  hours.map((hour) => ({ hour, netGrams: netAt(hour), uGrams: 0.1 }));
const hours = [0, 2, 4, 6, 8, 10, 12, 14];

// A closed form: exact points of a simple exponential have one answer.
test.each([
  [90, 910, 5],
  [200, 400, 9],
  [48, 952, 3],
])("exact points of %d + %d·e^(−t/%d) give these three numbers back", (end, fall, tau) => {
  const fit = fitFreely(pointsOf(hours, (t) => end + fall * Math.exp(-t / tau)));
  if (fit.is !== "fitted") return expect(fit).toBe("fitted");
  expect(fit.values[0]).toBeCloseTo(end, 6);
  expect(fit.values[1]).toBeCloseTo(fall, 6);
  expect(fit.values[2]).toBeCloseTo(tau, 8);
});

test("a straight line has no end to find", () => {
  expect(fitFreely(pointsOf(hours, (t) => 1000 - 40 * t)).is).toBe("not-identifiable");
});

test("a level has no end to find", () => {
  expect(fitFreely(pointsOf(hours, () => 300)).is).toBe("not-identifiable");
});

test("three points for three parameters are too few", () => {
  expect(fitFreely(pointsOf([0, 4, 8], (t) => 90 + 910 * Math.exp(-t / 5))).is).toBe("too-few");
});

const prior = { freshGrams: 1000, endGrams: 92, endSdGrams: 12 };
const page = (t: number) => 92 + 908 * Math.exp(-((t / 9) ** 1.2));

test("Page's own points at the prior's end are met, and τ and n come back", () => {
  const answer = fitPage(pointsOf([6, 9, 12, 15, 18, 24], page), prior);
  if (answer.is !== "fitted") return expect(answer).toBe("fitted");
  const [end, lnTau, n] = answer.page.fit.values;
  expect(end).toBeCloseTo(92, 2);
  expect(Math.exp(lnTau!)).toBeCloseTo(9, 2);
  expect(n).toBeCloseTo(1.2, 3);
  expect(answer.page.netAt(0)).toBe(1000);
});

test("before the knee the weighings say no more of the end than the food does", () => {
  const answer = fitPage(
    pointsOf([4, 6, 8], (t) => 1000 - 60 * t),
    prior,
  );
  if (answer.is !== "fitted") return expect(answer).toBe("fitted");
  expect(answer.page.fit.standardErrors[0]).toBeGreaterThan(0.8 * prior.endSdGrams);
  expect(answer.page.fit.values[0]).toBeGreaterThan(0);
});

test("one weighing carries no curve, and a tray that has lost nothing none either", () => {
  expect(fitPage(pointsOf([6], page), prior).is).toBe("too-few");
  expect(
    fitPage(
      pointsOf([6, 9], () => 1000),
      prior,
    ).is,
  ).toBe("not-identifiable");
});

test("the drawn curves agree with the fit within its own errors, and their weights are a whole", () => {
  const answer = fitPage(pointsOf([6, 9, 12, 15], page), prior);
  if (answer.is !== "fitted") return expect(answer).toBe("fitted");
  const { drawn, fit } = answer.page;
  expect(drawn.reduce((sum, { weight }) => sum + weight, 0)).toBeCloseTo(1, 9);
  const effective = 1 / drawn.reduce((sum, { weight }) => sum + weight ** 2, 0);
  expect(effective).toBeGreaterThan(20);
  const endMean = drawn.reduce((sum, one) => sum + one.weight * one.netAt(1e6), 0);
  expect(Math.abs(endMean - fit.values[0]!)).toBeLessThan(fit.standardErrors[0]!);
});
