// Alerts to a receiver that is away for a while: a real one over HTTP, and a store on the disk. Only the clocks are
// the test's own, so that a day passes at once.
import { Aedes } from "aedes";
import { connectAsync } from "mqtt";
import { once } from "node:events";
import { createServer } from "node:http";
import { createServer as createTcpServer, type AddressInfo } from "node:net";
import { afterEach, beforeEach, expect, onTestFinished, test, vi } from "vitest";
import * as acts from "../../src/service/acts.ts";
import type { Engine } from "../../src/service/engine.ts";
import { pauseAfterMs } from "../../src/service/outgoing.ts";
import { openStore, type Store } from "../../src/store/store.ts";
import { fraction, grams } from "../../src/units/quantity.ts";
import type * as webhook from "../../src/send/webhook.ts";
import { Fault } from "../../src/faults.ts";
import { aBatch, aMoment, aTray, aWeighing, later, noon, started, taken } from "../store/facts.ts";
import { real, tempFolder } from "../store/folder.ts";
import { clockOn, engineOn } from "./computer.ts";

const second = 1000;
const minute = 60 * second;

/** What was sent to receivers since somebody waited for it. */
const underWay = vi.hoisted((): Promise<unknown>[] => []);
vi.mock("../../src/send/webhook.ts", async (original) => {
  const real = await original<typeof webhook>();
  const sendWebhook: typeof webhook.sendWebhook = (...asked) => {
    const sent = real.sendWebhook(...asked);
    underWay.push(sent);
    return sent;
  };
  return { ...real, sendWebhook };
});

beforeEach(() => void vi.useFakeTimers({ toFake: ["setInterval", "clearInterval"] }));
afterEach(() => void vi.useRealTimers());

/** 410: refused at once, without a second try. */
type Way = 200 | 410 | "never";

/** A receiver that answers as it is told at the time. */
async function receiver() {
  const heard: webhook.WebhookBody[] = [];
  const asked: webhook.WebhookBody[] = [];
  const state: { way: Way } = { way: 410 };
  const server = createServer((request, response) => {
    let text = "";
    request.on("data", (chunk: Buffer) => (text += chunk.toString()));
    request.on("end", () => {
      const body = JSON.parse(text) as webhook.WebhookBody;
      asked.push(body);
      if (state.way === 200) heard.push(body);
      if (state.way !== "never") response.writeHead(state.way).end();
    });
  }).listen(0, "127.0.0.1");
  await once(server, "listening");
  onTestFinished(() => {
    server.close();
    server.closeAllConnections();
  });
  const { port } = server.address() as AddressInfo;
  return { url: `http://127.0.0.1:${port}/`, heard, asked, state };
}

type Receiver = Awaited<ReturnType<typeof receiver>>;

/** A folder with trays that have been out since 13:00, and alerts going to a receiver. */
async function withTraysOut() {
  const folder = tempFolder();
  const there = await receiver();
  const store = openStore(folder, real);
  store.record([
    started(aBatch(1, [aTray(1, 1)])),
    taken(aWeighing(1, { kind: "fresh", gross: grams(1000) })),
    { is: "moment-set", moment: aMoment(2, { at: later(5) }) },
    { is: "moment-set", moment: aMoment(3, { is: "out", at: later(60) }) },
    {
      is: "settings-changed",
      at: noon,
      settings: {
        limit: fraction(0.01),
        displayUnit: "g",
        webhook: there.url,
        mqtt: null,
        outTooLongMinutes: 30,
        sound: true,
        learning: true,
      },
    },
  ]);
  store.close();
  return { folder, there };
}

/** The program on that folder, so many minutes after noon. */
function startAt(minutes: number, folder: string, change: (store: Store) => Store = (it) => it) {
  const computer = { mono: 0, utc: Number(later(minutes)), up: 90_000 };
  const clock = clockOn(computer);
  const engine = engineOn(clock, change(openStore(folder, real)));
  let isClosed = false;
  const close = async (): Promise<void> => {
    if (!isClosed) await engine.close();
    isClosed = true;
  };
  onTestFinished(close);
  engine.begin(() => undefined);
  return {
    engine,
    close,
    sending: () => engine.shown().sending[0],
    /** So much time, and one tick at its end. */
    pass: (ms: number): void => {
      for (const name of ["mono", "utc", "up"] as const) computer[name] += ms;
      vi.advanceTimersByTime(second);
    },
  };
}
type Program = ReturnType<typeof startAt>;

/** Trays have been out for 31 minutes: the alert is raised, and the receiver refuses it. */
async function refused(folder: string, there: Receiver): Promise<Program> {
  const program = startAt(91, folder);
  program.pass(second);
  await expect.poll(() => program.sending()?.failed).toMatch(/answered 410/);
  expect(there.asked).toHaveLength(1);
  return program;
}

/** Ticks, each after so long; what is sent at one is answered before the next. */
async function ticks(program: Program, count: number, each: number): Promise<void> {
  for (let tick = 0; tick < count; tick++) {
    program.pass(each);
    await Promise.allSettled(underWay.splice(0));
    await new Promise((done) => setTimeout(done, 20));
  }
}

test("an alert that could not be sent is sent once when the receiver answers, with when it was raised", async () => {
  const { folder, there } = await withTraysOut();
  const program = await refused(folder, there);
  expect(program.sending()).toMatchObject({ at: null, waiting: 1 });
  await ticks(program, 20, 9 * minute);
  expect(there.asked.length).toBeGreaterThan(10);
  expect(program.sending()).toMatchObject({ at: null, waiting: 1 });
  // On a busy machine the last try may be under way still, and another begins only after it.
  await new Promise((done) => setTimeout(done, 500));
  there.state.way = 200;
  program.pass(5 * minute);
  await expect.poll(() => program.sending()?.waiting).toBe(0);
  const [raised] = program.engine.present.alerts;
  expect(raised).toMatchObject({ code: "out-too-long", owed: [] });
  expect(there.heard).toEqual([
    {
      id: `${raised?.id}-${raised?.at}`,
      text: `${raised?.text} (raised 3 h 5 min ago)`,
      code: "out-too-long",
      batch: 1,
      at: new Date(Number(later(91)) + second).toISOString(),
      practice: false,
    },
  ]);
  expect(program.sending()).toEqual({
    channel: "webhook",
    at: new Date(Number(later(276)) + second).toISOString(),
    lateMinutes: 185,
    failed: null,
    waiting: 0,
  });
  await ticks(program, 10, 10 * minute);
  expect(there.heard).toHaveLength(1);
});

test("the waits between tries grow to minutes and no further", async () => {
  expect([1, 2, 3, 4, 5, 6, 7, 8, 200].map((failures) => pauseAfterMs(failures) / second)).toEqual([
    5, 10, 20, 40, 80, 160, 300, 300, 300,
  ]);
  const { folder, there } = await withTraysOut();
  const program = await refused(folder, there);
  await ticks(program, 4, second);
  expect(there.asked).toHaveLength(1);
  program.pass(second);
  await expect.poll(() => there.asked).toHaveLength(2);
  await ticks(program, 9, second);
  expect(there.asked).toHaveLength(2);
});

test("an alert that was not sent goes out after the next start, and not again after the one after that", async () => {
  const { folder, there } = await withTraysOut();
  await (await refused(folder, there)).close();
  there.state.way = 200;
  const second = startAt(93, folder);
  await expect.poll(() => there.heard).toHaveLength(1);
  expect(there.heard[0]?.text).toContain("(raised 2 min ago)");
  await expect.poll(() => second.sending()?.lateMinutes).toBe(2);
  await second.close();
  const third = startAt(95, folder);
  await ticks(third, 10, minute);
  expect(there.heard).toHaveLength(1);
});

test.each([
  [
    "the trays went in",
    ({ engine }: Program) =>
      engine.act((bench) =>
        acts.setClock(bench, 1, { is: "in", trays: null, at: now(engine) }, now(engine)),
      ),
  ],
  [
    "somebody understood it",
    ({ engine }: Program) => engine.act((bench) => acts.acknowledge(bench, 1, now(engine))),
  ],
  [
    "the batch has ended",
    ({ engine }: Program) => engine.act((bench) => acts.endBatch(bench, 1, now(engine))),
  ],
  [
    "trays may now be out for longer",
    ({ engine }: Program) =>
      engine.act(({ settings }) => [
        {
          is: "settings-changed",
          at: now(engine),
          settings: { ...settings, outTooLongMinutes: 600 },
        },
      ]),
  ],
])("what no longer stands is not sent later: %s", async (_what, act) => {
  const { folder, there } = await withTraysOut();
  const program = await refused(folder, there);
  act(program);
  expect(program.sending()).toMatchObject({ waiting: 0 });
  there.state.way = 200;
  await ticks(program, 5, 6 * minute);
  expect(there.heard).toEqual([]);
  await program.close();
  await ticks(startAt(200, folder), 3, minute);
  expect(there.heard).toEqual([]);
});

const now = (engine: Engine) => engine.now().at;

test("another address is tried at once; one that is taken away gets nothing", async () => {
  const { folder, there } = await withTraysOut();
  const program = await refused(folder, there);
  await ticks(program, 6, 6 * minute);
  const other = await receiver();
  other.state.way = 200;
  const settle = (webhook: string | null) => {
    program.engine.act(({ settings }) => [
      { is: "settings-changed", at: now(program.engine), settings: { ...settings, webhook } },
    ]);
    program.engine.useReceivers();
  };
  settle(null);
  expect(program.sending()).toBe(undefined);
  const { length } = there.asked;
  await ticks(program, 3, 6 * minute);
  settle(other.url);
  await expect.poll(() => other.heard).toHaveLength(1);
  expect(there.asked).toHaveLength(length);
});

test("a program that is stopped waits a moment for the answer, and gives up one that does not come", async () => {
  const { folder, there } = await withTraysOut();
  there.state.way = "never";
  const program = startAt(91, folder);
  program.pass(second);
  await expect.poll(() => there.asked).toHaveLength(1);
  const began = performance.now();
  await program.close();
  expect(performance.now() - began).toBeGreaterThan(900);
  expect(performance.now() - began).toBeLessThan(4000);
  there.state.way = 200;
  startAt(92, folder);
  await expect.poll(() => there.heard).toHaveLength(1);
});

test("a store that refuses to keep that an alert was sent does not have it sent twice", async () => {
  const { folder, there } = await withTraysOut();
  let isFull = false;
  const program = startAt(91, folder, (store) => ({
    ...store,
    canRecord: () => (isFull ? { recording: false, why: "full" } : store.canRecord()),
    record: (facts) => {
      if (isFull) throw new Fault("store.full", "full");
      store.record(facts);
    },
  }));
  program.pass(second);
  await expect.poll(() => program.sending()?.failed).toMatch(/answered 410/);
  isFull = true;
  there.state.way = 200;
  program.pass(10 * second);
  await expect.poll(() => there.heard).toHaveLength(1);
  await ticks(program, 5, 10 * second);
  expect(there.heard).toHaveLength(1);
  expect(program.engine.present.alerts[0]?.owed).toEqual(["webhook"]);
  isFull = false;
  await ticks(program, 2, 10 * second);
  expect(program.engine.present.alerts[0]?.owed).toEqual([]);
  await program.close();
  await ticks(startAt(95, folder), 3, minute);
  expect(there.heard).toHaveLength(1);
});

test("an alert whose sending could not be kept before the program was killed comes once more under its id", async () => {
  const { folder, there } = await withTraysOut();
  there.state.way = 200;
  const program = startAt(91, folder, (store) => ({
    ...store,
    record: (facts) => {
      if (facts.some(({ is }) => is === "alert-sent")) throw new Fault("store.full", "full");
      store.record(facts);
    },
  }));
  program.pass(second);
  await expect.poll(() => there.heard).toHaveLength(1);
  await program.close();
  startAt(94, folder);
  await expect.poll(() => there.heard).toHaveLength(2);
  const [first, again] = there.heard;
  expect(again?.id).toBe(first?.id);
  expect(again?.text).toContain("(raised 3 min ago)");
});

test("a broker that comes back has the alert of meanwhile once its listeners had time to come back, and once", async () => {
  const { folder } = await withTraysOut();
  const away = createTcpServer().listen(0, "127.0.0.1");
  await once(away, "listening");
  const { port } = away.address() as AddressInfo;
  await new Promise((done) => away.close(done));
  const url = `mqtt://127.0.0.1:${port}`;
  const program = startAt(80, folder);
  program.engine.act(({ settings }) => [
    {
      is: "settings-changed",
      at: now(program.engine),
      settings: {
        ...settings,
        webhook: null,
        mqtt: { url, prefix: "still", user: null, password: null },
      },
    },
  ]);
  program.engine.useReceivers();
  program.pass(11 * minute + second);
  expect(program.engine.present.alerts[0]?.owed).toEqual(["mqtt"]);
  await ticks(program, 200, 2 * second);
  expect(program.sending()).toMatchObject({ channel: "mqtt", at: null, waiting: 1 });
  expect(program.sending()?.failed).toContain("ECONNREFUSED");

  // A first try waits 5 s for a connection.
  await new Promise((done) => setTimeout(done, 5500));
  const broker = await Aedes.createBroker();
  const server = createTcpServer(broker.handle).listen(port, "127.0.0.1");
  await once(server, "listening");
  await ticks(program, 8, second);
  await expect.poll(() => program.sending()?.failed).toBe(null);
  // One who listens comes back later than the program did.
  const listener = await connectAsync(url);
  onTestFinished(async () => {
    await listener.endAsync(true);
    await program.close();
    await new Promise<void>((done) => broker.close(done));
    await new Promise((done) => server.close(done));
  });
  const heard: string[] = [];
  listener.on("message", (_topic, payload) => heard.push(payload.toString()));
  await listener.subscribeAsync("still/alert", { qos: 1 });
  expect(program.sending()).toMatchObject({ waiting: 1 });
  // The pause after so many failures would be minutes.
  await ticks(program, 20, second);
  await expect.poll(() => heard).toHaveLength(1);
  await expect.poll(() => program.sending()?.waiting).toBe(0);
  expect(JSON.parse(heard[0] ?? "")).toMatchObject({ code: "out-too-long" });
  expect(program.sending()).toMatchObject({ failed: null, waiting: 0, lateMinutes: 7 });
  await ticks(program, 5, 6 * minute);
  expect(heard).toHaveLength(1);
});
