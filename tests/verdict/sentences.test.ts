import { expect, test } from "vitest";
import { said, sentences, type Shown } from "../../src/verdict/sentences.ts";
import { reasonText } from "../../web/src/reason-text.ts";
import { de } from "../../web/src/texts/de.ts";
import { en } from "../../web/src/texts/en.ts";

/** The figures that a sentence asks for. */
function askedBy(say: (figures: Shown) => string): readonly string[] {
  const asked = new Set<string>();
  const figures = new Proxy({} as Shown, {
    get: (_, name) => {
      asked.add(String(name));
      return `⟨${String(name)}⟩`;
    },
  });
  const text = say(figures);
  for (const name of asked) expect(text).toContain(`⟨${name}⟩`);
  return [...asked].toSorted();
}

test("every sentence is there in German and puts in the same figures", () => {
  expect(Object.keys(de.batch.sentences).toSorted()).toEqual(Object.keys(sentences).toSorted());
  for (const [name, say] of Object.entries(sentences)) {
    const german = Object.entries(de.batch.sentences).find(([other]) => other === name)?.[1];
    expect([name, german === undefined ? null : askedBy(german)]).toEqual([name, askedBy(say)]);
  }
});

test("figures are put in with their units, and no finer than a kitchen scale can mean them", () => {
  expect(
    said("losing", {
      lossGrams: 9.234,
      apartHours: 2.5,
      hourlyShare: 0.0331,
      lowGrams: 8.04,
      highGrams: 122.4,
    }).text,
  ).toBe(
    "lost 9.2 g in 2.5 h, 3.3 % of the dry mass an hour; 8.0 g to 122 g of water left to lose",
  );
  expect(
    said("swapped", { netGrams: 231, atHours: 23.5, otherGrams: 113.4, otherTray: "B" }).text,
  ).toContain("113 g of tray B");
});

test("what is there is never told as 0, and what arithmetic leaves of nothing is", () => {
  const coarse = (limitGrams: number) =>
    said("too-coarse", { leastGrams: 0.2, limitGrams, nextHours: 4 });
  // 5 g dry at a limit of 0.1 % of it, and a hundredth of that.
  expect(coarse(0.005).text).toContain("and 0.005 g matter here");
  expect(coarse(0.00005).text).toContain("and 0.00005 g matter here");
  expect(coarse(0.0149).text).toContain("and 0.01 g matter here");
  const steady = said("steady", { mostGrams: 0.0042, apartHours: 3, highShare: 0.00004 });
  expect(steady.text).toContain("no loss above 0.004 g in 3 h; at most 0.004 % of the dry mass");
  expect(reasonText({ texts: de, locale: "de", unit: "g" }, steady)).toContain("0,004\u00a0g");
  expect(reasonText({ texts: en, locale: "en", unit: "oz" }, coarse(0.005))).toContain(
    "0.00020\u00a0oz",
  );
  const lost = said("losing", {
    lossGrams: 400.4 - 400 - 0.4,
    apartHours: 2,
    hourlyShare: 0,
    lowGrams: 0,
    highGrams: 0.004,
  });
  expect(lost.text).toContain("lost 0 g in 2 h, 0 % of the dry mass an hour; 0 g to 0.004 g");
});
