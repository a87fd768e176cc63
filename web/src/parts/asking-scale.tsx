/** A scale that says nothing by itself: whether it may be asked, and with which letters. */
import { useSignal } from "@preact/signals";
import type { Scale } from "../../../src/wire/bench.ts";
import { service } from "../ask.ts";
import { sayKitchen } from "../kitchen-texts.ts";
import { ActButton } from "./act.tsx";
import { Choice, Field } from "./field.tsx";

/** Those that scales are known to answer; which of them, its manual says. */
const requests = ["SI\r\n", "S\r\n", "\nW\r", "W\r\n", "P\r\n", "\x1bP\r\n"] as const;
const inWords = (request: string): string =>
  request.replace("\x1b", "ESC ").replace(/^\n/, "LF ").replace(/\r/, " CR").replace(/\n$/, " LF");

export function AskingScale({ scale }: { readonly scale: Scale }) {
  const texts = sayKitchen().asking;
  const request = useSignal<string>(requests[0]);
  const every = useSignal("0.5");
  const asking = scale.asking ?? null;
  const say = (ask: string | null) => {
    const seconds = Number(every.value.replace(",", "."));
    const everyMs = Math.min(60_000, Math.max(100, Math.round((seconds || 0.5) * 1000)));
    return service.sayAsking(scale.id, { ask, everyMs });
  };
  const isAsked = asking !== null && asking.ask !== null;
  return (
    <div class="advice">
      <p>
        {isAsked
          ? texts.asked(inWords(asking.ask ?? ""), String(asking.everyMs / 1000))
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
          <Field label={texts.every} kind="number" narrow of={every} />
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
