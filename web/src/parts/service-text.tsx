import { isSentence } from "../../../src/verdict/sentences.ts";
import { serviceLanguage } from "../alert-text.ts";
import { nowMs, say, speech, translated } from "../page.ts";
import { reasonText, type Told } from "../reason-text.ts";
import { capital, withLocalTimes } from "../show.ts";

/**
 * A sentence of the service, which speaks English, in the person's language. One that is not known there, such as what
 * an operating system says, stays as it is and is marked as English, so that it is read out rightly.
 */
export function ServiceText({ text }: { readonly text: string }) {
  const isForeign = say().languageName !== serviceLanguage;
  const other = isForeign ? translated(text) : null;
  return (
    <span lang={isForeign && other === null ? "en" : undefined}>
      {capital(withLocalTimes(speech.value, other ?? text, nowMs.peek()))}
    </span>
  );
}

/** A reason of the judgment, in the person's language wherever its sentence is known. */
export function ReasonText({ reason }: { readonly reason: Told }) {
  return isSentence(reason.sentence) ? (
    <span>{capital(reasonText(speech.value, reason))}</span>
  ) : (
    <ServiceText text={reason.text} />
  );
}
