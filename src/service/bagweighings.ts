/** Weighings of a bag: which one it waits for, kept as they were read, put right or struck out. */
import { bagCode, type Bag, type BagWeighing, type BagWeighingKind } from "../bag/bag.ts";
import {
  fateOf,
  gainToAnswer,
  isFinal,
  lastOf,
  stateOf,
  tareOf,
  weighingsOf,
  wetToAnswer,
} from "../bag/state.ts";
import { isoOf } from "../clock.ts";
import { Fault } from "../faults.ts";
import { asKept, divisionAsKept } from "../units/mass.ts";
import { grams, type Grams, type UtcMs } from "../units/quantity.ts";
import { bagOrFault, planOf, wrongState } from "./bags.ts";
import type { Bench, Change, ScaleOnBench } from "./bench.ts";

export const noMoreWeighed = "nothing of it is weighed any more";
export const gainUnanswered =
  "Its food took up moisture on the bench: say first whether it is dried again or sealed all the same";

/** The next weighing that a bag waits for. */
export function kindNow(bag: Bag): BagWeighingKind {
  const state = stateOf(bag);
  if (state === "sealed") return "shelf";
  if (state === "filled" || state === "opened") return "sealed";
  return tareOf(bag) === null ? "tare" : "filled";
}

/** Throws bag.wrong-state when a bag is not at the point for this kind of weighing. */
export function refuseKind(bag: Bag, kind: BagWeighingKind): void {
  const state = stateOf(bag);
  const say = (why: string): Fault => wrongState(bag, why);
  if (isFinal(state)) throw say(noMoreWeighed);
  if (kind === "tare" && state !== "planned")
    throw say("the empty bag is weighed before it is filled");
  if (kind === "filled" && state !== "planned") throw say("it was filled already");
  if (kind === "filled" && tareOf(bag) === null) throw say("the empty bag is weighed first");
  if (kind === "sealed" && state !== "filled" && state !== "opened")
    throw say("it is sealed after it was filled or opened");
  if (kind === "shelf" && state !== "sealed")
    throw say("only a sealed bag is weighed on the shelf");
}

/** With food in it, a bag weighs more than empty. */
export function refuseMass(bag: Bag, kind: BagWeighingKind, gross: Grams): void {
  const tare = tareOf(bag);
  if (gross <= 0 || (kind !== "tare" && tare !== null && gross <= tare))
    throw notMore(gross, tare ?? grams(0));
  const filled = lastOf(bag, "filled");
  if (kind === "tare" && filled !== null && filled.gross <= gross)
    throw notMore(filled.gross, gross);
}

const notMore = (gross: Grams, tare: Grams): Fault =>
  new Fault(
    "weighing.impossible",
    `${gross.toFixed(1)} g is not more than the empty bag (${tare.toFixed(1)} g)`,
  );

/**
 * Throws clock.out-of-order for a weighing that a person types for a moment before what is known of the bag since:
 * nothing would follow from it. What is typed as of now is kept, whatever the computer's clock showed before.
 */
function refuseEarlier(bag: Bag, at: UtcMs, now: UtcMs): void {
  const known = [...weighingsOf(bag), fateOf(bag)].flatMap((row) => row?.at ?? []);
  const [last] = known.toSorted((a, b) => b - a);
  if (last !== undefined && at < now && at < last)
    throw new Fault("clock.out-of-order", `${isoOf(at)} is not between ${isoOf(last)} and now`);
}

/** Why a bag is not sealed unasked: a piece of its tray was found cold or soft since it was planned. */
export function whyWet(bag: Bag): string | null {
  const found = wetToAnswer(bag);
  return found.length === 0 ? null : `${found.join(" ")} Dry it again, or seal it knowing that`;
}

/**
 * Keeps a weighing as a person read it, or took it from the scale by saying so. `although`: the person's word to seal
 * food of a tray on which a wet piece was found; it stays with the weighing.
 */
export function weighBag(
  bench: Bench,
  bagId: number,
  asked: Pick<BagWeighing, "kind" | "gross" | "division" | "scale" | "source" | "zeroSeen" | "at">,
  now: UtcMs,
  although: string | null = null,
): readonly Change[] {
  const bag = bagOrFault(bench, bagId);
  refuseKind(bag, asked.kind);
  // Before the mass: a page that sends it once more takes this refusal for read.
  const wet = asked.kind === "sealed" ? whyWet(bag) : null;
  if (wet !== null && although === null) throw new Fault("tray.not-dry", wet);
  refuseMass(bag, asked.kind, asked.gross);
  // Not by sending it once more: its answer has a place of its own on the record.
  if (asked.kind === "sealed" && gainToAnswer(planOf(bench, bag)) !== null)
    throw new Fault("weighing.impossible", gainUnanswered);
  if (asked.at > now)
    throw new Fault("clock.out-of-order", "that moment is still to come: give a time before now");
  if (asked.source === "typed") refuseEarlier(bag, asked.at, now);
  return [
    {
      is: "bag-weighed",
      weighing: {
        ...asked,
        id: bench.next.bagWeighing,
        bagId,
        gross: asKept(asked.gross),
        division: divisionAsKept(asked.division),
        supersedes: null,
        struck: false,
        reason: wet === null ? null : although,
      },
    },
  ];
}

const order: readonly BagWeighingKind[] = ["tare", "filled", "sealed", "shelf"];

/** Puts a bag's weighing right or strikes it out; the old row stays on the record. */
export function editBagWeighing(
  bench: Bench,
  bagId: number,
  weighingId: number,
  edit: { readonly gross: Grams | null; readonly struck: boolean; readonly reason: string },
): readonly Change[] {
  const bag = bagOrFault(bench, bagId);
  if (!bag.weighings.some(({ id }) => id === weighingId))
    throw new Fault("weighing.not-found", `bag ${bagCode(bag)} has no weighing ${weighingId}`);
  const counted = weighingsOf(bag);
  const old = counted.find(({ id }) => id === weighingId);
  if (old === undefined) {
    const after = bag.weighings.find(({ supersedes }) => supersedes === weighingId);
    const became =
      after === undefined || after.struck ? "struck out" : `replaced by ${after.gross} g`;
    throw new Fault(
      "weighing.edited-meanwhile",
      `weighing ${weighingId} was ${became} (${after?.reason ?? "no reason"}) since`,
    );
  }
  const later = counted.find(({ kind }) => order.indexOf(kind) > order.indexOf(old.kind));
  if (edit.struck && later !== undefined)
    throw new Fault(
      "bag.wrong-state",
      `bag ${bagCode(bag)} was weighed ${later.kind} after that: strike that out first, or give the right mass`,
    );
  const gross = asKept(edit.gross ?? old.gross);
  if (!edit.struck) refuseMass(bag, old.kind, gross);
  const weighing: BagWeighing = {
    ...old,
    id: bench.next.bagWeighing,
    gross,
    supersedes: old.id,
    struck: edit.struck,
    reason: edit.reason,
  };
  const shown = bench.scales.filter((scale) => scale.lastTakenBag?.weighing === old.id);
  return [
    { is: "bag-weighed", weighing },
    ...shown.flatMap((scale) => [
      {
        is: "bag-taken-shown",
        scaleId: scale.id,
        taken: edit.struck ? null : { bagId, weighing: weighing.id },
      } as const,
      ...(edit.struck ? backTo(scale, old) : []),
    ]),
  ];
}

const takenBack = "It was taken back: change it, lift it, or take it as it is";

/** What was taken back is waited for again; what still lies there may be changed or taken by a person's word. */
const backTo = ({ id, load }: ScaleOnBench, { bagId, kind }: BagWeighing): readonly Change[] => [
  ...(load === null
    ? []
    : [
        {
          is: "load-changed",
          scaleId: id,
          load: { ...load, became: "ignored", weighing: null, question: null },
        } as const,
      ]),
  {
    is: "bag-chosen",
    scaleId: id,
    bag: { bagId, kind, needsLift: false, why: load === null ? null : takenBack },
  },
];
