import { describe, expect, test } from "vitest";
import type { TrayLog } from "../../src/tray/weighing.ts";
import { hours } from "../../src/units/quantity.ts";
import { judgeBatch } from "../../src/verdict/judge.ts";
import { normal, seeded } from "../settle/signal.ts";
import { judgeTray, logOf, potatoes, settings, strawberries } from "./logs.ts";

// The masses are invented; 800 g of strawberries of 90.95 % water (USDA SR28 09316) leave 72.4 g of dry mass.
const freshGrams = 800;
const dry = (tray: string, end = 73.9): TrayLog =>
  logOf(
    [
      [20, end + 4.1],
      [24, end + 0.4],
      [28, end],
      [32, end],
    ],
    { tray, fresh: freshGrams, food: strawberries },
  );
/** Loses a dozen grams in each interval, and nothing in the last: as where the dryer stopped. */
const stopped = logOf(
  [
    [20, 128],
    [24, 110],
    [28, 96],
    [32, 96],
  ],
  { tray: "D", fresh: freshGrams, food: strawberries },
);
const others = ["A", "B", "C"].map((tray) => dry(tray));
const last = (logs: readonly TrayLog[]) => judgeBatch(logs, settings).trays.at(-1)!;

describe("a tray that stands still well above the others of its food", () => {
  test("is stable alone, and unsure beside them, with how much it should weigh", () => {
    expect(judgeTray(stopped, settings).verdict).toBe("stable");
    const { verdict, pDry, reasons, moreHours, nextWeighingHours } = last([...others, stopped]);
    expect(verdict).toBe("unsure");
    expect(pDry).toBeLessThan(0.9);
    expect([moreHours, nextWeighingHours]).toEqual([null, null]);
    expect(reasons.map(({ code, sentence }) => [code, sentence])).toEqual([
      ["heavy", "heavy-for-lot"],
    ]);
    const { netGrams, mostGrams } = reasons[0]!.figures as Record<string, number>;
    expect(netGrams).toBe(96);
    // 73.9 g, and three times √(1 + π/6)·0.4 of what lots differ by: 1 % in the table, 0.8 % beside it, 1 % left by the dryer.
    const lotSd = Math.hypot(0.01 * freshGrams, 0.008 * freshGrams, 0.01 * 72.4);
    expect(mostGrams).toBeCloseTo(73.9 + 3 * Math.sqrt(1 + Math.PI / 6) * 0.4 * lotSd, 0);
  });

  test("leaves the others as they are", () => {
    const { trays, verdict } = judgeBatch([...others, stopped], settings);
    expect(trays.slice(0, 3).map((tray) => tray.verdict)).toEqual(["stable", "stable", "stable"]);
    expect(verdict).toBe("unsure");
  });

  test("is stable beside one other: nobody knows which of the two strays", () => {
    expect(last([...others.slice(0, 1), stopped]).verdict).toBe("stable");
    expect(last([...others.slice(0, 2), stopped]).verdict).toBe("unsure");
  });

  test("is not held against one from which food was taken", () => {
    const taken = logOf(
      [
        [20, 58],
        [24, 54.4],
        [28, 54],
        [32, 54],
      ],
      { tray: "B", fresh: freshGrams, food: strawberries },
    );
    const { trays } = judgeBatch([others[0]!, taken, others[2]!], settings);
    expect(trays[0]!.reasons.map(({ sentence }) => sentence)).not.toContain("heavy-for-lot");
  });

  test("is stable once its thickest piece was found dry", () => {
    const coreChecks: TrayLog["coreChecks"] = [{ finding: "dry", dryingHours: hours(32) }];
    expect(last([...others, { ...stopped, coreChecks }]).verdict).toBe("stable");
  });

  test("is not held against trays of another food, or of none that is known", () => {
    const elsewhere = others.map((log) => ({ ...log, food: { ...strawberries, name: "Other" } }));
    expect(last([...elsewhere, stopped]).verdict).toBe("stable");
    const unknown = logOf(
      [
        [20, 96.4],
        [24, 96.1],
        [28, 96],
        [32, 96],
      ],
      { tray: "D", fresh: freshGrams },
    );
    const beside = last([...others, unknown]);
    expect(beside.reasons.map(({ sentence }) => sentence)).not.toContain("heavy-for-lot");
  });

  test("is held against them by what was loaded", () => {
    const half = logOf(
      [
        [20, 39],
        [24, 37.2],
        [28, 37],
        [32, 37],
      ],
      { tray: "D", fresh: freshGrams / 2, food: strawberries },
    );
    expect(last([...others, half]).verdict).toBe("stable");
    const asHeavy = { ...dry("D"), fresh: half.fresh };
    expect(last([...others, asHeavy]).verdict).not.toBe("stable");
  });
});

test("the further above the others, the less likely dry", () => {
  const chances = [84, 88, 92, 96, 104].map(
    (end) => last([...others, dry("D", end)]).pDry as number,
  );
  expect(chances).toEqual(chances.toSorted((a, b) => b - a));
  expect(chances[0]).toBeGreaterThan(0.95);
  expect(chances.at(-1)).toBeLessThan(0.6);
});

test("of trays that differ as those of one lot do, hardly one in two hundred is held to be too heavy", () => {
  const random = seeded(20261127);
  let heavy = 0;
  let stable = 0;
  for (let batch = 0; batch < 150; batch++) {
    const lot = 0.012 * normal(random);
    const logs = ["A", "B", "C", "D"].map((tray) => {
      const water = potatoes.water + lot + 0.4 * 0.0144 * normal(random);
      const end = Math.round(10 * freshGrams * (1 - water) * 1.02) / 10;
      return logOf(
        [
          [20, end + 0.4],
          [24, end],
          [28, end],
          [32, end],
        ],
        { tray, fresh: freshGrams, food: potatoes },
      );
    });
    for (const { verdict, reasons } of judgeBatch(logs, settings).trays) {
      if (verdict === "stable") stable++;
      if (reasons.some(({ sentence }) => sentence === "heavy-for-lot")) heavy++;
    }
  }
  expect(stable).toBeGreaterThan(500);
  expect(heavy).toBeLessThanOrEqual(3);
}, 60_000);
