import { isoOf } from "../clock.ts";
import type { Holding, StoreReport } from "../store/inspect.ts";
import { judgmentVersion } from "../verdict/verdict.ts";

const counted = (count: number, one: string, many = `${one}s`): string =>
  `${count} ${count === 1 ? one : many}`;

/** What a store holds, for a person. */
export function holdingInWords({ holds, layout, bytes }: StoreReport): readonly string[] {
  const size = `${(bytes / 1_000_000).toFixed(1)} MB, layout ${layout}`;
  if (holds === null) return [size];
  return [
    `${size}, ${holds.practice ? "practice: nothing in it is food" : "real food"}`,
    `${counted(holds.batches, "batch", "batches")} (${holds.openBatches} open) with ${counted(holds.trays, "tray")}`,
    weighingsInWords(holds),
    `${counted(holds.moments.rows, "moment")} of the drying clock, ${counted(holds.verdicts, "verdict")} given`,
    ...replayedInWords(holds),
    `${counted(holds.bags, "bag")} with ${counted(holds.bagWeighings.rows, "weighing")}`,
    `last weighing ${holds.weighings.head}`,
    `last moment ${holds.moments.head}`,
    `last bag weighing ${holds.bagWeighings.head}`,
    `last bag fate ${holds.bagFates.head}`,
    `last bag answer ${holds.bagGains.head}`,
  ];
}

function weighingsInWords(holds: Holding): string {
  const many = counted(holds.weighings.rows, "weighing");
  if (holds.firstAt === null || holds.lastAt === null) return many;
  const corrected = counted(holds.corrections, "correction");
  return `${many}, ${corrected} among them, from ${isoOf(holds.firstAt)} to ${isoOf(holds.lastAt)}`;
}

function replayedInWords({ replayed }: Holding): readonly string[] {
  if (replayed === null || replayed.checked + replayed.older === 0) return [];
  const anew = `${counted(replayed.checked, "verdict")} judged anew from the weighings kept`;
  if (replayed.older === 0) return [anew];
  return [
    `${anew}, ${replayed.older} unchecked: given by another version of the judgment than this program's (${judgmentVersion})`,
  ];
}
