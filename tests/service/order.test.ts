/** Whether a person brings the trays in the order asked for, as the weighings of a batch tell. */
import { expect, test } from "vitest";
import * as acts from "../../src/service/acts.ts";
import * as weighings from "../../src/service/weighings.ts";
import { answerLoad } from "../../src/service/loads.ts";
import { orderSeen } from "../../src/service/order.ts";
import { followsAtFirst } from "../../src/tray/whichtray.ts";
import { grams } from "../../src/units/quantity.ts";
import { Played, strawberries, trayAsked } from "./given.ts";

const tare = 400;

/** Loaded with these fresh masses, dried for ten hours, and out. */
function out(fresh: readonly number[]): Played {
  const played = new Played();
  const holding = { tare: grams(tare), foodName: strawberries.name, food: strawberries };
  played.begin(fresh.map((_, n) => trayAsked(`${n + 1}`, holding)));
  for (const net of fresh) {
    played.put(tare + net);
    played.lift();
  }
  dry(played, 10);
  return played;
}

function dry(played: Played, byHours: number): void {
  played.clock("in");
  played.hour += byHours;
  played.clock("out");
}

/** What became of the load, answered with the truth where it was asked about. */
function bring(played: Played, trayId: number, net: number): string {
  played.hour += 0.01;
  played.put(tare + net);
  const { became, id: load } = played.scale.load!;
  if (became === "asked") {
    const answer = { load, trayId, kind: "dry", portion: null } as const;
    played.act((bench) => answerLoad(bench, "scale-1", answer));
  }
  const last = played.batch.weighings.at(-1)!;
  played.lift();
  return became === "asked" ? "asked" : last.trayId === trayId ? "right" : "wrong";
}

const follows = (played: Played): number => orderSeen(played.batch, played.at()).follows;

test("before any round, and where trays weigh alike, the order is believed as of anybody", () => {
  const played = out([600, 600, 600]);
  expect(follows(played)).toBe(followsAtFirst);
  for (const id of [1, 2, 3]) expect(bring(played, id, 300)).toBe("right");
  expect(follows(played)).toBeCloseTo(followsAtFirst, 6);
});

test("one tray out of order is asked about or known by its mass, and those after it are not taken as prompted", () => {
  const played = out([400, 900, 700, 720]);
  // Half of the water is left: tray 2 first, as heavy as all but tray 1 may be, then 4 before 3, which weigh alike.
  expect(bring(played, 2, 480)).toBe("asked");
  expect(follows(played)).toBeLessThan(0.6);
  expect(bring(played, 1, 214)).toBe("right");
  expect(bring(played, 4, 385)).toBe("asked");
  expect(bring(played, 3, 375)).toBe("right");
});

test("a round out of order is remembered in the next, and a weighing struck out is not", () => {
  const played = out([400, 900, 700]);
  for (const [id, net] of [
    [2, 480],
    [3, 375],
    [1, 214],
  ] as const)
    bring(played, id, net);
  dry(played, 5);
  const remembered = follows(played);
  expect(remembered).toBeLessThan(followsAtFirst - 0.03);
  for (const { id, kind } of played.batch.weighings)
    if (kind === "dry")
      played.act((bench) =>
        weighings.editWeighing(bench, id, {
          trayId: null,
          kind: null,
          gross: null,
          struck: true,
          reason: "another batch's",
        }),
      );
  expect(follows(played)).toBe(followsAtFirst);
});

test("a tray that a person touched is taken as that one, in whatever order the others came", () => {
  const played = out([400, 900, 700, 720]);
  bring(played, 2, 480);
  played.act((bench) => acts.chooseTask(bench, "scale-1", 4, null, null));
  expect(bring(played, 4, 385)).toBe("right");
});
