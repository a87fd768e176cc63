import { expect, test } from "vitest";
import { toDryBasis, toWetBasis } from "../../src/food/basis.ts";
import { cautionsOf } from "../../src/food/caution.ts";
import { expectedDry } from "../../src/food/expected.ts";
import { findFoods, fitsTyped, foodByNumberOrName } from "../../src/food/find.ts";
import { parseFoodTable } from "../../src/food/table.ts";
import { loadFoodTable } from "../../src/foodtable.ts";
import { fraction, grams } from "../../src/units/quantity.ts";

const table = loadFoodTable();
const food = (text: string) => foodByNumberOrName(table, text)!;

// USDA SR28, nutrient 255, g per 100 g; the spread is SE·√n of the same rows.
test.each([
  ["09316", 90.95, 1.03],
  ["09003", 85.56, 1.49],
  ["09040", 74.91, 1.28],
  ["11124", 88.29, 2.46],
  ["11352", 79.25, 1.24],
  ["11529", 94.52, 0.87],
  ["11282", 89.11, 1.45],
  ["01123", 76.15, 0.42],
  ["11167", 76.05, 8.76],
  ["09176", 83.46, 8.27],
  ["05064", 65.26, 1.34],
  ["20045", 68.44, 1.91],
  ["01077", 88.13, 0.26],
] as const)("food %s holds %d g of water per 100 g and lots differ by %d", (number, water, sd) => {
  expect(food(number).water * 100).toBeCloseTo(water, 8);
  expect(food(number).waterSd * 100).toBeCloseTo(sd, 2);
  expect(food(number).sdIsOfGroup).toBe(false);
});

test("all 4,460 foods are there, each with a water content and a spread", () => {
  expect(table.length).toBe(4460);
  for (const { water, waterSd } of table) {
    expect(water).toBeGreaterThan(0.29);
    expect(waterSd).toBeGreaterThan(0);
  }
});

test("a food without a spread of its own takes the widest of its group and says so", () => {
  const spinach = food("11457");
  expect(spinach.sdIsOfGroup).toBe(true);
  const measured = table.filter(
    ({ group, sdIsOfGroup }) => group === spinach.group && !sdIsOfGroup,
  );
  expect(spinach.waterSd).toBe(Math.max(...measured.map(({ waterSd }) => waterSd)));
});

test("a food is found by number with or without its zero, or by description in any case", () => {
  expect(food("9316").name).toBe("Strawberries, raw");
  expect(food(" strawberries, RAW ").number).toBe("09316");
  expect(foodByNumberOrName(table, "moon cheese")).toBeNull();
  expect(foodByNumberOrName(table, "")).toBeNull();
});

test.each([
  ["strawberry", "09316"],
  ["Apples", "09003"],
  ["chicken breast", "05062"],
  ["peas", "11304"],
  ["potato", "11352"],
  ["mushrooms", "11260"],
  ["milk", "01077"],
  ["tomato", "11529"],
  ["egg", "01123"],
] as const)("typing %j offers the plain food first", (typed, number) => {
  expect(findFoods(table, typed, 5)[0]?.number).toBe(number);
});

test("nothing typed and nothing known offer nothing", () => {
  expect(findFoods(table, " ", 5)).toEqual([]);
  expect(findFoods(table, "xyzzy", 5)).toEqual([]);
  // Once its accent parted it, "cr" and "me" found ground meat in crumbles.
  expect(findFoods(table, "Crème brûlée", 5)).toEqual([]);
});

test("a broken table is refused with its line", () => {
  const header =
    "ndb,food_group,description,water_g_per_100g,water_n,water_se,fat_g_per_100g,sugars_g_per_100g\n";
  expect(() => parseFoodTable("ndb,food_group\n")).toThrow("no column description");
  expect(() => parseFoodTable(`${header}1,A,Soup,,3,\n`)).toThrow("line 2");
});

test.each([
  // USDA SR28, g of fat and of sugars per 100 g: chicken breast 2.62; boiled egg 10.61; ground beef 20.00; avocado
  // 14.66; grapes 15.48; bananas 12.23; strawberries 4.89.
  ["05062", ["raw-animal"]],
  ["05064", []],
  ["01123", ["raw-animal"]],
  ["01129", ["fat"]],
  ["15076", ["raw-animal"]],
  ["23572", ["raw-animal", "fat"]],
  ["09037", ["fat"]],
  ["09132", ["sugar"]],
  ["09040", ["sugar"]],
  ["01077", ["dairy"]],
  ["09316", []],
] as const)("food %s carries the cautions %j", (number, codes) => {
  expect(cautionsOf(food(number)).map(({ code }) => code)).toEqual(codes);
});

test("no caution promises that anything is safe", () => {
  for (const one of table)
    for (const { text } of cautionsOf(one)) expect(text).not.toMatch(/safe/i);
});

test("1000 g of strawberries dry to 90.5 g of solids and some two per cent of water", () => {
  const { dryGrams, endGrams, endSdGrams } = expectedDry(grams(1000), food("09316"));
  expect(dryGrams).toBeCloseTo(90.5, 6);
  expect(endGrams).toBeCloseTo(92.31, 6);
  // Common practice, no source: 32 oz of strawberries gave 102 g, where the table expects 82.
  const thirtyTwo = expectedDry(grams(907.185), food("09316"));
  expect(thirtyTwo.endGrams + 1.6448 * thirtyTwo.endSdGrams).toBeGreaterThan(102);
  expect(endSdGrams).toBeGreaterThan(10);
});

// A textbook example: 15 % wet basis is 0.176 dry basis; USDA MP919 note N2.1 for the formula and its ends.
test("wet and dry basis", () => {
  expect(toDryBasis(fraction(0.15))).toBeCloseTo(0.176471, 6);
  expect([0, 0.5, 0.9].map((wet) => toDryBasis(fraction(wet)))).toEqual([
    0,
    1,
    expect.closeTo(9, 12),
  ]);
  expect(toWetBasis(fraction(0.25))).toBeCloseTo(30 / 150, 12);
});

test.each([
  ["מרק עוף", "מרק"],
  ["Борщ", "борщ"],
  ["草莓果酱", "草莓"],
  ["Crème brûlée", "creme"],
  ["Creme brulee", "Cre\u0300me"],
])("a food of one's own that is called %s is found by %s", (name, typed) => {
  expect(fitsTyped(name, typed)).toBe(true);
  expect(fitsTyped(name, "x")).toBe(false);
});
