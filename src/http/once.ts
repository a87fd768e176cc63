/**
 * A change that is sent again because its answer was lost is done once. Who asks names it by an Idempotency-Key (as the
 * draft draft-ietf-httpapi-idempotency-key-header has it): asked again under the same key, the answer of the first time
 * is given again. Browsers themselves send a POST again on a new connection when a kept one breaks before the answer.
 *
 * Answers are kept in memory, for a few minutes. The key of what was kept in the store is kept with it: asked for again
 * after the program was stopped, the change is known to be done, and refused with that.
 */
import { createHash } from "node:crypto";
import type { FastifyReply, FastifyRequest } from "fastify";
import { Fault } from "../faults.ts";
import type { Devices } from "../store/devices.ts";
import type { Api } from "./api.ts";
import { deviceOf } from "./gate.ts";
import { plainProblem, problemFor, refuse } from "./problem.ts";
import type { ServerOptions } from "./server.ts";

export const keptForMs = 10 * 60_000;
/** A try that comes later than answers are kept is not believed its age. */
export const mostSecondsAgo = keptForMs / 1000;
export const mostKept = 200;
const mostKeptBytes = 8 * 1024 * 1024;

const keyHeader = "idempotency-key";
const changing = ["POST", "PATCH", "DELETE"];

type Answer = { readonly status: number; readonly type: string; readonly body: string | Buffer };
type Change = {
  readonly what: string;
  /** As the store knows it. */
  readonly keptAs: string;
  readonly atMonoMs: number;
  /** null: it came to nothing that may be said again. */
  readonly answer: Promise<Answer | null>;
  readonly done: (answer: Answer | null) => void;
  bytes: number;
};

export function answerOnce(
  api: Api,
  { devices, clock, service }: Pick<ServerOptions, "devices" | "clock" | "service">,
): void {
  const changes = new Map<string, Change>();
  const doing = new WeakMap<FastifyRequest, { readonly key: string; readonly change: Change }>();

  const forgetOld = (): void => {
    let bytes = [...changes.values()].reduce((sum, one) => sum + one.bytes, 0);
    for (const [key, one] of changes) {
      const isOld = clock.mono() - one.atMonoMs > keptForMs;
      if (!isOld && changes.size <= mostKept && bytes <= mostKeptBytes) return;
      changes.delete(key);
      bytes -= one.bytes;
    }
  };

  const end = (request: FastifyRequest, answer: Answer | null): void => {
    const own = doing.get(request);
    if (own === undefined) return;
    doing.delete(request);
    const { key, change } = own;
    if (answer !== null) change.bytes = answer.body.length;
    else if (changes.get(key) === change) changes.delete(key);
    change.done(answer);
    forgetOld();
  };

  api.addHook("preHandler", async (request, reply) => {
    const key = keyOf(request, devices);
    if (key === null) return;
    const what = whatIsAsked(request);
    for (let known = changes.get(key); known !== undefined; known = changes.get(key)) {
      if (known.what !== what)
        return refuse(
          reply,
          plainProblem(422, "something else was asked under this Idempotency-Key before"),
        );
      const answer = await known.answer;
      if (answer !== null) return again(reply, answer);
    }
    const keptAs = digestOf(`${key}\n${what}`);
    if (service.wasKept(keptAs)) return refuse(reply, problemFor(keptBefore(), request.id));
    const change = begun(what, keptAs, clock.mono());
    changes.set(key, change);
    doing.set(request, { key, change });
  });
  // The last before the handler, which begins within it.
  api.addHook("preHandler", (request, _reply, done) => {
    const own = doing.get(request);
    if (own === undefined) done();
    else service.under(own.change.keptAs, done);
  });
  api.addHook("onSend", async (request, reply, payload) => {
    const { statusCode: status } = reply;
    const body = payload ?? "";
    const isWhole = typeof body === "string" || Buffer.isBuffer(body);
    const type = String(reply.getHeader("content-type") ?? "");
    end(request, status < 500 && isWhole ? { status, type, body } : null);
    return payload;
  });
}

/** Of one device; what is open to everybody, and what hands out secrets, is never said again. */
function keyOf(request: FastifyRequest, devices: Devices): string | null {
  const key = request.headers[keyHeader];
  if (typeof key !== "string" || key === "" || key.length > 100) return null;
  const { url = "" } = request.routeOptions;
  if (!changing.includes(request.method) || url.startsWith("/api/pairing")) return null;
  return `${deviceOf(request, devices)?.id ?? ""} ${key}`;
}

const digestOf = (...parts: readonly (string | Buffer)[]): string => {
  const hash = createHash("sha256");
  for (const part of parts) hash.update(part);
  return hash.digest("hex");
};

const whatIsAsked = ({ method, url, body }: FastifyRequest): string =>
  digestOf(`${method} ${url}\n`, Buffer.isBuffer(body) ? body : JSON.stringify(body ?? null));

const keptBefore = (): Fault =>
  new Fault("change.kept-before", "That was done already, before the program was stopped");

function begun(what: string, keptAs: string, atMonoMs: number): Change {
  let done: Change["done"] = () => undefined;
  const answer = new Promise<Answer | null>((resolve) => (done = resolve));
  return { what, keptAs, atMonoMs, answer, done, bytes: 0 };
}

const again = (reply: FastifyReply, { status, type, body }: Answer): FastifyReply =>
  reply.code(status).header("content-type", type).header("cache-control", "no-store").send(body);
