import { serviceLanguage } from "../alert-text.ts";
import { nowMs, say, speech } from "../page.ts";
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

/** A reason of the judgment: in a few words of this language, and the service's sentence with its figures. */
export function ReasonText({ code, text }: { readonly code: string; readonly text: string }) {
  const word = say().batch.reasons[code];
  const isForeign = say().languageName !== serviceLanguage;
  return (
    <>
      {isForeign && word !== undefined && `${word}. `}
      <ServiceText text={text} />
    </>
  );
}
