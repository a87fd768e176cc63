import { useSignal } from "@preact/signals";
import type { ComponentChildren } from "preact";
import { useId, useLayoutEffect, useRef } from "preact/hooks";
import type { Answer, Refusal } from "../ask.ts";
import { say } from "../page.ts";
import { Flaws, type Held } from "./field.tsx";
import { ServiceText } from "./service-text.tsx";

/** Said below a button: what came of it, or what is wrong with what was typed, and in which fields. */
type Said = { readonly text: string; readonly flawed: readonly Held[] | null };

export type Acting = {
  readonly busy: boolean;
  readonly refusal: Refusal | null;
  readonly said: Said | null;
  /** Asks; at most one at a time. Answers what came back, or null when it was refused. */
  readonly run: <T>(asking: () => Promise<Answer<T>>) => Promise<{ readonly body: T } | null>;
  readonly tell: (text: string) => void;
  /** Before the service is asked at all. */
  readonly refuse: (text: string, ...flawed: readonly Held[]) => void;
};

export function useAct(): Acting {
  const busy = useSignal(false);
  const refusal = useSignal<Refusal | null>(null);
  const said = useSignal<Said | null>(null);
  return {
    busy: busy.value,
    refusal: refusal.value,
    said: said.value,
    run: async (asking) => {
      if (busy.peek()) return null;
      busy.value = true;
      refusal.value = null;
      said.value = null;
      const answer = await asking();
      busy.value = false;
      if (answer.is === "done") return { body: answer.body };
      refusal.value = answer.why;
      return null;
    },
    tell: (text) => (said.value = { text, flawed: null }),
    refuse: (text, ...flawed) => (said.value = { text, flawed }),
  };
}

type FormProps = {
  /** By the button, or by Enter. */
  readonly onSend: () => void;
  readonly act: Acting;
  /** The word on its button; a form without it has a button of its own among its children. */
  readonly send?: string;
  readonly sendLabel?: string;
  readonly look?: "main" | "big" | undefined;
  /** Its own button, which stays in sight below a long form, with what came of it. */
  readonly foot?: ComponentChildren;
  /** Other buttons, beside its own. */
  readonly beside?: ComponentChildren;
  readonly children: ComponentChildren;
};

/** Fields, the button that sends them, and below it what came of it; a wrong field is gone to and says why. */
export function Form({ onSend, act, send, sendLabel, look, beside, foot, children }: FormProps) {
  const id = useId();
  const form = useRef<HTMLFormElement>(null);
  const flawed = act.said?.flawed;
  useLayoutEffect(() => {
    if (flawed) form.current?.querySelector<HTMLElement>("[aria-invalid=true]")?.focus();
  }, [flawed]);
  const button = send !== undefined && (
    <button type="submit" class={look} aria-disabled={act.busy} aria-label={sendLabel}>
      {send}
    </button>
  );
  return (
    <form
      ref={form}
      noValidate
      onSubmit={(event) => {
        event.preventDefault();
        onSend();
      }}
    >
      <Flaws.Provider value={{ id, fields: flawed ?? [] }}>{children}</Flaws.Provider>
      {beside === undefined ? (
        button
      ) : (
        <div class="answers">
          {button}
          {beside}
        </div>
      )}
      <div class={foot === undefined ? undefined : "foot"}>
        <p id={id} role="status" class={flawed ? "refused" : undefined}>
          {act.said?.text}
        </p>
        <Refused why={act.refusal} />
        {foot}
      </div>
    </form>
  );
}

/** What was refused and what to do about it, in the service's own words. */
export function Refused({ why }: { readonly why: Refusal | null }) {
  if (why === null) return null;
  return (
    <div class="refused" role="alert">
      {why.is !== "refused" ? (
        <p>{say().refusal[why.is]}</p>
      ) : (
        <>
          <p>
            <ServiceText text={why.what} />
          </p>
          {why.hint !== null && (
            <p class="quiet">
              <ServiceText text={why.hint} />
            </p>
          )}
        </>
      )}
    </div>
  );
}

type ButtonProps<T> = {
  readonly asking: () => Promise<Answer<T>>;
  readonly look?: "main" | "big" | undefined;
  readonly label?: string;
  readonly after?: (body: T) => void;
  readonly children: ComponentChildren;
};

/** Of the last click: when, in milliseconds, and where. The event itself would hold the page that it happened on. */
let last: readonly [number, number, number] = [-Infinity, 0, 0];
/**
 * The second touch of two is not meant for what stands there after the first. Firefox, and it alone, counts it as a
 * first where it falls on another button.
 */
let isSecond = false;
addEventListener(
  "click",
  ({ detail, timeStamp, clientX, clientY }) => {
    isSecond =
      detail > 1 ||
      (CSS.supports("-moz-appearance:none") &&
        timeStamp - last[0] < 400 &&
        Math.hypot(clientX - last[1], clientY - last[2]) < 10);
    last = [timeStamp, clientX, clientY];
  },
  true,
);

/** A button that asks the service for one thing and shows a refusal right below itself. */
export function ActButton<T>({ asking, look, label, after, children }: ButtonProps<T>) {
  const act = useAct();
  return (
    <div class="act">
      <button
        type="button"
        class={look}
        aria-disabled={act.busy}
        aria-label={label}
        onKeyDown={(event) => event.repeat && event.preventDefault()}
        onClick={() => {
          if (isSecond) return;
          void act.run(asking).then((done) => {
            if (done !== null) after?.(done.body);
          });
        }}
      >
        {children}
      </button>
      <Refused why={act.refusal} />
    </div>
  );
}
