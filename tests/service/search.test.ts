import { expect, test } from "vitest";
import { findBatches } from "../../src/service/search.ts";
import type { BatchSummary } from "../../src/wire/batch.ts";

const summary = (number: number, change: Partial<BatchSummary>): BatchSummary => ({
  id: number,
  number,
  name: "",
  dryer: "kitchen",
  startedAt: "2026-03-14T08:00:00.000Z",
  endedAt: null,
  practice: false,
  verdict: null,
  foods: [],
  trays: 1,
  freshGrams: null,
  netGrams: null,
  ...change,
});

const all = [
  summary(11, { foods: ["Strawberries, raw"], name: "First of June" }),
  summary(12, { foods: ["Peas, green, raw"], startedAt: "2026-06-02T08:00:00.000Z" }),
  summary(112, { foods: ["Strawberries, raw"], startedAt: "2025-06-02T08:00:00.000Z" }),
];
const found = (q: string, from: string | null = null, to: string | null = null) =>
  findBatches(all, { q, from, to }).map(({ number }) => number);

test("by a bag's label, with the address of its code, and by a date with the day first", () => {
  expect(found("http://scale.lan:4680/#/shelf/12-3")).toEqual([12]);
  expect(found("2.6.2026")).toEqual([12]);
  expect(found("02.06.2025")).toEqual([112]);
});

test("by food, by name, and by both", () => {
  expect(found("strawb")).toEqual([11, 112]);
  expect(found("STRAWBERRIES june")).toEqual([11]);
  expect(found("")).toEqual([11, 12, 112]);
  expect(found("moon cheese")).toEqual([]);
});

test("by number it is that batch and no other that has the same figures in it", () => {
  expect(found("12")).toEqual([12]);
  expect(found("no.112")).toEqual([112]);
});

test("by a bag's label it is the batch that the bag came from", () => {
  expect(found("12-3")).toEqual([12]);
  expect(found("PRACTICE-112-1")).toEqual([112]);
});

test("by year, month or day, and between two days", () => {
  expect(found("2026")).toEqual([11, 12]);
  expect(found("2026-06")).toEqual([12]);
  expect(found("", "2026-01-01", "2026-03-31")).toEqual([11]);
  expect(found("peas", "2026-06-02", "2026-06-02")).toEqual([12]);
});

test("however a keyboard puts its letters together", () => {
  const soups = [summary(1, { name: "Crème brûlée" }), summary(2, { name: "Cre\u0300me fraîche" })];
  const numbers = (q: string) =>
    findBatches(soups, { q, from: null, to: null }).map(({ number }) => number);
  for (const q of ["crème", "CRE\u0300ME", "\u200Bcrème\u00A0"]) expect(numbers(q)).toEqual([1, 2]);
});
