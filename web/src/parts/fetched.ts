import { useSignal } from "@preact/signals";
import { useEffect } from "preact/hooks";
import { askAgainAfterMs, type Answer, type Refusal } from "../ask.ts";
import { isLost } from "../page.ts";

type Fetched<T> = {
  readonly body: T | null;
  readonly why: Refusal | null;
};

/**
 * Asks again whenever `key` changes; meanwhile the last answer stands. A null key asks for nothing. What fails for a
 * reason that may pass is asked again after a while, and at once when the lost link to the service is back, which also
 * gives up a request that is still without an answer. What is refused is not.
 */
export function useFetched<T>(key: string | null, asking: () => Promise<Answer<T>>): Fetched<T> {
  const fetched = useSignal<Fetched<T>>({ body: null, why: null });
  useEffect(() => {
    if (key === null) return;
    let newest = 0;
    let tries = 0;
    let retry: ReturnType<typeof setTimeout> | undefined;
    let isSettled = false;
    const askNow = async (): Promise<void> => {
      const mine = ++newest;
      const answer = await asking();
      if (mine !== newest) return;
      isSettled = answer.is === "done" || !answer.mayPass;
      if (answer.is === "done") fetched.value = { body: answer.body, why: null };
      else {
        const isUnheard = answer.why.is === "unreachable";
        fetched.value = {
          body: fetched.peek().body,
          why: isUnheard ? { is: "asked-again" } : answer.why,
        };
      }
      if (!isSettled) retry = setTimeout(() => void askNow(), askAgainAfterMs(tries++));
    };
    void askNow();
    let wasLost = isLost.peek();
    const stop = isLost.subscribe((lost) => {
      const isBack = wasLost && !lost;
      wasLost = lost;
      if (!isBack || isSettled) return;
      clearTimeout(retry);
      tries = 0;
      void askNow();
    });
    return () => {
      newest = 0;
      stop();
      clearTimeout(retry);
    };
  }, [key]);
  return fetched.value;
}
