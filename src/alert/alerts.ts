/**
 * Which events deserve to reach a person, and in what words. In: what a batch or a scale has come to. Out: alerts,
 * each with the key that makes it one of a kind, so that nothing is told twice.
 */
import { trayCalled } from "../tray/called.ts";
import type { Hours } from "../units/quantity.ts";
import type { Interval, Reason, VerdictWord } from "../verdict/verdict.ts";
import type { Alert, AlertCode, Channel } from "../service/bench.ts";

export type Deserving = Pick<Alert, "key" | "code" | "batchId" | "round" | "text" | "figures">;

export const codeOf = {
  stable: "stable",
  losing: "needs-more",
  stalled: "stalled",
  gaining: "gaining",
  unsure: "unsure",
} as const satisfies Record<VerdictWord, AlertCode>;

/** What a batch has come to: a newer one of them takes the place of the one before. */
export const verdictAlerts: readonly AlertCode[] = Object.values(codeOf);

const half = (hours: number): number => (hours < 6 ? Math.round(hours * 2) / 2 : Math.round(hours));

/** "2 to 3.5", rounded as finely as the estimate deserves: half hours under six, whole hours above. */
function hoursRange({ low, high }: Interval<Hours>): string {
  const from = half(Math.max(0, low));
  const to = Math.max(half(high), from);
  return from === to ? `${from === 0 ? "under 0.5" : `about ${from}`}` : `${from} to ${to}`;
}

/** After a round of weighing: what the batch has come to, and what to do. Once for each word in a round. */
export function roundAlert(round: {
  readonly batchId: number;
  readonly label: string;
  readonly number: number;
  readonly root: number;
  readonly word: VerdictWord;
  readonly moreHours: Interval<Hours> | null;
  readonly behind: readonly string[];
  readonly reason: Pick<Reason, "code" | "sentence" | "figures" | "text"> | null;
}): Deserving {
  const code = codeOf[round.word];
  const because = round.reason === null ? "" : ` (${round.reason.text})`;
  const behind =
    round.behind.length === 0 ? "" : `; ${round.behind.map(trayCalled).join(", ")} behind`;
  const more =
    round.moreHours === null ? "more hours" : `${hoursRange(round.moreHours)} more hours`;
  const say = {
    stable: `stable weight reached. Break the thickest piece of each tray before you call it done`,
    losing: `still losing: ${more}${behind}`,
    stalled: `stalled. Look at the dryer, look for ice${because}`,
    gaining: `gaining weight${because}`,
    unsure: `unsure${because}`,
  }[round.word];
  return {
    key: `batch ${round.batchId} round ${round.root} ${code}`,
    code,
    batchId: round.batchId,
    round: round.number,
    text: `${round.label}: ${say}`,
    figures: {
      behind: round.behind,
      ...(round.moreHours === null
        ? {}
        : { lowHours: round.moreHours.low, highHours: round.moreHours.high }),
      ...(round.reason === null
        ? {}
        : {
            ...round.reason.figures,
            reason: round.reason.code,
            reasonSentence: round.reason.sentence,
            reasonText: round.reason.text,
          }),
    },
  };
}

export const timeToWeigh = (
  batchId: number,
  label: string,
  round: { readonly number: number; readonly root: number } | null,
): Deserving => ({
  key: `batch ${batchId} after round ${round?.root ?? 0} time-to-weigh`,
  code: "time-to-weigh",
  batchId,
  round: round?.number ?? 0,
  text: `${label}: time to take the trays out and weigh them`,
  figures: {},
});

export const outTooLong = (
  batchId: number,
  label: string,
  round: { readonly number: number; readonly root: number },
  minutesOut: number,
): Deserving => ({
  key: `batch ${batchId} round ${round.root} out-too-long`,
  code: "out-too-long",
  batchId,
  round: round.number,
  text: `${label}: the trays have been out for ${Math.round(minutesOut)} minutes and draw moisture`,
  figures: { minutesOut: Math.round(minutesOut) },
});

/** Ways by which alerts reach a person elsewhere. */
export const channels: readonly Channel[] = ["mqtt", "webhook"];

/** An alert that goes out late says so in its text, which may be all that a phone shows of it. */
export function saidLate(text: string, lateMinutes: number): string {
  const hours = Math.floor(lateMinutes / 60);
  const ago = hours === 0 ? `${lateMinutes} min` : `${hours} h ${lateMinutes % 60} min`;
  return `${text} (raised ${ago} ago)`;
}

export const scaleLost = (scaleId: string, why: string | null): Deserving => ({
  key: `scale ${scaleId} lost`,
  code: "scale-lost",
  batchId: null,
  round: null,
  text: `The scale is lost while a batch waits for it${why === null ? "" : `: ${why}`}`,
  figures: { scale: scaleId, ...(why === null ? {} : { why }) },
});
