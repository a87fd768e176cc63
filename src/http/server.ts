/** The whole server, not yet listening: guards, routes, page and websocket. */
import { randomUUID } from "node:crypto";
import helmet from "@fastify/helmet";
import rateLimit from "@fastify/rate-limit";
import websocket from "@fastify/websocket";
import Fastify, { type FastifyBaseLogger, LogController, type RouteOptions } from "fastify";
import type { Clock } from "../clock.ts";
import { Fault } from "../faults.ts";
import type { Service } from "../service/service.ts";
import type { Devices } from "../store/devices.ts";
import type { Api } from "./api.ts";
import { catalogueRoute } from "./catalogue.ts";
import { limitConnections } from "./connections.ts";
import { describe, showDescription } from "./docs.ts";
import { keepGate } from "./gate.ts";
import { Hub } from "./hub.ts";
import { liveAddress, liveRoute } from "./live.ts";
import { answerOnce } from "./once.ts";
import { pageFiles } from "./page.ts";
import { allowedPlaces, type Door, type Places, whyRefused } from "./places.ts";
import { isBug, plainProblem, problemFor, rawRefusal, refuse } from "./problem.ts";
import { bagRoutes } from "./routes/bags.ts";
import { batchRoutes } from "./routes/batches.ts";
import { kitchenRoutes } from "./routes/kitchen.ts";
import { benchRoutes } from "./routes/bench.ts";
import { deviceRoutes } from "./routes/devices.ts";
import { importRoutes } from "./routes/imports.ts";
import { photoRoutes } from "./routes/photos.ts";
import { recordRoutes } from "./routes/record.ts";
import { scaleRoutes } from "./routes/scales.ts";
import { weighingRoutes } from "./routes/weighings.ts";
import { bodyIn, validatorCompiler } from "./validate.ts";

export type ServerOptions = {
  readonly service: Service;
  readonly host: string;
  /** 0: any that is free. */
  readonly port: number;
  /** The folder of the built page. */
  readonly webFolder: string;
  readonly log: FastifyBaseLogger;
  /** The service's own clock, whichever it runs by at the moment: messages carry its time. */
  readonly clock: Pick<Clock, "mono" | "utc">;
  readonly devices: Devices;
  /** Whether a device needs to be paired: wherever another computer can reach the service. */
  readonly pairing: boolean;
  readonly tls: { readonly cert: string; readonly key: string } | null;
  /** The address of a reverse proxy whose X-Forwarded-… headers are believed. */
  readonly proxy: string | null;
  /** Further names under which the page is opened. */
  readonly names: readonly string[];
};

const bodyLimitBytes = 64 * 1024;
const messageLimitBytes = 16 * 1024;
const safeMethods = ["GET", "HEAD", "OPTIONS"];
/** Twenty a second for a minute: far above a person or a cautious script, far below a runaway loop. */
export const writesPerMinute = 1200;
/** Ten times as many reads: a page asks for a dozen things when it opens. */
export const readsPerMinute = 12_000;
const lookAgainMs = 5000;

export async function makeServer(options: ServerOptions): Promise<Api> {
  const hub = new Hub(options.service, options.clock);
  const api = bareServer(options);
  answerProblems(api);
  // First, so that a connection that is refused its upgrade by one of the guards is closed as well.
  await api.register(websocket, {
    options: { maxPayload: messageLimitBytes },
    preClose: async function () {
      await hub.close();
      api.websocketServer.close();
    },
    errorHandler: (error, socket, request) => {
      request.log.warn({ event: "websocket-failed", err: error });
      socket.terminate();
    },
  });
  await protect(api, options);
  answerOnce(api, options);
  const methods = collectMethods(api);
  await describe(api);
  const { service } = options;
  benchRoutes(api, service, () => hub.measures());
  batchRoutes(api, service);
  kitchenRoutes(api, service);
  weighingRoutes(api, service);
  recordRoutes(api, service);
  bagRoutes(api, service);
  scaleRoutes(api, service);
  importRoutes(api, service);
  await photoRoutes(api, service);
  deviceRoutes(api, options.devices, options.pairing, (device) => hub.letGo(device));
  liveRoute(api, hub, options.devices);
  catalogueRoute(api);
  refuseOtherMethods(api, methods);
  await showDescription(api);
  await pageFiles(api, options.webFolder);
  return api;
}

function bareServer({ log, tls, proxy }: ServerOptions): Api {
  const api: Api = Fastify({
    loggerInstance: log,
    trustProxy: proxy ?? false,
    // https.Server is an http.Server in all that is asked of it here; the types of Fastify keep them apart.
    ...((tls === null ? {} : { https: tls }) as object),
    logController: new LogController({ disableRequestLogging: true }),
    genReqId: () => randomUUID(),
    bodyLimit: bodyLimitBytes,
    requestTimeout: 30_000,
    keepAliveTimeout: 20_000,
    connectionTimeout: 120_000,
    frameworkErrors: (error, request, reply) => {
      // No hook runs for these, so nothing else would close a connection that asked for an upgrade.
      if (request.raw.headers.upgrade !== undefined)
        reply.raw.on("finish", () => request.raw.socket.destroySoon());
      refuse(reply, problemFor(error, request.id));
    },
    clientErrorHandler: (error, socket) => {
      if (error.code === "ECONNRESET" || !socket.writable) return;
      const status = { HPE_HEADER_OVERFLOW: 431, ERR_HTTP_REQUEST_TIMEOUT: 408 }[error.code] ?? 400;
      socket.end(rawRefusal(status), () => socket.destroy());
    },
  });
  api.server.headersTimeout = 10_000;
  limitConnections(api.server, proxy);
  api.setValidatorCompiler(validatorCompiler);
  // What the service answers has the wire's types already: it is written as it is, nothing left out or reshaped.
  api.setSerializerCompiler(() => (answer) => JSON.stringify(answer));
  // A form of another page can send text but not JSON, so text is not taken.
  api.removeAllContentTypeParsers();
  api.addContentTypeParser("application/json", { parseAs: "string" }, (_request, text, done) => {
    try {
      done(null, bodyIn(String(text)));
    } catch (error) {
      done(error as Error);
    }
  });
  return api;
}

/** Every error becomes a problem; a bug is written to the log, and nothing of it goes out. */
function answerProblems(api: Api): void {
  api.setErrorHandler((thrown, request, reply) => {
    const problem = problemFor(thrown, request.id);
    if (isBug(problem)) {
      const { method, url } = request;
      request.log.error({ event: "request-failed", method, url, err: thrown }, "a request failed");
    }
    return refuse(reply, problem);
  });
}

async function protect(api: Api, options: ServerOptions): Promise<void> {
  const { host, port } = options;
  const door: Door = { scheme: options.tls === null ? "http" : "https", names: options.names };
  await api.register(helmet, {
    // Plain HTTP on one's own network: there is no HTTPS to insist on.
    strictTransportSecurity: false,
    // "no-referrer" would make browsers send `Origin: null` with the page's own forms.
    referrerPolicy: { policy: "same-origin" },
    xFrameOptions: { action: "deny" },
    contentSecurityPolicy: {
      useDefaults: false,
      directives: {
        defaultSrc: ["'self'"],
        objectSrc: ["'none'"],
        baseUri: ["'none'"],
        formAction: ["'self'"],
        frameAncestors: ["'none'"],
        upgradeInsecureRequests: null,
      },
    },
  });
  let boundPort = port;
  let places: Places = allowedPlaces(host, port, door);
  api.server.on("listening", () => {
    const bound = api.server.address();
    if (typeof bound === "object" && bound !== null) boundPort = bound.port;
    places = allowedPlaces(host, boundPort, door);
  });
  // Addresses come and go with the network: looked up anew when one is not known, but not at every request.
  let lookedMs = Number.NEGATIVE_INFINITY;
  const placesNow = (): Places => {
    const now = options.clock.mono();
    if (now - lookedMs > lookAgainMs) places = allowedPlaces(host, boundPort, door);
    lookedMs = now - lookedMs > lookAgainMs ? now : lookedMs;
    return places;
  };
  api.addHook("onRequest", async (request) => {
    if (whyRefused(request, places) === null) return;
    const why = whyRefused(request, placesNow());
    if (why !== null) throw new Fault("network.forbidden", why);
  });
  keepGate(api, options.devices, options.pairing);
  api.addHook("onRequest", async (request, reply) => {
    if (request.ws && request.routeOptions.url !== liveAddress)
      return refuse(reply, plainProblem(404, `the only websocket is ${liveAddress}`));
  });
  await api.register(rateLimit, { global: false });
  const writes = api.createRateLimit({ max: writesPerMinute, timeWindow: 60_000 });
  const reads = api.createRateLimit({ max: readsPerMinute, timeWindow: 60_000 });
  api.addHook("onRequest", async (request, reply) => {
    const isRead = safeMethods.includes(request.method);
    const counted = await (isRead ? reads : writes)(request);
    if (counted.isAllowed || !counted.isExceeded) return;
    reply.header("retry-after", counted.ttlInSeconds);
    return refuse(
      reply,
      plainProblem(429, "too many requests at once: wait as many seconds as retry-after says"),
    );
  });
}

const methodsOf = (route: RouteOptions): string[] => [route.method].flat();
/** The methods of each address, filled in as routes are added. */
function collectMethods(api: Api): ReadonlyMap<string, ReadonlySet<string>> {
  const methods = new Map<string, Set<string>>();
  api.addHook("onRoute", (route) => {
    const known = methods.get(route.url) ?? new Set();
    for (const method of methodsOf(route)) known.add(method);
    methods.set(route.url, known);
  });
  return methods;
}

/** 405 with what is allowed, where the address is right and the method is not. */
function refuseOtherMethods(api: Api, known: ReadonlyMap<string, ReadonlySet<string>>): void {
  for (const [url, allowed] of [...known].map(([url, own]) => [url, [...own]] as const)) {
    const others = ["GET", "POST", "PUT", "PATCH", "DELETE"].filter(
      (method) => !allowed.includes(method),
    );
    const allow = allowed.toSorted().join(", ");
    const say = plainProblem(405, `here one can only ${allow}`);
    api.route({
      method: others,
      url,
      schema: { hide: true },
      // Before the body is looked at: what is wrong is the method.
      onRequest: async (_request, reply) => refuse(reply.header("allow", allow), say),
      handler: async (_request, reply) => refuse(reply, say),
    });
  }
}
