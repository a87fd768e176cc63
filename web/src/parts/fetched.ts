import { useSignal } from "@preact/signals";
import { useEffect } from "preact/hooks";
import type { Answer, Refusal } from "../ask.ts";

export type Fetched<T> = {
  readonly body: T | null;
  readonly why: Refusal | null;
};

/** Asks again whenever `key` changes; meanwhile the last answer stands. A null key asks for nothing. */
export function useFetched<T>(key: string | null, asking: () => Promise<Answer<T>>): Fetched<T> {
  const fetched = useSignal<Fetched<T>>({ body: null, why: null });
  useEffect(() => {
    if (key === null) return;
    let isLate = false;
    void asking().then((answer) => {
      if (isLate) return;
      fetched.value =
        answer.is === "done"
          ? { body: answer.body, why: null }
          : { body: fetched.peek().body, why: answer.why };
    });
    return () => {
      isLate = true;
    };
  }, [key]);
  return fetched.value;
}
