/**
 * Every described route of the real service on a real store is asked for things that are right, nearly right and
 * rubbish. No answer may be of the kind 5xx or show anything of the inside, and a refused request may change neither
 * the present nor the file.
 */
import Database from "better-sqlite3";
import { AsyncLocalStorage } from "node:async_hooks";
import { createHash } from "node:crypto";
import { mkdirSync, mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { pino } from "pino";
import type { Clock } from "../../src/clock.ts";
import { loadFoodTable } from "../../src/foodtable.ts";
import type { Api } from "../../src/http/api.ts";
import { serve } from "../../src/http/serve.ts";
import { makeServer } from "../../src/http/server.ts";
import { foodShelf } from "../../src/service/foods.ts";
import { startService } from "../../src/service/run.ts";
import type { Service } from "../../src/service/service.ts";
import type { RunSetting } from "../../src/service/work.ts";
import type { NewBags } from "../../src/wire/bag.ts";
import { databaseIn } from "../../src/store/database.ts";
import { devicesIn } from "../../src/store/devices.ts";
import { replay } from "../../src/service/replay.ts";
import { inspectStore } from "../../src/store/inspect.ts";
import { openStore, type Store } from "../../src/store/store.ts";
import { monoMs, utcMs } from "../../src/units/quantity.ts";
import { apt } from "./apt.ts";
import { FuzzLine } from "./line.ts";
import {
  below,
  fitting,
  letters,
  mutated,
  pick,
  rubbish,
  type Chance,
  type Json,
  type Making,
  type Schema,
  type Schemas,
} from "./cases.ts";

type Parameter = { readonly name: string; readonly in: string; readonly schema: Schema };
type Operation = {
  readonly parameters?: readonly Parameter[];
  readonly requestBody?: {
    readonly content: Readonly<Record<string, { readonly schema: Schema }>>;
  };
};
type Described = {
  readonly paths: Readonly<Record<string, Readonly<Record<string, Operation>>>>;
  readonly components: { readonly schemas: Schemas };
};
type Route = { readonly method: string; readonly path: string; readonly operation: Operation };
export type Fault = { readonly asked: string; readonly what: string };
type RouteCount = {
  readonly route: string;
  readonly accepted: number;
  readonly refused: number;
};
type Fuzzed = {
  readonly cases: number;
  readonly accepted: number;
  readonly refused: number;
  /** How often the store was written to on behalf of a request: without any, nothing was looked for. */
  readonly writtenByRequests: number;
  readonly routes: number;
  /** How often each route was answered with success, and how often refused; the least accepted first. */
  readonly byRoute: readonly RouteCount[];
  readonly faults: readonly Fault[];
};

/** The websocket is opened by an upgrade; practice is refused wherever a real folder is open. */
const neverByNature = ["GET /api/live", "POST /api/practice"];
/** Routes that were only ever refused. */
export const unreached = (counts: Iterable<RouteCount>): readonly string[] =>
  [...counts].flatMap(({ route, accepted }) =>
    accepted === 0 && !neverByNature.includes(route) ? [route] : [],
  );

const start = Date.UTC(2026, 10, 25, 8);

/** A service whose time stands still until the test moves it on. */
function playing(folder: string) {
  let nowMs = start;
  const clock: Clock = {
    mono: () => monoMs(nowMs - start),
    utc: () => utcMs(nowMs),
    system: () => utcMs(nowMs),
    timeFactor: 1,
    carryOnFrom: () => undefined,
    moveBy: () => undefined,
    upAtStartMs: 0,
    awayMs: () => 0,
    wake: () => 0,
  };
  // The service's own clock ticks whenever it likes, in the middle of a request too: what it writes then is not the
  // request's doing. Timers that a request started are known by that request's having ended.
  const asking = new AsyncLocalStorage<symbol>();
  let asked: symbol | null = null;
  const written = { byItself: 0, byRequests: 0 };
  const noting =
    <Given extends readonly unknown[], Got>(write: (...given: Given) => Got) =>
    (...given: Given): Got => {
      if (asked === null || asking.getStore() !== asked) written.byItself += 1;
      else written.byRequests += 1;
      return write(...given);
    };
  const opened = (): Store => {
    const store = openStore(folder, { practice: false, timeFactor: 1, at: clock.utc() });
    return {
      ...store,
      record: noting((facts, asked) => store.record(facts, asked)),
      alive: noting((moment) => store.alive(moment)),
      noteJump: noting((jump) => store.noteJump(jump)),
      canRecord: noting(() => store.canRecord()),
    };
  };
  const setting = (): RunSetting => ({
    clock,
    store: opened(),
    program: "Stillweight",
    practice: null,
    ownForms: [],
    foods: foodShelf(loadFoodTable()),
    backups: null,
    labelOrigin: null,
    hand: null,
    leavePractice: null,
    log: () => undefined,
  });
  return {
    clock,
    setting,
    now: () => nowMs,
    pass: (ms: number) => void (nowMs += ms),
    /** One request at a time: what the store is told while it is answered counts as its doing. */
    ask: async <Answer>(request: () => Promise<Answer>): Promise<Answer> => {
      asked = Symbol("request");
      try {
        // Awaited inside: what `inject` returns begins only then.
        return await asking.run(asked, async () => await request());
      } finally {
        asked = null;
      }
    },
    written,
  };
}

/** Nothing that is asked may leave the computer, or open its ports. */
function harmless(value: Json): Json {
  if (Array.isArray(value)) return value.map(harmless);
  if (typeof value !== "object" || value === null) return value;
  return Object.fromEntries(
    Object.entries(value).map(([name, part]) => {
      if (name === "uri" && typeof part === "string" && /^[a-z]*:|^\//i.test(part))
        return [name, "tcp://127.0.0.1:9"];
      if ((name === "webhook" || name === "url") && typeof part === "string")
        return [name, /^[a-z]+:/i.test(part) ? "http://127.0.0.1:9/" : part.slice(0, 50)];
      return [name, harmless(part)];
    }),
  );
}

const plainDoor = {
  host: "127.0.0.1",
  port: 4680,
  log: pino({ level: "silent" }),
  pairing: false,
  tls: null,
  proxy: null,
  names: [],
} as const;

/** The service at an address of its own. */
export async function serveOn(folder: string) {
  const play = playing(folder);
  const service = startService(play.setting()).service;
  const devices = devicesIn(folder, () => utcMs(play.now()));
  const door = { ...plainDoor, port: 0, webFolder: folder, clock: play.clock, devices };
  const { address, close } = await serve({ service, ...door });
  return {
    address,
    close: async () => {
      await close();
      await service.close();
    },
  };
}

export async function fuzzRoutes(
  cases: number,
  chance: Chance,
  /** Labels are drawn in a thread that only a compiled program has. */
  options: { readonly labels: boolean },
): Promise<Fuzzed> {
  const folder = mkdtempSync(join(tmpdir(), "stillweight-fuzz-"));
  const web = join(folder, "web");
  mkdirSync(web);
  writeFileSync(join(web, "index.html"), "<!doctype html><title>The page</title>");
  const play = playing(folder);
  let service = startService(play.setting()).service;
  const witness = new Database(databaseIn(folder), { readonly: true });
  const version = (): unknown => witness.pragma("data_version", { simple: true });
  const devices = devicesIn(folder, () => utcMs(play.now()));
  const door = { ...plainDoor, webFolder: web, clock: play.clock, devices };
  let api: Api = await makeServer({ service, ...door });
  const headers = { host: "127.0.0.1:4680" };
  const described = (await api.inject({ url: "/api/openapi.json", headers })).json<Described>();
  const { schemas } = described.components;
  const routes = Object.entries(described.paths)
    .flatMap(([path, methods]) =>
      Object.entries(methods).map(([method, operation]): Route => ({
        method: method.toUpperCase(),
        path,
        operation,
      })),
    )
    .filter(({ path }) => options.labels || !path.endsWith(".pdf"));
  const faults: Fault[] = [];
  const counts = new Map(
    routes.map(({ method, path }) => {
      const route = `${method} ${path}`;
      return [route, { route, accepted: 0, refused: 0 }];
    }),
  );
  let accepted = 0;
  /** Without links and brokers, which come and go by themselves. */
  const present = (): string => {
    const { scales, tasks, sending: _sending, ...rest } = service.bench();
    const shown = [scales.map(({ uri }) => uri), tasks.length, rest];
    return createHash("sha256").update(JSON.stringify(shown)).digest("hex");
  };

  const [line, second] = [await FuzzLine.start(), await FuzzLine.start()];
  const pass = (ms: number): void => play.pass(ms);
  let ids = idsIn(service);
  let known = present();
  let seenByItself = play.written.byItself;
  for (let n = 0; n < cases; n++) {
    let route = pick(routes, chance);
    const rare = chance() < 0.2 ? [...waitingIn(service), ...unreached(counts.values())] : [];
    if (rare.length > 0) {
      const wanted = pick(rare, chance);
      route = routes.find(({ method, path }) => `${method} ${path}` === wanted) ?? route;
    }
    // A label takes as long as fifty other answers, all of it in drawing.
    if (route.path.endsWith(".pdf") && chance() < 0.9) route = pick(routes, chance);
    if (n % 1000 === 0) prepare(service, play);
    if (n % 50 === 0) await tendScales(service, [line.uri, second.uri]);
    if (n % 500 === 499)
      for (const { id } of service.bench().batches.slice(0, -4)) service.endBatch(id);
    const isWeighed = n % 40 === 20 && line.isRead;
    if (isWeighed) {
      // Something that no tray may weigh, or that one may: taken, asked about or left alone.
      await line.show(0, 12, pass);
      await line.show(pick([8.1, 390.2, 452.1, 600.3, 905.2], chance), 16, pass);
    }
    if (n > 0 && n % 1000 === 0) {
      // Back with a load on it: asked about.
      await line.show(611.3, 30, pass);
      known = present();
    }
    if (n % 500 === 250) {
      await compare(service, line, second, pass);
      known = present();
    }
    if (isWeighed || n % 50 === 0 || n % 500 === 499) {
      ids = idsIn(service);
      known = present();
    }
    const numbers = [...ids.tray, ...ids.weighing, ...ids.bag, ...ids.batch];
    const making = { schemas, chance, nowMs: play.now(), known: numbers };
    const bodySchema = Object.values(route.operation.requestBody?.content ?? {})[0]?.schema;
    const beside = {
      nowMs: play.now(),
      newCode: () => devices.newCode("full").code,
      devices: devices.list().map(({ id }) => id),
      scaleUri: line.uri,
    };
    const likely =
      chance() < 0.5
        ? (apt[`${route.method} ${route.path}`]?.(service, chance, beside) ?? null)
        : null;
    const right = likely?.body ?? (bodySchema === undefined ? null : fitting(bodySchema, making));
    const wanted = chance() * (likely === null ? 1 : 0.7);
    let body: Json = right;
    if (wanted > 0.45) body = mutated(right, chance);
    if (wanted > 0.95) body = rubbish(chance);
    const path = route.path.replaceAll(/\{(\w+)\}/g, (_, name: string) => {
      const place = likely?.places[name];
      return place === undefined ? placeOf(name, ids, chance) : encodeURIComponent(place);
    });
    const query = likely === null ? queryOf(route.operation, making) : (likely.query ?? "");
    const { bytes } = likely ?? {};
    const sent = body === likely?.body ? body : harmless(body);
    const payload =
      bytes ?? (chance() < 0.02 ? letters(below(60, chance), chance) : JSON.stringify(sent));
    const asked = `${route.method} ${path}${query} ${String(payload).slice(0, 300)}`;
    const type = bytes === undefined ? "application/json" : "image/png";
    const changes = route.method !== "GET";
    if (play.written.byItself !== seenByItself) known = present();
    seenByItself = play.written.byItself;
    const before = version();
    const inject = {
      method: route.method as "GET",
      url: path + query,
      // Everybody has a rate of his own.
      remoteAddress: `10.${below(250, chance)}.${below(250, chance)}.${below(250, chance)}`,
      headers: {
        ...headers,
        ...(right === null && bytes === undefined ? {} : { "content-type": type }),
      },
      ...(right === null && bytes === undefined ? {} : { payload }),
    };
    const answer = await play.ask(() => api.inject(inject));
    const isItsDoing = play.written.byItself === seenByItself;
    const say = (what: string): void => void faults.push({ asked, what });
    if (answer.statusCode >= 500) say(`${answer.statusCode} ${answer.body.slice(0, 300)}`);
    const count = counts.get(`${route.method} ${route.path}`)!;
    if (answer.statusCode < 400) {
      accepted += 1;
      count.accepted += 1;
      if (changes) {
        play.pass(below(3_600_000, chance));
        ids = idsIn(service);
        known = present();
      }
    } else {
      count.refused += 1;
      if (!String(answer.headers["content-type"]).startsWith("application/problem+json"))
        say(`${answer.statusCode} without a problem document`);
      if (/node_modules|\.ts:|\.js:|SQLITE_/.test(answer.body))
        say(`shows the inside: ${answer.body}`);
      // Health writes to find out whether it can, whatever it answers.
      if (isItsDoing && version() !== before) say(`${answer.statusCode}, and the file changed`);
      if (isItsDoing && changes && present() !== known)
        say(`${answer.statusCode}, and the present changed`);
    }
    // The record does not grow without end, and every start finds what the run before left.
    if (n % 1000 === 999) {
      await api.close();
      const { batches } = service.bench();
      await service.close();
      service = startService(play.setting()).service;
      const differs = firstDifference(batches, service.bench().batches);
      if (differs !== null) say(`another start shows another present: ${differs}`);
      const { problems } = inspectStore(databaseIn(folder), replay);
      if (problems.length > 0) say(problems.join("; "));
      // And one after an hour in which nobody watched: where trays were in, that is asked about.
      leaveIn(service);
      await service.close();
      play.pass(3_600_000);
      service = startService(play.setting()).service;
      api = await makeServer({ service, ...door });
    }
  }
  await api.close();
  await service.close();
  witness.close();
  line.close();
  second.close();
  const { problems } = inspectStore(databaseIn(folder), replay);
  if (problems.length > 0) faults.push({ asked: "the end", what: problems.join("; ") });
  rmSync(folder, { recursive: true });
  return {
    cases,
    accepted,
    refused: cases - accepted,
    writtenByRequests: play.written.byRequests,
    routes: routes.length,
    byRoute: [...counts.values()].toSorted((a, b) => a.accepted - b.accepted),
    faults,
  };
}

/** A batch that has dried and is packed, another that is open, a scale: so that most routes have something to do. */
function prepare(service: Service, play: { now(): number; pass(ms: number): void }): void {
  const hour = 3_600_000;
  const [one, two] = [0, 1].map(() =>
    service.startBatch({
      dryer: "Cellar",
      trays: ["A", "B"].map((name) => ({
        name,
        tareGrams: 400,
        food: "strawberries, raw",
        waterPct: 90,
      })),
    }),
  );
  const weigh = (tray: number, kind: "fresh" | "dry", value: number): void => {
    service.typeWeighing({ tray, kind, value, divisionGrams: 0.1 });
    play.pass(60_000);
  };
  for (const batch of [one, two]) {
    if (batch === undefined) return;
    for (const { id } of batch.trays) weigh(id, "fresh", 900);
    service.setClock(batch.id, { is: "in" });
    for (const mass of [470, 452.4, 452.2]) {
      play.pass(8 * hour);
      service.setClock(batch.id, { is: "out" });
      for (const { id } of batch.trays) weigh(id, "dry", mass);
      if (mass > 452.2) service.setClock(batch.id, { is: "in" });
    }
    for (const { id } of batch.trays) service.checkCore(id, { finding: "dry" });
  }
  // One that is proved dry and has ended: 89 % water, of which it has lost what it can. It teaches.
  const proved = service.startBatch({
    dryer: "Cellar",
    trays: [{ name: "A", tareGrams: 400, food: "strawberries, raw", waterPct: 88.98 }],
  });
  const dry = proved.trays[0]?.id ?? 0;
  weigh(dry, "fresh", 1307.2);
  for (const [hours, mass] of [
    [10, 900],
    [14, 502],
    [6, 502],
  ] as const) {
    service.setClock(proved.id, { is: "in" });
    play.pass(hours * hour);
    service.setClock(proved.id, { is: "out" });
    weigh(dry, "dry", mass);
  }
  service.checkCore(dry, { finding: "dry" });
  service.endBatch(proved.id);
  const [tray, other] = one?.trays ?? [];
  if (one === undefined || two === undefined || tray === undefined || other === undefined) return;
  const plan = (batch: number, trays: NewBags["trays"], count: number) =>
    service.planBags(batch, {
      trays,
      divide: { count },
      container: "soft",
      volumeMl: 946,
      although: "a trial",
    });
  const fill = (id: number, grams: number): void => {
    service.weighBag(id, { kind: "tare", value: 8, divisionGrams: 0.1 });
    service.weighBag(id, { kind: "filled", value: 8 + grams, divisionGrams: 0.1 });
  };
  plan(one.id, [{ tray: tray.id, grams: 30 }], 3);
  const sealed = plan(one.id, [{ tray: other.id, grams: 20 }], 2);
  for (const { id, targetGrams } of sealed) fill(id, targetGrams);
  for (const { id, targetGrams } of sealed.slice(1))
    service.weighBag(id, { kind: "sealed", value: 12 + targetGrams, divisionGrams: 0.1 });
  // Whole trays that stood open for too long: to be said of them that they are sealed all the same.
  const gained = plan(
    two.id,
    two.trays.map(({ id }) => ({ tray: id })),
    2,
  );
  for (const { id, targetGrams } of gained) fill(id, targetGrams + 2);
}

/** One scale on the line and one that a page reads, and no more than a few beside them. */
async function tendScales(service: Service, lineUris: readonly string[]): Promise<void> {
  const wanted = [...lineUris, "page:tablet"];
  for (const uri of wanted)
    if (!service.bench().scales.some((scale) => scale.uri === uri)) await service.addScale({ uri });
  const others = service.bench().scales.filter(({ uri }) => !wanted.includes(uri));
  for (const { id } of others.slice(4)) await service.removeScale(id);
}

/** One load on two scales, one after the other: what they differ by is there to be taken back. */
async function compare(
  service: Service,
  one: FuzzLine,
  other: FuzzLine,
  pass: (ms: number) => void,
): Promise<void> {
  const { scales, comparing } = service.bench();
  const idOf = ({ uri }: FuzzLine): string | null =>
    scales.find((scale) => scale.uri === uri)?.id ?? null;
  const [first, second] = [idOf(one), idOf(other)];
  if (first === null || second === null) return;
  for (const line of [one, other]) await line.show(0, 15, pass);
  if (comparing !== null && comparing !== undefined)
    service.compareScales(comparing.one, { with: null });
  service.compareScales(first, { with: second });
  for (const line of [one, other]) {
    await line.show(500.3, 16, pass);
    await line.show(0, 12, pass);
  }
}

/** What has something to do only now and then: a route that chance alone would hardly ever find it at. */
function waitingIn(service: Service): readonly string[] {
  const { tasks, packing, batches } = service.bench();
  const waits: readonly [boolean, string][] = [
    [tasks.some(({ question }) => question !== null), "POST /api/scales/{scale}/answer"],
    [
      packing.some(({ gainSinceVerdict }) => gainSinceVerdict?.isAnswered === false),
      "POST /api/bags/{bag}/gain",
    ],
    [
      batches.some(({ gaps }) => gaps.some(({ dryerRan }) => dryerRan === null)),
      "POST /api/gaps/{gap}",
    ],
    [service.bags({ state: "opened", q: "", batch: null }).length > 0, "POST /api/bags/{bag}/back"],
  ];
  return waits.flatMap(([isWaiting, route]) => (isWaiting ? [route] : []));
}

function firstDifference(one: unknown, other: unknown, at = ""): string | null {
  const [a, b] = [JSON.stringify(one), JSON.stringify(other)];
  if (a === b) return null;
  const parts = (value: unknown): Readonly<Record<string, unknown>> | null =>
    typeof value === "object" && value !== null ? { ...value } : null;
  const [left, right] = [parts(one), parts(other)];
  if (left === null || right === null) return `${at}: ${a} became ${b}`;
  for (const name of new Set([...Object.keys(left), ...Object.keys(right)])) {
    const found = firstDifference(left[name], right[name], `${at}/${name}`);
    if (found !== null) return found;
  }
  return `${at}: another order`;
}

/** A batch whose trays are in. */
function leaveIn(service: Service): void {
  const within = service.startBatch({ dryer: "Attic", trays: [{ name: "C", tareGrams: 400 }] });
  const tray = within.trays[0]?.id ?? 0;
  service.typeWeighing({ tray, kind: "fresh", value: 905, divisionGrams: 0.1 });
  service.setClock(within.id, { is: "in" });
}

type Ids = Readonly<Record<"tray" | "weighing" | "bag" | "batch", readonly number[]>> & {
  readonly more: Readonly<Record<string, readonly (number | string)[]>>;
};

function idsIn(service: Service): Ids {
  const { batches, scales, packing, alerts } = service.bench();
  const trays = batches.flatMap((batch) => batch.trays);
  return {
    batch: batches.map(({ id }) => id),
    tray: trays.map(({ id }) => id),
    weighing: trays.flatMap(({ weighings }) => weighings.map(({ id }) => id)),
    bag: packing.map(({ id }) => id),
    more: {
      scale: scales.map(({ id }) => id),
      alert: alerts.map(({ id }) => id),
      gap: batches.flatMap(({ gaps }) => gaps.map(({ id }) => id)),
      interruption: batches.flatMap((batch) => batch.interruptions.map(({ id }) => id)),
      code: ["batch.ended", "input.invalid"],
    },
  };
}

/** Mostly of something that is there. */
function placeOf(name: string, { more, ...ids }: Ids, chance: Chance): string {
  if (chance() < 0.05)
    return encodeURIComponent(pick(["0", "-1", "1.5", "../..", "x y", "\0"], chance));
  const all: Readonly<Record<string, readonly (number | string)[]>> = { ...ids, ...more };
  const known = all[name] ?? [];
  return known.length === 0 || chance() < 0.15
    ? String(1 + below(40, chance))
    : encodeURIComponent(pick(known, chance));
}

function queryOf(operation: Operation, making: Making) {
  const { chance } = making;
  const parts = (operation.parameters ?? []).filter((one) => one.in === "query");
  const pairs = parts
    .filter(() => chance() < 0.5)
    .map(({ name, schema }) => {
      const value = chance() < 0.7 ? fitting(schema, making) : rubbish(chance, 0);
      const text = typeof value === "string" ? value : JSON.stringify(value);
      return `${encodeURIComponent(name)}=${encodeURIComponent(Buffer.from(text).toString())}`;
    });
  return pairs.length === 0 ? "" : `?${pairs.join("&")}`;
}
