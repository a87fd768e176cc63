import { expect, test } from "vitest";
import { said } from "../../src/verdict/sentences.ts";
import type { Alert } from "../../src/wire/bench.ts";
import { alertText } from "../../web/src/alert-text.ts";
import type { Speech } from "../../web/src/show.ts";
import { de } from "../../web/src/texts/de.ts";
import { en } from "../../web/src/texts/en.ts";
import { batch, bench } from "./scenes.ts";

const english: Speech = { texts: en, locale: "en-GB", unit: "g" };
const german: Speech = { texts: de, locale: "de-DE", unit: "g" };
const known = bench({ batches: [batch([])] });
const alert = (change: Partial<Alert>): Alert => ({
  id: 1,
  code: "needs-more",
  batch: 1,
  round: 4,
  text: "Batch 17 (Strawberries and stew): still losing",
  figures: {},
  at: "2026-03-14T16:00:00Z",
  acknowledged: null,
  ...change,
});

test("hours and trays behind are worded and written by the language", () => {
  const one = alert({ figures: { lowHours: 2, highHours: 3.5, behind: ["3"] } });
  expect(alertText(english, one, known)).toBe(
    "Strawberries and stew: still losing, 2 to 3.5 more hours; tray 3 is behind.",
  );
  expect(alertText(german, one, known)).toBe(
    "Strawberries and stew: verliert, noch 2 bis 3,5 Stunden; Blech 3 hängt nach.",
  );
});

test("a reason is told with its figures by the language, and with the reader's unit", () => {
  const { sentence, figures, text } = said("heavy", { netGrams: 402.4, mostGrams: 318 });
  const one = alert({
    code: "stalled",
    figures: { ...figures, reason: "heavy", reasonSentence: sentence, reasonText: text },
  });
  expect(alertText(english, one, known)).toContain(
    "Weight stands still at 402\u00a0g, yet dry this food weighs at most 318\u00a0g:",
  );
  expect(alertText({ ...german, unit: "oz" }, one, known)).toContain(
    "Das Gewicht steht bei 14,20\u00a0oz, trocken wiegt dieses Lebensmittel aber höchstens 11,20\u00a0oz:",
  );
});

test("a reason kept before reasons had figures is told as it came", () => {
  const one = alert({ code: "stalled", figures: { reason: "heavy", reasonText: "402 g is more" } });
  expect(alertText(german, one, known)).toContain("402 g is more.");
});

test("minutes out are a duration", () => {
  const one = alert({ code: "out-too-long", figures: { minutesOut: 75 } });
  expect(alertText(german, one, known)).toContain("seit 1\u00a0h\u00a015\u00a0min draußen");
});

test("an alert from before there were figures, or of a batch that is gone, is told as it came", () => {
  const old = alert({ code: "out-too-long", text: "batch 17: the trays have been out" });
  expect(alertText(german, old, known)).toBe("Batch 17: the trays have been out");
  expect(alertText(german, alert({}), bench())).toBe(alert({}).text);
});
