import { expect, test } from "vitest";
import { said, sentences, type Shown } from "../../src/verdict/sentences.ts";
import { de } from "../../web/src/texts/de.ts";

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
