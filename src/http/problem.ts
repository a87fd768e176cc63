/**
 * Everything that is thrown, as one answer: a problem in the form of RFC 9457, "Problem Details for HTTP APIs".
 * A refusal speaks; a bug does not: its text and stack are in the log under the request's id.
 */
import { STATUS_CODES } from "node:http";
import type { FastifyReply } from "fastify";
import { Fault, faults, isFault } from "../faults.ts";
import type { Problem } from "../wire/requests.ts";

export const problemType = "application/problem+json";

/** A problem that HTTP's own status explains: no code of ours, the standard phrase as title. */
export function plainProblem(status: number, detail?: string): Problem {
  return {
    type: "about:blank",
    title: STATUS_CODES[status] ?? "Error",
    status,
    ...(detail === undefined ? {} : { detail }),
  };
}

function faultProblem(fault: Fault): Problem {
  const { status, title, hint } = faults[fault.code];
  return {
    type: `/problems/${fault.code}`,
    title,
    status,
    detail: fault.message,
    hint,
    ...(fault.errors.length === 0 ? {} : { errors: [...fault.errors] }),
  };
}

const bug: Problem = {
  ...plainProblem(500),
  hint: "The program's log has more under the id that `instance` ends with",
};

/** Our words for what the server itself refuses; its own texts are written for programmers. */
const statusDetails: Readonly<Record<number, string>> = {
  400: "the request cannot be read",
  403: "that address leads out of the page's files",
  408: "the request did not arrive in time",
  413: "the body is larger than is taken here",
  414: "the address is too long",
  415: "what is sent must be JSON: content-type: application/json",
  431: "the request's headers are too large",
  503: "the service is stopping",
};

/** The status of an error of the server itself (a body too large, an unknown type); null for any other. */
function ownStatus(thrown: unknown): number | null {
  if (!(thrown instanceof Error) || !("statusCode" in thrown)) return null;
  const status = thrown.statusCode;
  if (typeof status !== "number" || statusDetails[status] === undefined) return null;
  const code = "code" in thrown && typeof thrown.code === "string" ? thrown.code : "";
  return code.startsWith("FST_") ? status : null;
}

/** Never throws, whatever was thrown. `requestId`: under which the log has more. */
export function problemFor(thrown: unknown, requestId?: string): Problem {
  const at = requestId === undefined ? {} : { instance: `/requests/${requestId}` };
  try {
    if (isFault(thrown)) return { ...faultProblem(thrown), ...at };
    const status = ownStatus(thrown);
    if (status !== null) return { ...plainProblem(status, statusDetails[status]), ...at };
  } catch {
    // An error whose own parts throw is a bug like any other.
  }
  return { ...bug, ...at };
}

export const isBug = (problem: Problem): boolean =>
  problem.status === 500 && problem.type === "about:blank";

export function refuse(reply: FastifyReply, problem: Problem): FastifyReply {
  // As bytes, because JSON's media types have no charset, and the server adds one to everything else.
  return reply
    .code(problem.status)
    .header("content-type", problemType)
    .header("cache-control", "no-store")
    .send(Buffer.from(JSON.stringify(problem)));
}

/** A whole HTTP answer for a connection that never became a request. */
export function rawRefusal(status: number): string {
  const body = JSON.stringify(plainProblem(status, statusDetails[status]));
  return [
    `HTTP/1.1 ${status} ${STATUS_CODES[status] ?? "Error"}`,
    `content-type: ${problemType}`,
    `content-length: ${Buffer.byteLength(body)}`,
    "connection: close",
    "",
    body,
  ].join("\r\n");
}
