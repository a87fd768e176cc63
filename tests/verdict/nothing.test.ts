import { expect, test } from "vitest";
import { judgeBatch } from "../../src/verdict/judge.ts";
import type { FoodOnTray, TrayLog } from "../../src/tray/weighing.ts";
import { fraction, grams, hours } from "../../src/units/quantity.ts";

// Invented masses: a tray whose later row leaves no food on it, as after a tare that was put right too high.
const log = (food: FoodOnTray | null, fresh: number | null, last: number): TrayLog => ({
  tray: "A",
  tare: grams(400),
  fresh: fresh === null ? null : { net: grams(fresh), division: grams(5), ref: 1 },
  food,
  weighings: [
    [21, 20],
    [23.1, last],
  ].map(([at, net], i) => ({
    dryingHours: hours(at!),
    net: grams(net!),
    division: grams(5),
    minutesOut: null,
    stretch: 0,
    at: null,
    ref: i + 2,
  })),
  coreChecks: [],
});
const tomatoes = {
  name: "Tomatoes",
  water: fraction(0.945),
  waterSd: fraction(0.009),
  source: "USDA SR28, no. 11529",
};

test.each([
  [tomatoes, 305, 0],
  [tomatoes, 305, -12],
  [null, 305, 0],
  [tomatoes, null, 0],
  [null, null, 0],
])(
  "no food left on the tray is named with its row, and nothing is reckoned: %j",
  (food, fresh, last) => {
    const sound = log(tomatoes, 305, 19);
    const { verdict, trays } = judgeBatch([log(food, fresh, last), { ...sound, tray: "B" }], {
      limit: fraction(0.01),
    });
    expect(trays[0]).toMatchObject({
      verdict: "unsure",
      contradiction: { code: "lighter-than-possible", ref: 3 },
      moreHours: null,
    });
    expect(trays[1]?.tray).toBe("B");
    expect(verdict).not.toBe("stable");
  },
);

test("a fresh mass of nothing is named as well", () => {
  const [tray] = judgeBatch([log(tomatoes, 0, 19)], { limit: fraction(0.01) }).trays;
  expect(tray?.contradiction).toMatchObject({ code: "lighter-than-possible", ref: 1 });
});
