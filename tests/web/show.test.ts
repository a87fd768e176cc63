import { afterEach, beforeEach, describe, expect, test } from "vitest";
import {
  batchName,
  displayStep,
  fromLocalField,
  massParts,
  readTyped,
  showAge,
  showDuration,
  showMass,
  showMassRange,
  showMassWithin,
  showMoreHours,
  showRoughMass,
  showTime,
  toLocalField,
  trayName,
  type Speech,
  withLocalTimes,
} from "../../web/src/show.ts";
import { de } from "../../web/src/texts/de.ts";
import { en } from "../../web/src/texts/en.ts";
import fc from "../rig/properties.ts";

const speech = (unit: Speech["unit"] = "g", locale = "en-GB"): Speech => ({
  texts: en,
  locale,
  unit,
});
const plain = (text: string): string => text.replaceAll("\u00a0", " ");
const mass = (unit: Speech["unit"], grams: number, division: number, locale?: string): string =>
  plain(showMass(speech(unit, locale), grams, division));

describe("masses", () => {
  test("the water of a load is told as roughly as it is known, a small one's too", () => {
    const rough = (grams: number) => plain(showRoughMass(speech(), grams));
    expect([455, 42, 994, 3182].map(rough)).toEqual(["460 g", "40 g", "990 g", "3,200 g"]);
  });

  test.each([
    ["g", 812, 1, "812 g"],
    ["g", 812.04, 0.1, "812.0 g"],
    ["g", 812.04, 5, "810 g"],
    ["g", 1234.5, 0.5, "1,234.5 g"],
    ["g", -3.2, 0.1, "\u22123.2 g"],
    ["g", -0.04, 0.1, "0.0 g"],
    ["kg", 1234, 1, "1.234 kg"],
    ["kg", 1234, 5, "1.235 kg"],
    ["kg", 812.5, 0.1, "0.8125 kg"],
    // 1 g is 0.035 oz: a display in steps of 0.05 oz claims no more than that scale gave.
    ["oz", 812, 1, "28.65 oz"],
    ["oz", 102, 2.8349523125, "3.6 oz"],
    ["lb", 453.59237, 2.8349523125, "1 lb 0.0 oz"],
    ["lb", 102, 2.8349523125, "3.6 oz"],
    ["lb", 4989, 2.8349523125, "11 lb 0.0 oz"],
    ["lb", -500, 2.8349523125, "\u22121 lb 1.6 oz"],
  ] as const)("in %s, %d g at a division of %d g: %s", (unit, grams, division, shown) => {
    expect(mass(unit, grams, division)).toBe(shown);
  });

  test("sixteen ounces are always a pound", () => {
    expect(mass("lb", 453.5, 2.8349523125)).toBe("1 lb 0.0 oz");
  });

  test("a comma where the locale has one", () => {
    expect(mass("g", 1812.4, 0.1, "de-DE")).toBe("1.812,4 g");
  });

  test("the live figure carries no separator of thousands", () => {
    expect(massParts(speech(), 1812, 1, true)).toEqual([{ figure: "1812", unit: "g" }]);
  });

  test("a shown mass is never finer than the scale's division, in any unit", () => {
    const units = fc.constantFrom("g", "kg", "oz", "lb" as const) as fc.Arbitrary<Speech["unit"]>;
    const divisions = fc.constantFrom(0.01, 0.1, 0.5, 1, 2, 5, 2.8349523125, 14.17476);
    fc.assert(
      fc.property(units, divisions, (unit, division) => {
        const perUnit = { g: 1, kg: 1000, oz: 28.349523125, lb: 28.349523125 }[unit];
        const step = displayStep(division, unit === "lb" ? "oz" : unit);
        expect(step * perUnit).toBeGreaterThanOrEqual(division * (1 - 1e-6));
        expect(step * perUnit).toBeLessThanOrEqual(division * 2.51);
      }),
    );
  });

  test("a range has its unit once, and is one figure where both ends read the same", () => {
    expect(plain(showMassRange(speech(), { low: 98.2, high: 106.4 }, 1))).toBe("98 to 106 g");
    const span = { estimate: 102.3, low: 98.2, high: 106.4 };
    expect(plain(showMassWithin(speech(), span, 1))).toBe("102 g (98 to 106 g)");
    const narrow = { estimate: 124.31, low: 124.28, high: 124.34 };
    expect(plain(showMassWithin(speech(), narrow, 0.1))).toBe("124.3 g");
    expect(plain(showMassRange(speech(), { low: 98.2, high: 98.4 }, 1))).toBe("98 g");
    expect(plain(showMassRange(speech("lb"), { low: 440, high: 480 }, 2.8349523125))).toBe(
      "15.5 oz to 1 lb 0.9 oz",
    );
  });
});

describe("hours", () => {
  test.each([
    [14 + 1 / 3, "14 h 20 min"],
    [1, "1 h"],
    [1.9999, "2 h"],
    [0.34, "20 min"],
    [0.001, "under 1 min"],
    [-3, "under 1 min"],
    [26.5, "26 h 30 min"],
  ])("%d h is %s", (hours, shown) => {
    expect(plain(showDuration(speech(), hours))).toBe(shown);
  });

  test.each([
    [2.1, 3.4, "2 to 3.5 more hours"],
    [2, 2, "about 2 more hours"],
    [0.2, 0.6, "10 to 40 more minutes"],
    [0, 0.02, "no more hours"],
    [0, 1.6, "0 to 2 more hours"],
    [30, 400, "30 or many more hours"],
  ])("%d to %d h: %s", (low, high, shown) => {
    expect(showMoreHours(speech(), { estimate: (low + high) / 2, low, high })).toBe(shown);
  });

  test("rounding never makes the range narrower than it is", () => {
    const figures = (text: string): number[] => (text.match(/[\d.]+/g) ?? []).map(Number);
    fc.assert(
      fc.property(
        fc.double({ min: 0, max: 40, noNaN: true }),
        fc.double({ min: 1.5, max: 50, noNaN: true }),
        (low, width) => {
          const high = low + width;
          const shown = figures(showMoreHours(speech(), { estimate: low, low, high }));
          expect(shown[0]).toBeLessThanOrEqual(low + 1e-6);
          expect(shown.at(-1)).toBeGreaterThanOrEqual(high - 1e-6);
        },
      ),
    );
  });

  test("an age is told in seconds, then in minutes", () => {
    expect(plain(showAge(speech(), 8400))).toBe("8 s");
    expect(plain(showAge(speech(), 125_000))).toBe("2 min");
  });

  test("a time of another day carries its day", () => {
    const now = new Date(2026, 2, 14, 16, 5).getTime();
    expect(showTime(speech(), new Date(2026, 2, 14, 9, 30).toISOString(), now)).toBe("09:30");
    expect(showTime(speech(), new Date(2026, 2, 13, 9, 30).toISOString(), now)).toBe("Fri 09:30");
    expect(showTime(speech(), new Date(2026, 0, 2, 9, 30).toISOString(), now)).toBe("2 Jan 09:30");
  });

  test("a moment in a sentence of the service reads as the page shows moments", () => {
    const now = new Date(2026, 2, 14, 16, 5).getTime();
    const [at, from] = [new Date(2026, 2, 13, 9, 30), new Date(2026, 2, 14, 9, 30, 3, 815)];
    const told = `${at.toISOString()} is before ${from.toISOString()}: 2026-03-14 is a day`;
    expect(withLocalTimes(speech(), told, now)).toBe(
      "Fri 09:30 is before 09:30: 2026-03-14 is a day",
    );
  });

  test("a time survives the field in which it is set right", () => {
    const iso = new Date(2026, 9, 25, 2, 30).toISOString();
    expect(fromLocalField(toLocalField(Date.parse(iso)), Date.parse(iso))).toBe(iso);
    expect(fromLocalField("", 0)).toBe(null);
  });
});

describe("what a person types", () => {
  test.each([
    ["812", 812],
    ["812.5", 812.5],
    ["812,5", 812.5],
    [" 1 250 ", 1250],
    ["0,250", 0.25],
    ["1,250", null],
    ["1250,25", 1250.25],
    ["1.250", 1.25],
    ["-3", -3],
    ["12g", null],
    ["1e3", null],
    ["", null],
    ["NaN", null],
  ])("%j reads as %j", (text, value) => {
    expect(readTyped(text)).toBe(value);
  });
});

test("a batch goes by its name or its number, and practice is always said of it", () => {
  const batch = { name: "", number: 7, practice: false };
  const inGerman = { ...speech(), texts: de };
  expect(batchName(speech(), batch)).toBe("Batch 7");
  expect(batchName(speech(), { ...batch, name: "Apples" })).toBe("Apples");
  for (const name of ["", "Apples"]) {
    expect(batchName(speech(), { name, number: 7, practice: true })).toMatch(/practice/i);
    expect(batchName(inGerman, { name, number: 7, practice: true })).toMatch(/Übung/);
  }
});

test("a tray with a bare number gets a name in a sentence", () => {
  expect(trayName(speech(), "3")).toBe("tray 3");
  expect(trayName(speech(), "Upper left")).toBe("Upper left");
  // Its letters must not turn the figures beside it (UAX #9).
  expect(trayName(speech(), "מגש 3")).toBe("\u2068מגש 3\u2069");
});

/** Central Europe set its clocks back at 03:00 summer time on 25 October 2026, 01:00 UTC (directive 2000/84/EC). */
describe("in the hour that the clocks repeat", () => {
  const first = Date.parse("2026-10-25T00:30:00.000Z");
  const second = first + 3_600_000;
  const zone = process.env["TZ"];
  beforeEach(() => {
    process.env["TZ"] = "Europe/Berlin";
  });
  afterEach(() => {
    if (zone === undefined) delete process.env["TZ"];
    else process.env["TZ"] = zone;
  });

  test("a field means the time that is nearer to what it was about", () => {
    expect([first, second].map(toLocalField)).toEqual(["2026-10-25T02:30", "2026-10-25T02:30"]);
    for (const at of [first, second])
      for (const minutes of [-20, 0, 20])
        expect(fromLocalField(toLocalField(at + minutes * 60_000), at)).toBe(
          new Date(at + minutes * 60_000).toISOString(),
        );
    const before = Date.parse("2026-10-25T00:00:00.000Z") - 60_000;
    expect(fromLocalField(toLocalField(before), second)).toBe(new Date(before).toISOString());
  });
});
