/** A tray with its food on it, put down when the page asks for the empty one. */
import { expect, test } from "vitest";
import * as acts from "../../src/service/acts.ts";
import * as weighings from "../../src/service/weighings.ts";
import { answerLoad } from "../../src/service/loads.ts";
import { freshOf, netOf } from "../../src/service/look.ts";
import { openStore } from "../../src/store/store.ts";
import { Played, strawberries, trayAsked } from "./given.ts";
import { isFact } from "../../src/service/step.ts";
import { real, tempFolder } from "../store/folder.ts";

const holding = { foodName: strawberries.name, food: strawberries };

function begun(count: number): Played {
  const played = new Played();
  played.begin(Array.from({ length: count }, (_, n) => trayAsked(`${n + 1}`, holding)));
  return played;
}

const taken = (played: Played): string[] =>
  played.batch.weighings.map(({ trayId, kind, gross }) => `${trayId} ${kind} ${gross}`);

/** Tray 1 with its food, then a full tray 2 where its empty mass is asked for. */
function fullSecond(): Played {
  const played = begun(3);
  for (const gross of [400, 1100]) played.put(gross);
  played.lift();
  played.put(1080);
  return played;
}

test("with an empty tray known, a full one is asked about and not taken", () => {
  const played = fullSecond();
  expect(taken(played)).toEqual(["1 tare 400", "1 fresh 1100"]);
  expect(played.scale.load?.question).toMatchObject({
    is: "which-tray",
    why: "It is much heavier than the empty trays known so far: is food on it already?",
  });
  expect(played.scale.load?.question?.candidates[0]).toMatchObject({ trayId: 2, kind: "tare" });
});

test("one answer takes an unusual tray, and others like it are not asked about again", () => {
  const played = fullSecond();
  const load = played.scale.load!.id;
  played.act((bench) =>
    answerLoad(bench, "scale-1", { load, trayId: 2, kind: "tare", portion: null }),
  );
  played.put(1700);
  played.lift();
  played.put(1100);
  expect(taken(played).slice(2)).toEqual(["2 tare 1080", "2 fresh 1700", "3 tare 1100"]);
});

test("with the food taken off again the empty tray is taken by itself", () => {
  const played = fullSecond();
  const load = played.scale.load!.id;
  played.act((bench) =>
    answerLoad(bench, "scale-1", { load, trayId: null, kind: null, portion: null }),
  );
  played.put(405);
  expect(taken(played).at(-1)).toBe("2 tare 405");
});

test("an empty tray that was taken with a cup on it can be weighed again with one answer", () => {
  const played = begun(3);
  played.put(697);
  // The cup is taken off, and the tray with it or not.
  played.put(612);
  const { question, id: load } = played.scale.load!;
  expect(question?.candidates[0]).toMatchObject({ trayId: 1, kind: "tare" });
  played.act((bench) =>
    answerLoad(bench, "scale-1", { load, trayId: 1, kind: "tare", portion: null }),
  );
  played.put(1112);
  expect(taken(played)).toEqual(["1 tare 697", "1 tare 612", "1 fresh 1112"]);
  const [tray] = played.batch.trays;
  expect(netOf(played.batch, freshOf(played.batch, tray!)!)).toBe(500);
});

test("the first tray of all is taken, for nobody can tell", () => {
  const played = begun(2);
  played.put(1100);
  expect(taken(played)).toEqual(["1 tare 1100"]);
});

test("empty trays of ended batches are known to the next batch, and after a start", () => {
  const played = fullSecond();
  const [struck] = played.batch.weighings;
  played.act((bench) => acts.endBatch(bench, 1, played.at()));
  expect(played.bench.emptyTrays).toEqual([struck!.gross]);
  played.begin([trayAsked("other", holding)]);
  played.put(1100);
  expect(played.scale.load?.became).toBe("asked");

  const folder = tempFolder();
  const store = openStore(folder, { ...real, at: played.at(0) });
  for (const fact of played.told.filter(isFact)) store.record([fact]);
  expect(store.load().emptyTrays).toEqual(played.bench.emptyTrays);
  store.close();
});

test("an empty mass that was struck out is not known any more", () => {
  const played = begun(2);
  played.put(300);
  const wrong = played.batch.weighings[0]!;
  played.act((bench) =>
    weighings.editWeighing(bench, wrong.id, {
      trayId: null,
      kind: null,
      gross: null,
      struck: true,
      reason: "a lid lay on it",
    }),
  );
  played.act((bench) => acts.endBatch(bench, 1, played.at()));
  expect(played.bench.emptyTrays).toEqual([]);
});
