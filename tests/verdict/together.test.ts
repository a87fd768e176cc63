import { expect, test } from "vitest";
import { judgeBatch } from "../../src/verdict/judge.ts";

import { fraction, grams } from "../../src/units/quantity.ts";
import type { TrayLog } from "../../src/tray/weighing.ts";
import { logOf, settings } from "./logs.ts";

// Potatoes of 79 % water (USDA SR28 11352: 79.25), on a scale of 5 g; the hours and masses are our own.
const food = { name: "Potatoes", water: fraction(0.79), waterSd: fraction(0.012), source: "" };
const trays = ["A", "B", "C", "D", "E", "F"].map((tray) =>
  logOf(
    [
      [10, 220],
      [18, 120],
      [24, 100],
      [32, 100],
    ],
    { tray, division: 5, fresh: 100 / 0.215, food },
  ),
);

/** As if all but the last round had been weighed on a scale that differs by no one knows what. */
const ofTwoScales = (log: TrayLog): TrayLog => ({
  ...log,
  weighings: log.weighings.map((row, i) =>
    i === log.weighings.length - 1
      ? row
      : {
          ...row,
          otherScale: {
            scale: "scale-1",
            to: "scale-2",
            offset: grams(0),
            u: grams(1e-9),
            isKnown: true,
          },
        },
  ),
});

test("trays too light for a coarse scale are proved dry as one load", () => {
  const { verdict, trays: judged } = judgeBatch(trays, settings);
  expect(verdict).toBe("stable");
  expect(judged.map(({ reasons }) => reasons[0]?.sentence)).toContain("together");
});

test("trays weighed on two scales are not: what the scales differ by is the same error on every tray", () => {
  const { verdict } = judgeBatch(trays.map(ofTwoScales), settings);
  expect(verdict).toBe("unsure");
});

test("a tray that lags behind is not carried by trays that are dry", () => {
  const dried = (tray: string, last: readonly [number, number][]): TrayLog =>
    logOf([[10, 220], [18, 130], ...last], { tray, division: 0.1, fresh: 100 / 0.215, food });
  const dry = ["A", "B", "C"].map((tray) =>
    dried(tray, [
      [24, 101],
      [30, 100.1],
      [34, 100],
    ]),
  );
  const lagging = dried("D", [
    [24, 111],
    [30, 103],
    [34, 102],
  ]);
  const { trays: judged } = judgeBatch([...dry, lagging], settings);
  expect(judged.slice(0, 3).map(({ verdict }) => verdict)).toEqual(["stable", "stable", "stable"]);
  // On its own it is more likely dry than not; with the others as one load it was called stable.
  expect(judged[3]).toMatchObject({ verdict: "unsure" });
  expect(judged[3]!.pDry).toBeGreaterThan(0.5);
});
