/**
 * The websocket to the service: opens it, opens it again for as long as the page lives, and notices when it has
 * died without a word (a tablet that slept, a cable pulled between the two).
 */
import type { FromService } from "../../src/wire/messages.ts";
import type { Input } from "./state.ts";

export type Link = { readonly close: () => void };

const firstRetryMs = 250;
const longestRetryMs = 4000;
/** With no message for this long, the service is asked over HTTP whether it is there. */
const quietMs = 4000;
const answerWithinMs = 2500;

/** Half as long again each time, up to a bound: a service that restarts is back on the page within seconds. */
export const retryAfterMs = (tries: number): number =>
  Math.min(longestRetryMs, firstRetryMs * 1.5 ** tries);

export function openLink(
  address: string,
  healthAddress: string,
  tell: (input: Input) => void,
): Link {
  let socket: WebSocket | null = null;
  let tries = 0;
  let heardMs = Date.now();
  let retry: ReturnType<typeof setTimeout> | undefined;
  let closed = false;

  const connect = (): void => {
    clearTimeout(retry);
    const mine = new WebSocket(address);
    socket = mine;
    mine.onopen = () => {
      tries = 0;
      heardMs = Date.now();
      tell({ is: "opened" });
    };
    mine.onmessage = (event: MessageEvent<string>) => {
      heardMs = Date.now();
      const message = readMessage(event.data);
      if (message !== null) tell({ is: "message", message, localMs: heardMs });
    };
    mine.onclose = () => {
      if (mine === socket) lose();
    };
  };

  const lose = (): void => {
    socket = null;
    if (closed) return;
    tell({ is: "lost", localMs: Date.now() });
    retry = setTimeout(connect, retryAfterMs(tries++));
  };

  const drop = (): void => {
    const dead = socket;
    lose();
    dead?.close();
  };

  const probe = async (): Promise<void> => {
    if (socket?.readyState !== WebSocket.OPEN || Date.now() - heardMs < quietMs) return;
    const asked = socket;
    const there = await fetch(healthAddress, {
      cache: "no-store",
      signal: AbortSignal.timeout(answerWithinMs),
    }).then(
      () => true,
      () => false,
    );
    if (!there && asked === socket) drop();
  };

  const wake = (): void => {
    if (document.visibilityState === "visible" && socket === null && !closed) connect();
    else void probe();
  };

  const beat = setInterval(() => void probe(), quietMs / 2);
  window.addEventListener("offline", drop);
  window.addEventListener("online", wake);
  document.addEventListener("visibilitychange", wake);
  connect();

  return {
    close: () => {
      closed = true;
      clearInterval(beat);
      clearTimeout(retry);
      window.removeEventListener("offline", drop);
      window.removeEventListener("online", wake);
      document.removeEventListener("visibilitychange", wake);
      socket?.close();
    },
  };
}

/** A message that is no JSON object with a type is not for this page. */
function readMessage(text: string): FromService | null {
  try {
    const seen: unknown = JSON.parse(text);
    if (typeof seen !== "object" || seen === null || !("type" in seen) || !("at" in seen))
      return null;
    return seen as FromService;
  } catch {
    return null;
  }
}
