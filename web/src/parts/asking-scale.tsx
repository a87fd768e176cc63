/** A scale that says nothing by itself: whether it may be asked, and with which letters. */
import { useSignal } from "@preact/signals";
import type { Scale } from "../../../src/wire/bench.ts";
import { service } from "../ask.ts";
import { sayKitchen } from "../kitchen-texts.ts";
import { speech } from "../page.ts";
import { showNumber } from "../show.ts";
import { ActButton } from "./act.tsx";
import { Choice } from "./field.tsx";

/** Those that scales are known to answer; which of them, its manual says. */
const requests = ["SI\r\n", "S\r\n", "\nW\r", "W\r\n", "P\r\n", "\x1bP\r\n"] as const;
/** Seconds between an answer and the next question. */
const rates = ["0.1", "0.5", "1", "5"] as const;
const inWords = (request: string): string =>
  request.replace("\x1b", "ESC ").replace(/^\n/, "LF ").replace(/\r/, " CR").replace(/\n$/, " LF");

export function AskingScale({ scale }: { readonly scale: Scale }) {
  const texts = sayKitchen().asking;
  const request = useSignal<string>(requests[0]);
  const every = useSignal<string>(rates[1]);
  const asking = scale.asking ?? null;
  const say = (ask: string | null) =>
    service.sayAsking(scale.id, { ask, everyMs: 1000 * Number(every.value) });
  const isAsked = asking !== null && asking.ask !== null;
  return (
    <div class="advice">
      <p>
        {isAsked
          ? texts.asked(
              inWords(asking.ask ?? ""),
              showNumber(speech.value, asking.everyMs / 1000, 1),
            )
          : asking === null
            ? texts.question
            : texts.notAsked}
      </p>
      {!isAsked && (
        <div class="fields">
          <Choice
            label={texts.request}
            of={request}
            options={requests.map((value) => ({ value, label: inWords(value) }))}
          />
          <Choice
            label={texts.every}
            of={every}
            options={rates.map((value) => ({ value, label: showNumber(speech.value, +value, 1) }))}
          />
        </div>
      )}
      <div class="answers">
        {!isAsked && (
          <ActButton look="big" asking={() => say(request.value)}>
            {texts.yes}
          </ActButton>
        )}
        {(asking === null || isAsked) && (
          <ActButton look="big" asking={() => say(null)}>
            {isAsked ? texts.stop : texts.no}
          </ActButton>
        )}
      </div>
    </div>
  );
}
