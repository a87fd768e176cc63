import { expect, test } from "vitest";
import {
  outTooLong,
  roundAlert,
  saidLate,
  scaleLost,
  timeToWeigh,
} from "../../src/alert/alerts.ts";
import { hours } from "../../src/units/quantity.ts";
import { said } from "../../src/verdict/sentences.ts";

const round = {
  batchId: 7,
  label: "Batch 17",
  number: 4,
  root: 31,
  word: "losing",
  moreHours: { estimate: hours(2.6), low: hours(2), high: hours(3.5) },
  behind: ["3"],
  reason: { code: "above-tolerance", ...said("water-left", { lowGrams: 4, highGrams: 8 }) },
} as const;

test("an alert after a round carries the hours, the trays behind and the reason as figures", () => {
  const alert = roundAlert(round);
  expect(alert.text).toBe("Batch 17: still losing: 2 to 3.5 more hours; tray 3 behind");
  expect(alert.figures).toEqual({
    behind: ["3"],
    lowHours: 2,
    highHours: 3.5,
    reason: "above-tolerance",
    reasonSentence: "water-left",
    lowGrams: 4,
    highGrams: 8,
    reasonText: "4.0 g to 8.0 g of water left to lose",
  });
});

test("what is not known is no figure", () => {
  expect(roundAlert({ ...round, moreHours: null, behind: [], reason: null }).figures).toEqual({
    behind: [],
  });
  expect(timeToWeigh(7, "Batch 17", null).figures).toEqual({});
  expect(scaleLost("s", null).figures).toEqual({ scale: "s" });
});

test("minutes out are told as the text tells them", () => {
  const alert = outTooLong(7, "Batch 17", { number: 1, root: 2 }, 31.6);
  expect(alert.text).toContain("32 minutes");
  expect(alert.figures).toEqual({ minutesOut: 32 });
});

test.each([
  [2, "2 min"],
  [59, "59 min"],
  [60, "1 h 0 min"],
  [1505, "25 h 5 min"],
])("an alert that goes out %d minutes late says so", (minutes, ago) => {
  expect(saidLate("Batch 17: unsure", minutes)).toBe(`Batch 17: unsure (raised ${ago} ago)`);
});
