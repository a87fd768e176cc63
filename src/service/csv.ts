/** An export of weighings that `stillweight judge` reads again: the same headers, one row a weighing. */
import { isoOf } from "../clock.ts";
import { harmless } from "../units/csv.ts";
import type { Batch } from "./bench.ts";
import { batchLabel, logOf, tareOf } from "./look.ts";

const headers = [
  "batch",
  "tray",
  "hours",
  "grams",
  "tare_g",
  "resolution_g",
  "fresh_g",
  "food",
  "water_pct",
  "water_sd_pct",
  "thickness_mm",
  "minutes_out",
  "stretch",
  "food_taken",
  "at",
  // What was answered of the tray's thickest piece after this weighing; `judge` leaves it alone.
  "thickest_piece",
  // Of the record's weighings when the file was made: the same as `stillweight check` prints.
  "record_head",
] as const;

type Cell = string | number | null;

/** As numbers are written: with a decimal comma cells are separated by semicolons, as spreadsheets of such countries do. */
export type DecimalMark = "point" | "comma";

/** RFC 4180 quoting. Numbers that we write ourselves stay bare, so that -1.2 stays a number. */
function quote(cell: Cell, mark: DecimalMark): string {
  if (cell === null) return "";
  if (typeof cell === "number")
    return mark === "comma" ? String(cell).replace(".", ",") : String(cell);
  const text = harmless(cell);
  return /[",;\r\n]/.test(text) ? `"${text.replaceAll('"', '""')}"` : text;
}

const rounded = (value: number, decimals: number): number => Number(value.toFixed(decimals));

export function weighingsCsv(
  batch: Batch,
  timeFactor: number,
  head: string,
  mark: DecimalMark = "point",
): string {
  const rows = batch.trays.flatMap((tray): Cell[][] => {
    const log = logOf(batch, tray, timeFactor);
    const tare = tareOf(batch, tray);
    const fresh = log.fresh;
    const start =
      fresh === null
        ? []
        : [
            {
              dryingHours: 0,
              net: fresh.net,
              division: fresh.division,
              minutesOut: null,
              stretch: null,
              foodTaken: false,
              at: null,
            },
          ];
    const weighings = [...start, ...log.weighings];
    const answers = batch.coreChecks.filter(({ trayId }) => trayId === tray.id);
    const weighedBefore = (at: number): number =>
      weighings.findLastIndex((weighing) => (weighing.at ?? 0) <= at);
    return weighings.map((weighing, place) => [
      batchLabel(batch),
      tray.name,
      rounded(weighing.dryingHours, 4),
      rounded(weighing.net + (tare ?? 0), 3),
      tare === null ? 0 : rounded(tare, 3),
      rounded(weighing.division, 6),
      fresh === null ? null : rounded(fresh.net, 3),
      tray.foodName,
      log.food === null ? null : rounded(log.food.water * 100, 4),
      log.food === null ? null : rounded(log.food.waterSd * 100, 4),
      tray.thicknessMm,
      weighing.minutesOut === null ? null : rounded(weighing.minutesOut, 1),
      weighing.stretch,
      weighing.foodTaken === true ? 1 : null,
      weighing.at === null ? null : isoOf(weighing.at),
      answers
        .filter(({ at }) => weighedBefore(at) === place)
        .map(({ finding }) => finding)
        .join(", "),
      head,
    ]);
  });
  return (
    [headers, ...rows]
      .map((row) => row.map((cell) => quote(cell, mark)).join(mark === "comma" ? ";" : ","))
      .join("\r\n") + "\r\n"
  );
}
