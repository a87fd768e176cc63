import { expect, test } from "vitest";
import { labelsAddress, readChoice, fields } from "../../web/src/label-choice.ts";
import {
  fillOf,
  firstDraft,
  foodsIn,
  readPack,
  usualVolumes,
  withPackage,
} from "../../web/src/pack.ts";
import { unpacked } from "./bags.ts";

const first = firstDraft(unpacked, "g");
const read = (change: Partial<typeof first>, unit: "g" | "lb" = "g") =>
  readPack({ ...first, ...change }, unpacked, unit, 0.1);

test("the first plan takes what is left of one food, a bag for each tray, in the package that was used last", () => {
  expect(first).toMatchObject({ count: 2, by: "count", container: "soft", volume: "946.353" });
  expect(foodsIn(first, unpacked)).toEqual(["Strawberries, raw"]);
  expect(read({})).toEqual({
    is: "whole",
    bags: {
      trays: [{ tray: 1 }, { tray: 2 }],
      divide: { count: 2 },
      product: null,
      supplier: null,
      prepared: null,
      wentIn: null,
      container: "soft",
      volumeMl: 946.353,
      lot: "quart, box of March",
      tareGrams: 8.1,
      absorbers: null,
      divisionGrams: 0.1,
    },
  });
});

test("without a package that was used before: a quart bag, weighed empty, its absorber worked out", () => {
  const draft = firstDraft({ ...unpacked, packages: [] }, "lb");
  expect(draft).toMatchObject({ tare: "", absorber: "proposed", fresh: "1", lot: "" });
  // A US quart is 57.75 cubic inches, an inch 25.4 mm: 946.352946 mL.
  expect(usualVolumes.quart).toBeCloseTo(57.75 * 2.54 ** 3, 9);
});

test("a jar that went without an absorber is proposed without one", () => {
  const jar = unpacked.packages[1];
  if (jar === undefined) throw new Error("no jar");
  expect(withPackage(first, jar, "g")).toMatchObject({
    container: "jar",
    absorber: "none",
    lot: "",
  });
});

test("a bag's mass when empty is proposed to a tenth of a gram, whatever the unit", () => {
  const [soft] = unpacked.packages;
  if (soft === undefined) throw new Error("no bag");
  const weighed = { ...soft, tareGrams: 14.328 };
  expect(withPackage(first, weighed, "g").tare).toBe("14.3");
  // The avoirdupois ounce is 28.349523125 g exactly: a thousandth of it is 0.03 g.
  expect(withPackage(first, weighed, "oz").tare).toBe("0.505");
  expect(withPackage(first, weighed, "lb").tare).toBe("0.0316");
});

test("the foods of one tray are packed by themselves, and as they lay there where all of them are chosen", () => {
  const [tray] = unpacked.trays;
  if (tray === undefined) throw new Error("there is a tray");
  const foods = [1, 2].map((portion) => ({
    ...tray,
    tray: 9,
    name: "9",
    portion,
    food: portion === 1 ? tray.food : "Bananas, raw",
  }));
  const twoFoods = { ...unpacked, trays: [tray, ...foods] };
  const draft = firstDraft(twoFoods, "g");
  const trays = (change: typeof draft.trays) => {
    const found = readPack({ ...draft, trays: { ...draft.trays, ...change } }, twoFoods, "g", 0.1);
    return found.is === "whole" ? found.bags.trays : found.flaw;
  };
  // The strawberries of both trays go together.
  expect(draft.count).toBe(2);
  expect(trays({})).toEqual([{ tray: 1 }, { tray: 9, portion: 1 }]);
  const isIn = (part = "") => ({ isIn: true, part });
  expect(trays({ "9.2": isIn() })).toEqual([{ tray: 1 }, { tray: 9 }]);
  expect(trays({ "9.1": isIn("20"), "9.2": isIn() })).toEqual([
    { tray: 1 },
    { tray: 9, portion: 1, grams: 20 },
    { tray: 9, portion: 2 },
  ]);
  expect(trays({ "9.2": isIn("some") })).toMatchObject({ is: "bad-part", row: "9.2" });
});

test("masses are typed in the person's unit, with point or comma", () => {
  const bags = read({ by: "fresh", fresh: "1", tare: "0,5" }, "lb");
  // International pound: 453.59237 g exactly.
  expect(bags).toMatchObject({
    bags: { divide: { freshGrams: 453.59237 }, tareGrams: 226.796185 },
  });
});

test.each([
  [{ trays: {} }, "no-trays"],
  [{ trays: { 1: { isIn: true, part: "all" } } }, "bad-part"],
  [{ by: "fresh", fresh: "0" }, "bad-fresh"],
  [{ volume: "" }, "bad-volume"],
  [{ tare: "-3" }, "bad-tare"],
  [{ absorber: "own", absorberCount: "1.5" }, "bad-absorber"],
  [{ absorber: "own", absorberCc: "big" }, "bad-absorber"],
] as const)("%j is told as %s", (change, is) => {
  expect(read(change as Partial<typeof first>)).toMatchObject({ is: "flawed", flaw: { is } });
});

test("a fill is short, enough or too much by the tolerance, whatever binary fractions make of the sum", () => {
  const at = (grossGrams: number) =>
    fillOf({ grossGrams, tareGrams: 8.1, targetGrams: 51, toleranceGrams: 0.5 });
  expect([at(20).is, at(58.6).is, at(59.1).is, at(59.6).is, at(59.7).is]).toEqual([
    "short",
    "enough",
    "enough",
    "enough",
    "over",
  ]);
  expect(at(20).toGoGrams).toBeCloseTo(39.1, 9);
  expect(at(60).netGrams).toBeCloseTo(51.9, 9);
});

test("what was kept of labels is taken up again, and nonsense is not", () => {
  expect(readChoice(null)).toEqual({ stock: "62x29", fields });
  expect(readChoice("nonsense")).toEqual({ stock: "62x29", fields });
  expect(readChoice('{"stock":"a4","fields":["dates","colour"]}')).toEqual({
    stock: "62x29",
    fields: ["dates"],
  });
});

test("labels already taken off are left free on a sheet alone", () => {
  const choice = { stock: "70x37-sheet", fields: [] } as const;
  const asked = { bags: [1, 2], choice, language: "de", skip: 5 } as const;
  expect(labelsAddress(asked)).toBe(
    "api/labels.pdf?bags=1,2&stock=70x37-sheet&fields=&language=de&skip=5",
  );
  expect(labelsAddress({ ...asked, choice: { ...choice, stock: "4x6" } })).not.toContain("skip");
});
