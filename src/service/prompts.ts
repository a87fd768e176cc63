/**
 * Which tray each of several scales asks for. Two people at two scales are asked for different trays, and keep what
 * they are asked for until it was weighed: who brings it shall not find that it became another one on the way.
 */
import type { UtcMs } from "../units/quantity.ts";
import type { Batch, Bench, ScaleOnBench } from "./bench.ts";
import { waitedForOn, type Expected } from "./loads.ts";
import { momentsOf } from "./look.ts";

/** What decides what a scale asks for, besides the batches. */
const decides = ["chosen", "load", "lastTaken", "link", "bag", "checking"] as const;

const isAlike = (one: ScaleOnBench, other: ScaleOnBench | undefined): boolean =>
  other !== undefined && decides.every((part) => one[part] === other[part]);

export function withPrompts(bench: Bench, before: Bench, at: UtcMs): Bench {
  if (bench.scales.length < 2) return bench;
  const isSame =
    bench.batches === before.batches &&
    bench.scales.length === before.scales.length &&
    bench.scales.every((scale, index) => isAlike(scale, before.scales[index]));
  if (isSame) return bench;
  return bench.scales.reduce((present, { id }) => {
    const scale = present.scales.find((one) => one.id === id);
    if (scale === undefined) return present;
    const prompt = promptOn(present, scale, at);
    if (prompt === scale.prompt) return present;
    const scales = present.scales.map((one) => (one.id === id ? { ...one, prompt } : one));
    return { ...present, scales };
  }, bench);
}

function promptOn(bench: Bench, scale: ScaleOnBench, at: UtcMs): number | null {
  const waited = waitedForOn(bench, scale, at);
  const others = bench.scales.filter(({ id, link }) => id !== scale.id && link.link === "up");
  const isAskedElsewhere = ({ batch, tray }: Expected): boolean =>
    others.some(({ id, chosen, prompt }) =>
      chosen === null ? prompt === tray.id && isInUse(bench, batch, id) : chosen.trayId === tray.id,
    );
  const free = waited.filter((one) => !isAskedElsewhere(one));
  const takenBack = free.find(({ batch, tray }) => isTakenBack(batch, tray.id, scale.id));
  // Who has begun on the trays of another batch goes on with those.
  const busyWith =
    free[0] !== undefined && isBegunOn(free[0].batch, scale.id) ? free[0].batch : null;
  const still = free.find(
    ({ batch, tray }) => tray.id === scale.prompt && (busyWith ?? batch) === batch,
  );
  return (takenBack ?? still ?? free[0] ?? waited[0])?.tray.id ?? null;
}

const onBenchSince = (batch: Batch): UtcMs => momentsOf(batch).at(-1)?.at ?? batch.startedAt;

const isWeighedOn = ({ weighings }: Batch, scaleId: string, since: UtcMs): boolean =>
  weighings.some(({ scale, at }) => scale === scaleId && at >= since);

const isBegunOn = (batch: Batch, scaleId: string): boolean =>
  isWeighedOn(batch, scaleId, onBenchSince(batch));

/** A scale at which nothing was weighed since the trays came out keeps none of them from the others. */
const isInUse = ({ batches }: Bench, batch: Batch, scaleId: string): boolean =>
  batches.some((one) => isWeighedOn(one, scaleId, onBenchSince(batch)));

/** What was undone on a scale is weighed there again. */
function isTakenBack(batch: Batch, trayId: number, scaleId: string): boolean {
  const last = batch.weighings.findLast((row) => row.trayId === trayId);
  return last !== undefined && last.struck && last.scale === scaleId;
}
