import { isSentence } from "../../../src/verdict/sentences.ts";
import { serviceLanguage } from "../alert-text.ts";
import { nowMs, say, speech } from "../page.ts";
import { reasonText, type Told } from "../reason-text.ts";
import { capital, withLocalTimes } from "../show.ts";

/** A sentence of the service, which speaks English: marked as such, so that it is read out rightly. */
export function ServiceText({ text }: { readonly text: string }) {
  const isForeign = say().languageName !== serviceLanguage;
  return (
    <span lang={isForeign ? "en" : undefined}>
      {capital(withLocalTimes(speech.value, text, nowMs.peek()))}
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
