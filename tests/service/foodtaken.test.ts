import { expect, test } from "vitest";
import { loadFoodTable } from "../../src/foodtable.ts";
import { weighingsCsv } from "../../src/service/csv.ts";
import { seriesOf } from "../../src/service/repeats.ts";
import { freshNetOf } from "../../src/service/look.ts";
import { foodShelf } from "../../src/service/foods.ts";
import { showBatch, showCurves } from "../../src/service/showbatch.ts";
import { lookAtBatch } from "../../src/service/showkitchen.ts";
import { showYields } from "../../src/service/yields.ts";
import { unpackedOf } from "../../src/service/unpacked.ts";
import * as acts from "../../src/service/acts.ts";
import * as weighings from "../../src/service/weighings.ts";
import { readLog } from "../../src/verdict/log.ts";
import { judgeBatch } from "../../src/verdict/judge.ts";
import { fraction, grams } from "../../src/units/quantity.ts";
import { dried, type Played } from "./given.ts";

const shelf = foodShelf(loadFoodTable());

/** 907.2 g of strawberries dried to 102 g, of which a third was taken off: 68 g were left and weighed at once. */
function aThirdTaken(): Played {
  const played = dried();
  played.hour += 1 / 60;
  played.act((bench) =>
    weighings.typeWeighing(bench, {
      trayId: 1,
      kind: "dry",
      portion: null,
      gross: grams(400 + 68),
      division: grams(0.1),
      at: played.at(),
      now: played.at(),
    }),
  );
  return played;
}

const shown = (played: Played) =>
  showBatch(played.batch, { at: played.at(), timeFactor: 1 }).trays[0]!;

const edit = (played: Played, weighing: number, foodTaken: boolean): void =>
  played.act((bench) =>
    weighings.editWeighing(bench, weighing, {
      trayId: null,
      kind: null,
      gross: null,
      struck: false,
      foodTaken,
      reason: "for the children",
    }),
  );

const asSaid = (): Played => {
  const played = aThirdTaken();
  edit(played, shown(played).verdict!.contradiction!.weighing!, true);
  return played;
};

test("a tray weighed again without some of its food is in contradiction, and one answer mends it", () => {
  const played = aThirdTaken();
  expect(shown(played).verdict).toMatchObject({
    verdict: "unsure",
    contradiction: { code: "weighed-twice", foodTaken: true, meant: null },
  });
  edit(played, shown(played).verdict!.contradiction!.weighing!, true);
  const { verdict, freshGrams, netGrams, yieldFraction, weighings: rows } = shown(played);
  expect(verdict).toMatchObject({ verdict: "stable", contradiction: null });
  expect(rows.at(-1)).toMatchObject({ foodTaken: true, reason: "for the children", netGrams: 68 });
  // What is left stands for two thirds of what was loaded, and yields the same.
  expect(freshGrams).toBeCloseTo((907.2 * 2) / 3, 3);
  expect(netGrams).toBeCloseTo(68, 6);
  expect(yieldFraction).toBeCloseTo(102 / 907.2, 5);
  expect(freshNetOf(played.batch, played.batch.trays[0]!)).toBeCloseTo(604.8, 3);
});

test("the curve shows the food that is left, and bags stand for its fresh mass", () => {
  const played = asSaid();
  const [curve] = showCurves(played.batch);
  expect(curve!.points.map(({ netGrams }) => Math.round(netGrams * 10) / 10)).toEqual([
    604.8, 333.3, 68, 68,
  ]);
  expect(unpackedOf(played.batch, [])[0]).toMatchObject({ left: 68, fresh: 604.8 });
  expect(showYields(played.batch, null, played.at()).trays[0]!.yield).toMatchObject({
    freshGrams: 604.8,
    dryGrams: 68,
  });
  const load = (of: Played) => lookAtBatch(of.batch, of.bench, shelf).waterGrams!;
  expect(load(played) / load(dried())).toBeCloseTo(2 / 3, 5);
});

test("another correction takes it back", () => {
  const played = asSaid();
  edit(played, shown(played).weighings.at(-1)!.id, false);
  expect(shown(played).verdict).toMatchObject({
    verdict: "unsure",
    contradiction: { code: "weighed-twice" },
  });
  expect(shown(played).weighings.at(-1)!.foodTaken).toBe(false);
  expect(shown(played).freshGrams).toBeCloseTo(907.2, 6);
});

test("a weighing that is not lighter than the one before is refused, and so is one before drying", () => {
  const played = dried();
  const rows = played.batch.weighings;
  const before = rows.length;
  for (const { id, kind } of [rows.at(-1)!, rows.find((one) => one.kind === "fresh")!]) {
    expect(() => edit(played, id, true), kind).toThrow(/g: no weighing after drying just before/);
  }
  expect(played.batch.weighings).toHaveLength(before);
});

test("a rise in one round is not offered as food taken off", () => {
  const played = aThirdTaken();
  const [contradicted] = [shown(played).verdict!.contradiction!.weighing!];
  played.act((bench) =>
    weighings.editWeighing(bench, contradicted, {
      trayId: null,
      kind: null,
      gross: grams(400 + 150),
      struck: false,
      reason: "read wrongly",
    }),
  );
  expect(shown(played).verdict!.contradiction).toMatchObject({ foodTaken: false });
});

test("an export is judged as the tray was, and says which weighing it was", () => {
  const played = asSaid();
  const csv = weighingsCsv(played.batch, 1, "0".repeat(64));
  const { batches, problems } = readLog(csv, loadFoodTable());
  expect(problems).toEqual([]);
  const judged = judgeBatch(batches[0]!.logs, { limit: fraction(0.01) });
  const kept = played.batch.judged!.trays[0]!;
  expect(judged.trays[0]!.verdict).toBe(kept.verdict);
  expect(judged.trays[0]!.pDry).toBeCloseTo(kept.pDry, 4);
  const silent = csv.replace(/,1,(?=[^,]*,[^,]*,0{64}\r\n$)/, ",,");
  expect(silent).not.toBe(csv);
  expect(
    judgeBatch(readLog(silent, loadFoodTable()).batches[0]!.logs, { limit: fraction(0.01) })
      .trays[0]!.contradiction?.code,
  ).toBe("weighed-twice");
});

test("two such weighings teach nothing of the scale", () => {
  const played = asSaid();
  expect(seriesOf({ ...played.batch, practice: false })).toEqual([]);
});

test("on the scale the tray is touched to be weighed again in its round, and what is missing is told", () => {
  const played = dried();
  played.hour += 1 / 60;
  played.act((bench) => acts.chooseTask(bench, "scale-1", 1, null, null));
  played.put(400 + 68);
  expect(played.scale.load?.became).toBe("taken");
  expect(shown(played).verdict!.contradiction).toMatchObject({ foodTaken: true });
});
