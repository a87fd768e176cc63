/** All that is kept of a batch, as a file for others. */
import Type, { type Static } from "typebox";
import { Bag } from "./bag.ts";
import { Batch, Curve, History } from "./batch.ts";
import { Iso } from "./words.ts";
import { Yields } from "./yield.ts";

export const BatchExport = Type.Object({
  program: Type.String(),
  exportedAt: Iso,
  batch: Batch,
  history: History,
  curves: Type.Array(Curve),
  yields: Yields,
  bags: Type.Array(Bag),
  heads: Type.Record(Type.String(), Type.String(), {
    description: "the last digest of each chain of the record: `stillweight check` prints the same",
  }),
});

export type BatchExport = Static<typeof BatchExport>;
