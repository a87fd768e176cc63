import { expect, test } from "vitest";
import * as weighings from "../../src/service/weighings.ts";
import { current } from "../../src/service/look.ts";
import { showBatch } from "../../src/service/showbatch.ts";
import { grams } from "../../src/units/quantity.ts";
import { dried, Played } from "./given.ts";

/** A tray dried to 102 g, then weighed once more at `hour`; the mass typed is that of the whole tray. */
function typedAt(hour: number, gross: number): Played {
  const played = dried();
  played.clock("in");
  played.hour = hour;
  played.clock("out");
  const trayId = played.batch.trays[0]!.id;
  played.act((bench) =>
    weighings.typeWeighing(bench, {
      trayId,
      kind: "dry",
      portion: null,
      gross: grams(gross),
      division: grams(0.1),
      at: played.at(),
      now: played.at(),
    }),
  );
  return played;
}

const shownBy = (played: Played) =>
  showBatch(played.batch, { at: played.at(), timeFactor: 1 }).trays[0]!.verdict!;

test.each([
  ["grams typed as ounces", 502 * 28.349523125, "unit-mixed"],
  ["another empty tray left under it", 902, "wrong-tare"],
])("%s: what was meant is told, and one correction takes its place", (_name, gross, code) => {
  const played = typedAt(36, gross);
  const { verdict, contradiction } = shownBy(played);
  expect({ verdict, code: contradiction?.code }).toEqual({ verdict: "unsure", code });
  const { weighing, meant } = contradiction!;
  expect(meant!.netGrams).toBeCloseTo(102, 1);
  expect(meant!.grossGrams).toBeCloseTo(502, 1);
  const before = played.batch.weighings.length;
  played.act((bench) =>
    weighings.editWeighing(bench, weighing!, {
      trayId: null,
      kind: null,
      gross: grams(meant!.grossGrams),
      struck: false,
      reason: "wrong unit",
    }),
  );
  // The wrong row stays on the record beside the right one.
  expect(played.batch.weighings).toHaveLength(before + 1);
  expect(current(played.batch.weighings).at(-1)).toMatchObject({
    supersedes: weighing,
    reason: "wrong unit",
  });
  expect(shownBy(played)).toMatchObject({ verdict: "stable", contradiction: null });
});

test("where nothing tells what was meant, nothing is offered", () => {
  expect(shownBy(typedAt(36, 700)).contradiction).toMatchObject({
    code: "wrong-tare",
    meant: null,
  });
});

const typed = (played: Played, kind: "tare" | "fresh", gross: number): void =>
  played.act((bench) =>
    weighings.typeWeighing(bench, {
      trayId: 1,
      kind,
      portion: null,
      gross: grams(gross),
      division: grams(1),
      at: played.at(),
      now: played.at(),
    }),
  );

test("a loaded tray kept as the empty one is put right by its kind alone", () => {
  const played = new Played();
  played.startBatch(["A"]);
  typed(played, "tare", 1312);
  played.act((bench) =>
    weighings.editWeighing(bench, 1, {
      trayId: null,
      kind: "fresh",
      gross: null,
      struck: false,
      reason: "it was loaded",
    }),
  );
  const at = { at: played.at(), timeFactor: 1 };
  expect(showBatch(played.batch, at).trays[0]).toMatchObject({ tareGrams: 400, freshGrams: 912 });
});

test("an empty tray as heavy as the tray was with food on it is refused, and the food stays", () => {
  const played = new Played();
  played.startBatch(["A"]);
  typed(played, "fresh", 1312);
  expect(() => typed(played, "tare", 2000)).toThrow(
    "1312.0 g is not more than the empty A (2000.0 g)",
  );
  typed(played, "tare", 420);
  const at = { at: played.at(), timeFactor: 1 };
  expect(showBatch(played.batch, at).trays[0]).toMatchObject({ tareGrams: 420, freshGrams: 892 });
});
