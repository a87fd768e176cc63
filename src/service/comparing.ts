/** One load on two scales, one after the other: how much more one of them shows. */
import { Fault } from "../faults.ts";
import {
  counted,
  isOneLoad,
  leastDivisions,
  offsetBetween,
  type ScaleComparison,
  type ScaleOffset,
} from "../tray/offset.ts";
import { asKept, divisionAsKept } from "../units/mass.ts";
import { grams, type Grams, type UtcMs } from "../units/quantity.ts";
import type { Bench, Change, LoadOnScale, ScaleOnBench } from "./bench.ts";
import { loadBecame, nextId } from "./kitchen.ts";

/** Two scales that wait for one load. */
export type Comparing = {
  readonly one: string;
  readonly other: string;
  /** The load on the first of them. */
  readonly first: Figure | null;
  /** Why the load that came last was not taken. */
  readonly why:
    "zero-not-seen" | "too-light" | "too-late" | "still-on-first" | "not-one-load" | null;
};

type Figure = {
  readonly scale: string;
  readonly shown: Grams;
  readonly division: Grams;
  readonly at: UtcMs;
};

/** Food on the bench takes up water or thaws: later the load is another one. Our choice. */
const longestMs = 15 * 60_000;

/** A person compares two scales next; null: no longer. */
export function chooseComparing(
  bench: Bench,
  scales: readonly [string, string] | null,
): readonly Change[] {
  if (scales === null) return [{ is: "comparing-changed", comparing: null }];
  const [one, other] = scales;
  for (const id of scales)
    if (!bench.scales.some((scale) => scale.id === id))
      throw new Fault("scale.not-found", `no scale is called ${id}`);
  if (one === other)
    throw new Fault("input.invalid", `${one} cannot be compared with itself: name two scales`);
  const { comparing } = bench;
  if (comparing !== null) {
    const isSame = isCompared(bench, one) && isCompared(bench, other);
    if (isSame) return [];
    throw new Fault(
      "edit.crossed",
      `${comparing.one} and ${comparing.other} wait for a load already: end that comparison first`,
    );
  }
  return [{ is: "comparing-changed", comparing: { one, other, first: null, why: null } }];
}

export const isCompared = ({ comparing }: Bench, scaleId: string): boolean =>
  comparing !== null && (comparing.one === scaleId || comparing.other === scaleId);

/** A load came to rest on one of the two. Nothing else is made of it. */
export function settleComparing(
  bench: Bench,
  scale: ScaleOnBench,
  comparing: Comparing,
  load: Pick<LoadOnScale, "id" | "weight">,
): readonly Change[] {
  const { mass, division, zeroSeen, atUtcMs: at } = load.weight;
  const figure: Figure = {
    scale: scale.id,
    shown: asKept(mass),
    division: divisionAsKept(division),
    at,
  };
  const { first } = comparing;
  const waits = (next: Partial<Comparing>): readonly Change[] => [
    loadBecame(scale, load, "ignored"),
    { is: "comparing-changed", comparing: { ...comparing, why: null, ...next } },
  ];
  if (!zeroSeen) return waits({ why: "zero-not-seen" });
  if (figure.shown < leastDivisions * division) return waits({ why: "too-light" });
  if (first === null || first.scale === scale.id) return waits({ first: figure });
  if (at - first.at > longestMs) return waits({ first: figure, why: "too-late" });
  if (bench.scales.some(({ id, load: lies }) => id === first.scale && lies !== null))
    return waits({ why: "still-on-first" });
  const coarser = grams(Math.max(first.division, figure.division));
  if (!isOneLoad(first.shown, figure.shown, coarser)) return waits({ why: "not-one-load" });
  const [one, other] = comparing.one === scale.id ? [figure, first] : [first, figure];
  const comparison: ScaleComparison = {
    id: nextId(bench.kitchen.comparisons),
    one: one.scale,
    other: other.scale,
    oneShown: one.shown,
    otherShown: other.shown,
    oneDivision: one.division,
    otherDivision: other.division,
    at,
    takesBack: null,
  };
  return [
    { is: "scales-compared", comparison },
    loadBecame(scale, load, "taken"),
    { is: "comparing-changed", comparing: null },
  ];
}

/** It stays on the record and counts no more. */
export function takeBackComparison(bench: Bench, id: number, at: UtcMs): readonly Change[] {
  const all = bench.kitchen.comparisons;
  const old = counted(all).find((one) => one.id === id);
  if (old === undefined)
    throw new Fault("edit.crossed", `no comparison that counts has the number ${id}`);
  return [
    { is: "scales-compared", comparison: { ...old, id: nextId(all), at, takesBack: old.id } },
  ];
}

/** Of every two scales that were ever compared. */
export function offsetsOf(comparisons: readonly ScaleComparison[]): readonly ScaleOffset[] {
  const pairs = new Map<string, ScaleComparison>();
  for (const one of counted(comparisons))
    pairs.set([one.one, one.other].toSorted().join("\n"), one);
  return [...pairs.keys()].flatMap((pair) => {
    const [to = "", from = ""] = pair.split("\n");
    return offsetBetween(comparisons, from, to) ?? [];
  });
}
