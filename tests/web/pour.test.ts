import { expect, test } from "vitest";
import { isPoured, pouringOf } from "../../web/src/pour.ts";

const pour = { beforeGrams: 412, hiddenGrams: 0, targetGrams: 500, toleranceGrams: 10 };
const at = (shown: number, change: Partial<typeof pour> = {}) =>
  pouringOf({ ...pour, ...change }, shown, 1);

test("what is to go is the target less what came on top of the tray", () => {
  expect(at(412)).toEqual({ is: "short", netGrams: 0, toGoGrams: 500 });
  expect(at(700)).toEqual({ is: "short", netGrams: 288, toGoGrams: 212 });
  expect(at(903).is).toBe("enough");
  expect(at(921).is).toBe("enough");
  expect(at(930)).toEqual({ is: "over", netGrams: 518, toGoGrams: -18 });
});

test("an empty pan, or something lighter than the tray, has the whole target to go", () => {
  for (const shown of [0, 40, 390]) expect(at(shown)).toMatchObject({ is: "off", toGoGrams: 500 });
});

test("after the tare key the display alone is what was poured", () => {
  expect(at(0, { hiddenGrams: 412 })).toMatchObject({ is: "short", toGoGrams: 500 });
  expect(at(495, { hiddenGrams: 412 }).is).toBe("enough");
});

test("only a goal, or several foods on one tray, make a tray one that is poured", () => {
  const of = (targetGrams: number | null, portions: number) =>
    isPoured({
      batch: 1,
      tray: 1,
      name: "1",
      portion: null,
      portions,
      food: null,
      load: null,
      isOn: true,
      ...pour,
      targetGrams,
    });
  expect([of(null, 1), of(500, 1), of(null, 2)]).toEqual([false, true, true]);
  expect(isPoured(null)).toBe(false);
});
