/**
 * What a tray may weigh in a round, and whether its person brings the trays in the order that the page asks for. Both
 * follow from the weighings of the batch alone, so that what was undone or put right counts as it stands now.
 */
import {
  expectGross,
  followsAfter,
  followsAtFirst,
  type Expectation,
  type Left,
  type TrayCandidate,
} from "../tray/whichtray.ts";
import type { FoodOnTray, TrayId, TrayWeighing } from "../tray/weighing.ts";
import { grams, type Grams, type UtcMs } from "../units/quantity.ts";
import type { Batch, Tray } from "./bench.ts";
import { batchClockAt, foodOf, freshNetOf, outingsOf, tareOf, weighingsOf } from "./look.ts";

/** The weighings of one round, in the order in which the trays came. */
type RoundSeen = { readonly trays: readonly Tray[]; readonly loads: readonly TrayWeighing[] };

/** All that is asked of a tray again and again, looked up once. */
type Known = {
  readonly tray: Tray;
  readonly tare: Grams | null;
  readonly freshNet: Grams | null;
  readonly food: FoodOnTray | null;
  readonly dry: readonly TrayWeighing[];
};

const knownOf = (batch: Batch, tray: Tray): Known => {
  return {
    tray,
    tare: tareOf(batch, tray),
    freshNet: freshNetOf(batch, tray),
    food: foodOf(batch, tray),
    dry: weighingsOf(batch, tray.id).filter(({ kind }) => kind === "dry"),
  };
};

/** A round lasts from trays coming out to the next coming out; the last is under way. */
function roundsSeen(batch: Batch, known: readonly Known[]): readonly RoundSeen[] {
  const outings = outingsOf(batch);
  return outings.map(({ first, outSince }, index) => {
    const until = outings[index + 1]?.first.at ?? Number.POSITIVE_INFINITY;
    // A tray that was weighed again came once.
    const firstOf = ({ tray, dry }: Known): TrayWeighing | undefined =>
      dry.find(({ at }) => at >= (outSince.get(tray.id) ?? until) && at < until);
    // One that stayed out from the round before, weighed, is none of this one.
    const ofRound = known.filter(
      (one) =>
        one.freshNet !== null &&
        outSince.has(one.tray.id) &&
        (firstOf(one)?.at ?? first.at) >= first.at,
    );
    const loads = ofRound
      .flatMap((one) => firstOf(one) ?? [])
      .toSorted((a, b) => a.at - b.at || a.id - b.id);
    return { trays: ofRound.map(({ tray }) => tray), loads };
  });
}

/** Share of its water that a tray holds, at a net mass. */
function leftOf({ freshNet, food }: Known, net: Grams): number | null {
  if (freshNet === null || food === null) return null;
  const water = freshNet * food.water;
  return (net - (freshNet - water)) / water;
}

const netBefore = (one: Known, load: TrayWeighing | undefined): Grams | null => {
  const last = one.dry.findLast(
    ({ at, id }) => load === undefined || at < load.at || (at === load.at && id < load.id),
  );
  return last === undefined || one.tare === null ? one.freshNet : grams(last.gross - one.tare);
};

export type OrderSeen = {
  /** What a tray may weigh as it comes next. */
  readonly expect: (tray: Tray) => Expectation;
  /** Probability that the trays of this round come in the order asked for: it falls where masses speak against it. */
  readonly follows: number;
};

/** A round that was seen counts as one, what is believed of anybody as so many. Our choice. */
const roundsBelieved = 10;

/** `at`: the moment of the load that comes next. */
export function orderSeen(batch: Batch, at: UtcMs): OrderSeen {
  const known = batch.trays.map((tray) => knownOf(batch, tray));
  const of = new Map<TrayId, Known>(known.map((one) => [one.tray.id, one]));
  const leftIn = (loads: readonly TrayWeighing[]): readonly Left[] =>
    loads.flatMap((load) => {
      const one = of.get(load.trayId);
      const before = one === undefined ? null : netBefore(one, load);
      if (one === undefined || before === null || one.tare === null) return [];
      const [held, holds] = [leftOf(one, before), leftOf(one, grams(load.gross - one.tare))];
      return held === null || holds === null ? [] : [{ before: held, now: holds }];
    });
  const expectOf = (one: Known, others: readonly Left[], load: TrayWeighing | undefined) =>
    expectGross({
      kind: "dry",
      tare: one.tare,
      freshNet: one.freshNet,
      lastNet: netBefore(one, load),
      food: one.food,
      others,
      taresOfOthers: [],
    });

  let follows = followsAtFirst;
  let sum = roundsBelieved * followsAtFirst;
  const rounds = roundsSeen(batch, known);
  for (const [index, { trays, loads }] of rounds.entries()) {
    const start = sum / (roundsBelieved + index);
    follows = start;
    for (const [place, load] of loads.entries()) {
      const seen = loads.slice(0, place);
      const others = leftIn(seen);
      const waiting = trays.filter(({ id }) => !seen.some(({ trayId }) => trayId === id));
      const candidates = waiting.map((tray): TrayCandidate => ({
        id: tray.id,
        name: tray.name,
        expect: expectOf(of.get(tray.id)!, others, load),
      }));
      const { gross, division } = load;
      const u = grams(division / 2);
      const prompted = waiting[0]?.id ?? null;
      // What came in order so far says nothing against two trays exchanged at the end.
      follows = Math.min(start, followsAfter(follows, { gross, u, candidates, prompted }));
    }
    sum += follows;
  }
  // With the trays in again, what they kept in the last round says nothing of now.
  const isUnderWay = batchClockAt(batch, at).is === "out";
  const others = leftIn(isUnderWay ? (rounds.at(-1)?.loads ?? []) : []);
  return { follows, expect: (tray) => expectOf(of.get(tray.id)!, others, undefined) };
}
