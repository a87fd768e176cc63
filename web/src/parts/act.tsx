import { useSignal } from "@preact/signals";
import type { ComponentChildren } from "preact";
import type { Answer, Refusal } from "../ask.ts";
import { say } from "../page.ts";
import { ServiceText } from "./service-text.tsx";

export type Acting = {
  readonly busy: boolean;
  readonly refusal: Refusal | null;
  /** Asks; at most one at a time. Answers what came back, or null when it was refused. */
  readonly run: <T>(asking: () => Promise<Answer<T>>) => Promise<{ readonly body: T } | null>;
};

export function useAct(): Acting {
  const busy = useSignal(false);
  const refusal = useSignal<Refusal | null>(null);
  return {
    busy: busy.value,
    refusal: refusal.value,
    run: async (asking) => {
      if (busy.peek()) return null;
      busy.value = true;
      refusal.value = null;
      const answer = await asking();
      busy.value = false;
      if (answer.is === "done") return { body: answer.body };
      refusal.value = answer.why;
      return null;
    },
  };
}

/** What was refused and what to do about it, in the service's own words. */
export function Refused({ why }: { readonly why: Refusal | null }) {
  if (why === null) return null;
  return (
    <div class="refused" role="alert">
      {why.is === "unreachable" ? (
        <p>{say().refusal.unreachable}</p>
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

type ButtonProps = {
  readonly asking: () => Promise<Answer<unknown>>;
  readonly look?: "main" | "big" | "plain";
  readonly label?: string;
  readonly after?: () => void;
  readonly children: ComponentChildren;
};

/** A button that asks the service for one thing and shows a refusal right below itself. */
export function ActButton({ asking, look = "plain", label, after, children }: ButtonProps) {
  const act = useAct();
  return (
    <div class="act">
      <button
        type="button"
        class={look}
        aria-disabled={act.busy}
        aria-label={label}
        onClick={() =>
          void act.run(asking).then((done) => {
            if (done !== null) after?.();
          })
        }
      >
        {children}
      </button>
      <Refused why={act.refusal} />
    </div>
  );
}
