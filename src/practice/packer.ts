/**
 * What the practice hand does with bags after a batch: fills and seals two, and puts one back on the scale as one does
 * with a bag from the shelf. In: the bench and what the hand remembers. Out: the next act, or null when nothing is to
 * be packed.
 */
import { grams, type Grams } from "../units/quantity.ts";
import type { Bag, BagChoice, BagTask, BagWeighingKind, NewBags } from "../wire/bag.ts";
import type { Bench, Scale, ScaleTask } from "../wire/bench.ts";

export type PackAct =
  | { readonly is: "plan-bags"; readonly batch: number; readonly body: NewBags }
  | { readonly is: "choose-bag"; readonly scale: string; readonly body: BagChoice }
  | {
      readonly is: "place-bag";
      readonly bag: number;
      readonly kind: BagWeighingKind;
      readonly gross: Grams;
      /** Only a part of what goes in: one pours, looks and pours on. */
      readonly isPart: boolean;
      /** The newest weighing of a bag until then. */
      readonly lastTaken: number;
    };

export type Packer = {
  /** A batch that has ended, and the tray of it that goes into bags. */
  readonly toPack: { readonly batch: number; readonly tray: number } | null;
  readonly onPan: Omit<Extract<PackAct, { is: "place-bag" }>, "is" | "gross"> | null;
  /** The bag that is weighed once more, and what it weighed when it was sealed. */
  readonly toShelf: { readonly bag: number; readonly gross: Grams } | null;
};

export const idlePacker: Packer = { toPack: null, onPan: null, toShelf: null };

type PackMove = {
  readonly act: PackAct | { readonly is: "lift" } | { readonly is: "wait" };
  readonly doing: string;
};

/** Made up: a quart bag, and an absorber with a label. */
const emptyBag = grams(8.2);
const closingAdds = grams(4.1);
const firstPour = 0.6;
const pourAfterMs = 3000;

const wait = (doing: string): PackMove => ({ act: { is: "wait" }, doing });

export function packMove(seen: {
  readonly bench: Bench;
  readonly packer: Packer;
  readonly scale: Scale;
  readonly inActMs: number;
  readonly giveUpMs: number;
}): PackMove | null {
  const { bench, packer, scale } = seen;
  const task = bench.tasks.find((one) => one.scale === scale.id);
  if (task === undefined) return null;
  if (packer.onPan !== null) return withBag(seen, packer.onPan, task);
  const bags = bench.packing.filter((bag) => bag.practice);
  if (task.bag !== null) return forTask(bench, packer, task, task.bag);
  const [next] = bags;
  if (next !== undefined) return choose(scale, next.id, `taking ${next.code} in hand`);
  const { toPack, toShelf } = packer;
  if (toPack !== null)
    return {
      act: { is: "plan-bags", batch: toPack.batch, body: twoBags(toPack.tray) },
      doing: "dividing a tray into two bags",
    };
  if (toShelf === null) return null;
  return choose(scale, toShelf.bag, "taking a bag back from the shelf");
}

const choose = (scale: Scale, bag: number, doing: string): PackMove => ({
  act: { is: "choose-bag", scale: scale.id, body: { bag } },
  doing,
});

function forTask(bench: Bench, { toShelf }: Packer, task: ScaleTask, on: BagTask): PackMove | null {
  const lastTaken = task.bagTaken?.weighing ?? 0;
  const put = (gross: number, isPart = false): PackMove => ({
    act: {
      is: "place-bag",
      bag: on.bag,
      kind: on.kind,
      gross: grams(gross),
      isPart,
      lastTaken,
    },
    doing: `putting ${on.code} on the scale`,
  });
  switch (on.kind) {
    case "tare":
      return put(emptyBag);
    case "filled":
      return put((on.tareGrams ?? emptyBag) + firstPour * (on.targetGrams ?? 0), true);
    case "sealed": {
      const filled = grossAt(
        bench.packing.find(({ id }) => id === on.bag),
        "filled",
      );
      return filled === null ? null : put(filled + closingAdds);
    }
    case "shelf":
      // A bag that a person chose is the person's.
      return toShelf?.bag === on.bag ? put(toShelf.gross) : wait(`${on.code} is yours to weigh`);
  }
}

const grossAt = (bag: Bag | undefined, kind: BagWeighingKind): number | null =>
  bag?.weighings.findLast((row) => row.kind === kind && row.current)?.grossGrams ?? null;

function withBag(
  { bench, inActMs, giveUpMs }: Parameters<typeof packMove>[0],
  on: NonNullable<Packer["onPan"]>,
  task: ScaleTask,
): PackMove {
  const bag = bench.packing.find(({ id }) => id === on.bag);
  const code = bag?.code ?? task.bagTaken?.code ?? "the bag";
  const isTaken = (task.bagTaken?.weighing ?? 0) > on.lastTaken;
  const lift: PackMove = { act: { is: "lift" }, doing: `lifting ${code}` };
  if (isTaken && on.kind === "tare" && task.bag?.kind === "filled")
    return pour(task.bag, firstPour, task.bagTaken?.weighing ?? 0);
  if (isTaken) return lift;
  if (on.isPart && inActMs > pourAfterMs && task.bag?.kind === "filled")
    return pour(task.bag, 1, on.lastTaken);
  return inActMs > giveUpMs ? lift : wait(`waiting until ${code} is taken`);
}

const pour = (on: BagTask, share: number, lastTaken: number): PackMove => ({
  act: {
    is: "place-bag",
    bag: on.bag,
    kind: "filled",
    gross: grams((on.tareGrams ?? emptyBag) + share * (on.targetGrams ?? 0)),
    isPart: share < 1,
    lastTaken,
  },
  doing: `pouring into ${on.code}`,
});

const twoBags = (tray: number): NewBags => ({
  trays: [{ tray }],
  divide: { count: 2 },
  container: "soft",
  volumeMl: 946,
  lot: "practice bags",
  absorbers: { count: 1, cc: 300 },
  although: "practice: nobody eats it",
});

/** The packer after an act that was carried out. */
export function afterPackAct(packer: Packer, act: PackAct | { readonly is: "lift" }): Packer {
  switch (act.is) {
    case "plan-bags":
      return { ...packer, toPack: null };
    case "choose-bag":
      return packer;
    case "place-bag": {
      const { bag, kind, gross, isPart, lastTaken } = act;
      const toShelf =
        kind === "sealed" && packer.toShelf === null ? { bag, gross } : packer.toShelf;
      return { ...packer, toShelf, onPan: { bag, kind, isPart, lastTaken } };
    }
    case "lift":
      return {
        ...packer,
        onPan: null,
        toShelf: packer.onPan?.kind === "shelf" ? null : packer.toShelf,
      };
  }
}

/** What a person asks to be put on the practice scale for the bag that it waits for: all of it, or a part. */
export function grossFor(on: BagTask, bag: Bag, share: number): Grams | null {
  const weighed = (kind: BagWeighingKind, more: number): Grams | null => {
    const gross = grossAt(bag, kind);
    return gross === null ? null : grams(gross + more);
  };
  switch (on.kind) {
    case "tare":
      return emptyBag;
    case "filled":
      return grams((on.tareGrams ?? emptyBag) + share * (on.targetGrams ?? 0));
    case "sealed":
      return weighed("filled", closingAdds);
    case "shelf":
      return weighed("sealed", 0);
  }
}
