/** An alert sent as JSON to an address of the user's own. Never throws: an alert that cannot be sent is an answer. */
import { createHash } from "node:crypto";
import { request as requestByHttp, type IncomingMessage } from "node:http";
import { request as requestByHttps } from "node:https";
import { setTimeout as wait } from "node:timers/promises";

export type WebhookBody = {
  /** The same however often it is sent: by it a receiver tells that it has this alert already. */
  readonly id: string;
  readonly text: string;
  readonly code: string;
  readonly batch: number | null;
  /** ISO 8601. */
  readonly at: string;
  readonly practice: boolean;
};

export type Sent = { readonly sent: true } | { readonly sent: false; readonly why: string };

const answerWithinMs = 5000;

export type Waits = { readonly answerWithinMs: number; readonly pausesMs: readonly number[] };

/** A receiver that stumbles is asked again before the second and the third try. */
export const threeTries: Waits = { answerWithinMs, pausesMs: [500, 2000] };
export const oneTry: Waits = { answerWithinMs, pausesMs: [] };

type Try = Sent | { readonly sent: "not-yet"; readonly why: string };

export async function sendWebhook(
  url: string,
  body: WebhookBody,
  signal?: AbortSignal,
  waits: Waits = threeTries,
): Promise<Sent> {
  const flaw = flawInWebhookAddress(url);
  if (flaw !== null) return { sent: false, why: flaw };
  const address = new URL(url);
  for (const pauseMs of [...waits.pausesMs, null]) {
    const tried = await tryOnce(address, body, signal, waits.answerWithinMs);
    if (tried.sent !== "not-yet") return tried;
    if (signal?.aborted === true) return stopped;
    if (pauseMs === null) return { sent: false, why: tried.why };
    try {
      await wait(pauseMs, undefined, signal === undefined ? {} : { signal });
    } catch {
      return stopped;
    }
  }
  return stopped;
}

const stopped: Sent = { sent: false, why: "the program stopped before it could be sent" };

/** Why an address cannot be used; null when it can. */
export function flawInWebhookAddress(url: string): string | null {
  const address = URL.canParse(url) ? new URL(url) : null;
  if (address === null || !["http:", "https:"].includes(address.protocol))
    return `"${url.slice(0, 100)}" is not an http or https address`;
  // They would be kept in every earlier version of the settings.
  if (address.username !== "" || address.password !== "")
    return "user and password do not belong into the address of a webhook";
  return null;
}

async function tryOnce(
  address: URL,
  body: WebhookBody,
  signal: AbortSignal | undefined,
  withinMs: number,
): Promise<Try> {
  const tooLong = AbortSignal.timeout(withinMs);
  try {
    const signals = signal === undefined ? tooLong : AbortSignal.any([signal, tooLong]);
    const { statusCode: status = 0, statusMessage = "" } = await post(address, body, signals);
    if (status >= 200 && status < 300) return { sent: true };
    const why = `${address.host} answered ${status} ${statusMessage}`.trimEnd();
    // A refusal stays one, however often it is asked; a server in trouble or too busy may be well again.
    const mayPass = status >= 500 || status === 429 || status === 408;
    return { sent: mayPass ? "not-yet" : false, why };
  } catch (error) {
    if (tooLong.aborted)
      return { sent: "not-yet", why: `${address.host} did not answer within ${withinMs / 1000} s` };
    return { sent: "not-yet", why: `${address.host} cannot be reached: ${reason(error)}` };
  }
}

/**
 * The head of the answer; its body is not read, and no redirect followed: one may turn the POST into a GET that is
 * answered well and delivers nothing. Not by `fetch`, which goes on connecting for ten seconds to a computer that does
 * not answer after it was given up: the end of the program would wait for it.
 */
function post(address: URL, body: WebhookBody, signal: AbortSignal): Promise<IncomingMessage> {
  const request = address.protocol === "https:" ? requestByHttps : requestByHttp;
  return new Promise((resolve, reject) => {
    const headers = { "content-type": "application/json", "idempotency-key": keyOf(body) };
    request(address, { method: "POST", headers, agent: false, signal })
      .on("response", (answer) => {
        answer.on("error", () => undefined).destroy();
        resolve(answer);
      })
      .on("error", reject)
      .on("close", () => reject(new Error("the other side closed the connection")))
      .end(JSON.stringify(body));
  });
}

/**
 * A string of structured fields, as draft-ietf-httpapi-idempotency-key-header has it. Under one key the body may not
 * change there, so that a text that says how late it is has a key of its own: an alert is known again by its `id`.
 */
const keyOf = ({ id, text }: WebhookBody): string =>
  `"${id}-${createHash("sha256").update(text).digest("hex").slice(0, 12)}"`;

/** One that was tried at several addresses has a code alone. */
function reason(error: unknown): string {
  if (!(error instanceof Error)) return String(error);
  return "code" in error && error.message === "" ? String(error.code) : error.message.trim();
}
