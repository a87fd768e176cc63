// The receiver of alerts is away, and the program is killed meanwhile: what still stands is sent when both are back.
import { once } from "node:events";
import { createServer, type Server } from "node:http";
import type { AddressInfo } from "node:net";
import { afterAll, afterEach, beforeAll, expect, test } from "vitest";
import type { WebhookBody } from "../../src/send/webhook.ts";
import type { Alert } from "../../src/wire/bench.ts";
import type { Batch } from "../../src/wire/batch.ts";
import { dataFolder, eventually, recordIn, Service } from "./service.ts";

const data = dataFolder();
let service: Service;
let port = 0;
const heard: WebhookBody[] = [];
/** What the receiver does before it answers. */
let beforeAnswer: () => Promise<void> = async () => undefined;
let server: Server | null = null;

async function receiverComes(): Promise<void> {
  server = createServer((request, response) => {
    let text = "";
    request.on("data", (chunk: Buffer) => (text += chunk.toString()));
    request.on("end", () => {
      heard.push(JSON.parse(text) as WebhookBody);
      void beforeAnswer().then(() => response.writeHead(204).end());
    });
  }).listen(port, "127.0.0.1");
  await once(server, "listening");
  ({ port } = server.address() as AddressInfo);
}
function receiverGoes(): void {
  server?.close();
  server?.closeAllConnections();
  server = null;
}
const start = async (): Promise<void> => {
  service = await Service.start({ data: data.path, scale: "tcp://127.0.0.1:9" });
};
const killedAndStarted = async (): Promise<void> => {
  await service.kill();
  await start();
};
const sending = async () =>
  (await service.bench()).sending.find(({ channel }) => channel === "webhook");
type Said = Awaited<ReturnType<typeof sending>>;
const hasFailed = (one: Said): boolean => typeof one?.failed === "string";
const wasSent = (one: Said): boolean => typeof one?.at === "string" && one.failed === null;
/** Longer than the first pause between two tries. */
const aWhile = (): Promise<void> => new Promise((done) => setTimeout(done, 7000));

beforeAll(async () => {
  await receiverComes();
  await start();
  const settings = await service.ask("PATCH", "/api/settings", {
    webhook: `http://127.0.0.1:${port}/hook`,
  });
  expect(settings.status).toBe(200);
});
afterEach(() => {
  heard.length = 0;
  beforeAnswer = async () => undefined;
});
afterAll(async () => {
  await service.stop();
  receiverGoes();
  data.remove();
});

/** A batch of one tray, weighed fresh and once since: its round is complete, and an alert is raised. */
async function raise(): Promise<{ readonly batch: Batch; readonly alert: Alert }> {
  const tray = { name: "A", tareGrams: 400, food: "invented", waterPct: 80 };
  const batch = await service.post<Batch>("/api/batches", { dryer: "Cellar", trays: [tray] });
  const id = batch.trays[0]?.id ?? 0;
  await service.post("/api/weighings", { tray: id, kind: "fresh", value: 900 });
  await service.post(`/api/batches/${batch.id}/clock`, { is: "in" });
  await service.post(`/api/batches/${batch.id}/clock`, { is: "out" });
  await service.post("/api/weighings", { tray: id, kind: "dry", value: 850 });
  const { alerts } = await service.bench();
  const alert = alerts.find((one) => one.batch === batch.id);
  if (alert === undefined) throw new Error("a complete round raises an alert");
  return { batch, alert };
}

test("an alert outlives its receiver's outage and two kills, and is delivered once", async () => {
  receiverGoes();
  const { alert, batch } = await raise();
  await eventually("the failure", sending, hasFailed);
  expect(await sending()).toMatchObject({ at: null, waiting: 1 });
  await killedAndStarted();
  await eventually("the failure", sending, (one) => one?.failed?.includes("ECONNREFUSED") === true);
  expect(await sending()).toMatchObject({ at: null, waiting: 1 });
  await receiverComes();
  await eventually("the alert", sending, wasSent);
  expect(heard).toEqual([
    {
      id: `${alert.id}-${Date.parse(alert.at)}`,
      text: alert.text,
      code: alert.code,
      batch: batch.id,
      at: alert.at,
      practice: false,
    },
  ]);
  await killedAndStarted();
  await aWhile();
  expect(heard).toHaveLength(1);
  expect((await service.bench()).alerts.map(({ id }) => id)).toContain(alert.id);
});

test("what was answered during the outage is not sent after it, what was raised since is", async () => {
  receiverGoes();
  const { batch } = await raise();
  await eventually("the failure", sending, hasFailed);
  await service.post(`/api/batches/${batch.id}/clock`, { is: "in" });
  expect(await sending()).toMatchObject({ waiting: 0 });
  const other = await raise();
  await killedAndStarted();
  await receiverComes();
  await eventually("the alert", sending, wasSent);
  await aWhile();
  expect(heard.map((one) => one.batch)).toEqual([other.batch.id]);
});

test("killed before the receiver has answered, the program asks again; once answered, never", async () => {
  beforeAnswer = () => service.kill();
  const { batch } = await raise().catch(() => ({ batch: null }));
  await eventually(
    "the kill",
    async () => service.isUp(),
    (isUp) => !isUp,
  );
  expect(heard).toHaveLength(1);
  beforeAnswer = async () => undefined;
  await start();
  await eventually("the alert", sending, wasSent);
  expect(heard).toHaveLength(2);
  expect(heard[1]).toEqual(heard[0]);
  if (batch !== null) expect(heard[0]?.batch).toBe(batch.id);
  await killedAndStarted();
  await aWhile();
  expect(heard).toHaveLength(2);
  expect(recordIn(data.path).problems).toEqual([]);
});
