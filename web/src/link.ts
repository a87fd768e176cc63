/**
 * The websocket to the service: opens it, opens it again for as long as the page lives, and notices when it has
 * died without a word (a tablet that slept, another address, a cable pulled between the two) or tells what is old.
 */
import type { FromService } from "../../src/wire/messages.ts";
import type { Input } from "./state.ts";

export type Link = { readonly close: () => void };

const firstRetryMs = 250;
const longestRetryMs = 4000;
/** The service says something every 2 s at the latest, whatever the scales do. */
const mostQuietMs = 5000;
const openWithinMs = 8000;
/** What was longer on its way than the quickest message of the connection by more than this is no news any more. */
const mostLateMs = 3000;
const lookEveryMs = 500;

/** Half as long again each time, up to a bound: a service that restarts is back on the page within seconds. */
export const retryAfterMs = (tries: number): number =>
  Math.min(longestRetryMs, firstRetryMs * 1.5 ** tries);

let lastMs = 0;
let aheadMs = 0;
/** This device's time. Set back, by a person or the network, it goes on from where it was: no age becomes less. */
export function localTime(): number {
  aheadMs = Math.max(aheadMs, lastMs - Date.now());
  return (lastMs = Date.now() + aheadMs);
}

export function openLink(address: string, tell: (input: Input) => void): Link {
  let socket: WebSocket | null = null;
  let tries = 0;
  let heardMs = 0;
  let retry: ReturnType<typeof setTimeout> | undefined;
  const closed = new AbortController();

  const connect = (): void => {
    clearTimeout(retry);
    heardMs = localTime();
    const mine = new WebSocket(address);
    socket = mine;
    let quickestMs = Infinity;
    let timeFactor = 1;
    mine.onopen = () => {
      tries = 0;
      heardMs = localTime();
      tell({ is: "opened" });
    };
    mine.onmessage = (event: MessageEvent<string>) => {
      const message = mine === socket ? readMessage(event.data) : null;
      if (message === null) return;
      heardMs = localTime();
      if (message.type === "bench" && message.bench.timeFactor !== timeFactor) {
        ({ timeFactor } = message.bench);
        quickestMs = Infinity;
      }
      const onItsWayMs = heardMs - Date.parse(message.at) / timeFactor;
      quickestMs = Math.min(quickestMs, onItsWayMs);
      // When a load came to rest is told with the moment of its last reading.
      const wasLateMs = message.type === "settled" ? 0 : onItsWayMs - quickestMs;
      // A backlog is not played: a new connection begins with the present.
      if (wasLateMs > mostLateMs) drop();
      else tell({ is: "message", message, localMs: heardMs - wasLateMs });
    };
    mine.onclose = () => {
      if (mine === socket) lose();
    };
  };

  const lose = (): void => {
    socket = null;
    if (closed.signal.aborted) return;
    tell({ is: "lost", localMs: localTime() });
    clearTimeout(retry);
    retry = setTimeout(connect, retryAfterMs(tries++));
  };

  const drop = (): void => {
    const dead = socket;
    lose();
    dead?.close();
  };

  const look = (): void => {
    const mostMs = socket?.readyState === WebSocket.OPEN ? mostQuietMs : openWithinMs;
    if (socket !== null && localTime() - heardMs > mostMs) drop();
  };

  const wake = (): void => {
    if (document.visibilityState === "visible" && socket === null) connect();
    else look();
  };

  const looking = setInterval(look, lookEveryMs);
  window.addEventListener("offline", drop, closed);
  window.addEventListener("online", wake, closed);
  document.addEventListener("visibilitychange", wake, closed);
  connect();

  return {
    close: () => {
      closed.abort();
      clearInterval(looking);
      clearTimeout(retry);
      socket?.close();
    },
  };
}

/** A message that is no JSON object with a type is not for this page. */
function readMessage(text: string): FromService | null {
  try {
    const seen = JSON.parse(text) as Partial<FromService> | null;
    return seen?.type && seen.at ? (seen as FromService) : null;
  } catch {
    return null;
  }
}
