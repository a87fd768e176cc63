import type { TrayLog } from "../tray/weighing.ts";
import { said } from "./sentences.ts";
import type { BatchVerdict, Reason } from "./verdict.ts";

/** A tray weighed on several scales says so, whatever its word: what was taken off, or allowed for. */
export const withScalesSaid = (judged: BatchVerdict, logs: readonly TrayLog[]): BatchVerdict => ({
  ...judged,
  trays: judged.trays.map((verdict, i) => {
    const more = logs[i] === undefined ? [] : scaleReasons(logs[i]);
    return more.length === 0 ? verdict : { ...verdict, reasons: [...verdict.reasons, ...more] };
  }),
});

/** Of each other scale, by its last weighing. */
function scaleReasons({ weighings }: TrayLog): readonly Reason[] {
  const last = new Map(
    weighings.flatMap(({ otherScale }) =>
      otherScale === undefined ? [] : [[otherScale.scale, otherScale] as const],
    ),
  );
  return [...last.values()].map(({ scale, offset, u, isKnown }) => ({
    code: "other-scale",
    ...(isKnown
      ? said("other-scale", { offsetGrams: offset, uGrams: u, otherScale: scale })
      : said("other-scale-unknown", { uGrams: u, otherScale: scale })),
  }));
}
