/** An alert in the person's language, from its code and figures. Pure. */
import type { Alert, Bench } from "../../src/wire/bench.ts";
import { reasonText } from "./reason-text.ts";
import {
  batchName,
  capital,
  listOf,
  showDuration,
  showMoreHours,
  trayName,
  type Speech,
} from "./show.ts";

/** `translated`: a sentence of the service in the person's language; null where it is not known there. */
export function alertText(
  speech: Speech,
  alert: Alert,
  bench: Bench | null,
  translated: (text: string) => string | null = () => null,
): string {
  const { texts } = speech;
  const { figures } = alert;
  const batch = bench?.batches.find((one) => one.id === alert.batch);
  // An alert from before it carried figures, of a kind that cannot do without, is told as it came.
  const needsBatch = alert.batch !== null && batch === undefined;
  if (needsBatch || (alert.code === "out-too-long" && figures["minutesOut"] === undefined))
    return capital(alert.text);
  const low = numberIn(figures["lowHours"]);
  const high = numberIn(figures["highHours"]);
  const names = Array.isArray(figures["behind"])
    ? figures["behind"].map((name) => trayName(speech, name))
    : [];
  return texts.alerts.say[alert.code]({
    batch: batch === undefined ? "" : batchName(speech, batch),
    more:
      low === null || high === null
        ? ""
        : showMoreHours(speech, { estimate: (low + high) / 2, low, high }),
    behind: names.length === 0 ? "" : texts.batch.behind(listOf(speech, names), names.length),
    why: whyIn(speech, figures, translated),
    minutes: showDuration(speech, (numberIn(figures["minutesOut"]) ?? 0) / 60),
  });
}

const numberIn = (figure: Alert["figures"][string] | undefined): number | null =>
  typeof figure === "number" ? figure : null;
const textIn = (figure: Alert["figures"][string] | undefined): string =>
  typeof figure === "string" ? figure : "";

/** Why, with its figures; an alert from before its reason had figures keeps the service's own sentence. */
function whyIn(
  speech: Speech,
  figures: Alert["figures"],
  translated: (text: string) => string | null,
): string {
  const text = textIn(figures["reasonText"]) || textIn(figures["why"]);
  if (text === "") return "";
  const sentence = textIn(figures["reasonSentence"]);
  const said = capital(translated(text) ?? reasonText(speech, { sentence, figures, text }));
  return /[.!?]$/.test(said) ? said : `${said}.`;
}

/** The language of the sentences that the service makes. */
export const serviceLanguage = "English";
