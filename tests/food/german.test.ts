import { expect, test } from "vitest";
import { findFoods, foodByNumberOrName } from "../../src/food/find.ts";
import { germanFoods } from "../../src/food/german.ts";
import { loadFoodTable } from "../../src/foodtable.ts";

const table = loadFoodTable();
const first = (typed: string) => findFoods(table, typed, 8)[0]?.name;

test("each German name belongs to the food of the table that it says, and to one alone", () => {
  for (const [number, description, name] of germanFoods) {
    expect(table.find((food) => food.number === number)?.name).toBe(description);
    expect(foodByNumberOrName(table, name)?.number).toBe(number);
  }
  expect(new Set(germanFoods.map(([, , name]) => name)).size).toBe(germanFoods.length);
});

test.each([
  ["erdb", "Strawberries, raw"],
  ["äpfel", "Apples, raw, with skin"],
  ["aepfel", "Apples, raw, with skin"],
  ["Apfel", "Apples, raw, with skin"],
  ["kürbis", "Pumpkin, raw"],
  ["kuerb", "Pumpkin, raw"],
  ["kurbis", "Pumpkin, raw"],
  ["süßkart", "Sweet potato, raw, unprepared"],
  ["suesskart", "Sweet potato, raw, unprepared"],
  ["Marillen", "Apricots, raw"],
  ["hähnchenbrust roh", "Chicken, broiler or fryers, breast, skinless, boneless, meat only, raw"],
])("%s finds %s", (typed, name) => {
  expect(first(typed)).toBe(name);
});

test("English is found as before, beside what it is called in German", () => {
  expect(first("straw")).toBe("Strawberries, raw");
  expect(first("broccoli")).toBe("Broccoli, raw");
  expect(findFoods(table, "kürbis", 8).map(({ name }) => name)).toContain(
    "Squash, winter, butternut, raw",
  );
  expect(findFoods(table, "ö", 8).length).toBeLessThanOrEqual(8);
  expect(findFoods(table, " ", 8)).toEqual([]);
});
