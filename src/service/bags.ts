/** What becomes of bags: opened, used, given away, dried again, taken back; sealed although their food took up moisture. */
import { bagCode, type Bag, type Fate } from "../bag/bag.ts";
import { fateOf, filledOf, gainToAnswer, isFinal, stateOf } from "../bag/state.ts";
import { Fault } from "../faults.ts";
import { asKept } from "../units/mass.ts";
import type { UtcMs } from "../units/quantity.ts";
import type { Batch, Bench, Change } from "./bench.ts";
import { refuseMoreThanLeft } from "./unpacked.ts";

export const wrongState = (bag: Bag, why: string): Fault =>
  new Fault("bag.wrong-state", `bag ${bagCode(bag)} is ${stateOf(bag)}: ${why}`);

export function bagOrFault(bench: Bench, bagId: number): Bag {
  const bag = bench.bags.find((one) => one.id === bagId);
  if (bag === undefined)
    throw new Fault("bag.not-found", `no bag in store has the number ${bagId}`);
  return bag;
}

export const planOf = (bench: Bench, bag: Bag): readonly Bag[] =>
  bench.bags.filter((one) => one.plan === bag.plan);

export function setFate(
  bench: Bench,
  bagId: number,
  fate: Fate,
  note: string | null,
  at: UtcMs,
): readonly Change[] {
  const bag = bagOrFault(bench, bagId);
  const state = stateOf(bag);
  const may =
    fate === "cancelled"
      ? state === "planned"
      : fate === "opened"
        ? state === "sealed"
        : filledOf(bag) !== null && !isFinal(state);
  if (!may)
    throw new Fault("bag.wrong-state", `bag ${bagCode(bag)} is ${state}: it cannot become ${fate}`);
  return [
    { is: "bag-fate", fate: { id: bench.next.bagFate, bagId, fate, at, note, takesBack: null } },
  ];
}

/**
 * Takes back what was said to have become of a bag: it is again what it was before. `bagged`: every bag that its batch
 * ever had. `redriedIn`: where its food is dried again. Throws bag.nothing-left where its food was planned anew.
 */
export function takeFateBack(
  bench: Bench,
  bag: Bag,
  {
    batch,
    bagged,
    redriedIn,
    note,
    at,
  }: {
    readonly batch: Batch;
    readonly bagged: readonly Bag[];
    readonly redriedIn: { readonly batchNumber: number; readonly tray: string } | null;
    readonly note: string | null;
    readonly at: UtcMs;
  },
): readonly Change[] {
  const last = fateOf(bag);
  const state = stateOf(bag);
  const refuse = (why: string): Fault => wrongState(bag, why);
  if (last === null || last.fate !== state) throw refuse("there is nothing to take back");
  if (last.fate === "re-dry" && redriedIn !== null)
    throw refuse(`its food lies on ${redriedIn.tray} of batch ${redriedIn.batchNumber}`);
  const { fate } = last;
  const back = { id: bench.next.bagFate, bagId: bag.id, fate, at, note, takesBack: last.id };
  if (fate === "cancelled")
    refuseMoreThanLeft(batch, bagged, { ...bag, fates: [...bag.fates, back] });
  const isGone = !bench.bags.includes(bag);
  const plan = bagged.filter((one) => one.plan === bag.plan);
  return [
    ...(isGone ? [{ is: "bags-returned", bags: plan } as const] : []),
    { is: "bag-fate", fate: back },
  ];
}

/** The bags of a plan that are filled are sealed although their food took up moisture on the bench. */
export function acceptGain(bench: Bench, bagId: number, at: UtcMs): readonly Change[] {
  const plan = planOf(bench, bagOrFault(bench, bagId));
  const found = gainToAnswer(plan);
  if (found === null)
    throw new Fault(
      "bag.wrong-state",
      "its food weighs no more than when it was dry, or the answer to that is known: go on and seal it",
    );
  return plan
    .filter((bag) => stateOf(bag) === "filled")
    .map((bag, index): Change => ({
      is: "bag-gain-accepted",
      accepted: {
        id: bench.next.bagGain + index,
        bagId: bag.id,
        gain: asKept(found.gain),
        provable: asKept(found.provable),
        at,
      },
    }));
}
