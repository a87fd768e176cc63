/** Photographs of trays and bags. They are kept for people; nothing is reckoned from them. */
import { isoOf } from "../clock.ts";
import { Fault } from "../faults.ts";
import { bagCode, type Bag } from "../bag/bag.ts";
import type { PhotoKept } from "../store/photo.ts";
import type { Photo } from "../wire/photo.ts";
import type { Batch } from "./bench.ts";

export const mostPhotos = 60;

export type PhotoOf = { readonly tray: number | null; readonly bag: number | null };

/** `bags`: those of the batch. */
export const showPhoto = (photo: PhotoKept, bags: readonly Bag[]): Photo => ({
  id: photo.id,
  batch: photo.batchId,
  tray: photo.trayId,
  bag: photo.bagId,
  bagCode: bags.filter(({ id }) => id === photo.bagId).map(bagCode)[0] ?? null,
  type: photo.type,
  bytes: photo.size,
  at: isoOf(photo.at),
});

/** A picture is of one tray or one bag of its batch, or of the batch as a whole. */
export function refuseStrangePhoto(batch: Batch, of: PhotoOf, bags: readonly Bag[]): void {
  if (of.tray !== null && of.bag !== null)
    throw new Fault("input.invalid", "a photograph is of a tray or of a bag, not of both");
  if (of.tray !== null && !batch.trays.some(({ id }) => id === of.tray))
    throw new Fault("tray.not-found", `batch ${batch.id} has no tray with the number ${of.tray}`);
  if (of.bag !== null && !bags.some(({ id }) => id === of.bag))
    throw new Fault("bag.not-found", `batch ${batch.id} has no bag with the number ${of.bag}`);
}
