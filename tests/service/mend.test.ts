import { expect, test } from "vitest";
import * as weighings from "../../src/service/weighings.ts";
import { current } from "../../src/service/look.ts";
import { showBatch } from "../../src/service/showbatch.ts";
import { grams } from "../../src/units/quantity.ts";
import { dried, type Played } from "./given.ts";

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
