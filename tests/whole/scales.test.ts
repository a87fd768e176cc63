// Scales that come and go at the built service: one chosen from practice, one that says no unit, one in pounds and
// ounces; and two dryers at once, with an alert that reaches another program.
import { once } from "node:events";
import { mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { createServer, type Server } from "node:http";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { test as inTurn, type TestContext } from "vitest";
import type { Batch } from "../../src/wire/batch.ts";
import type { Bench } from "../../src/wire/bench.ts";
import { Pty } from "../rig/pty.ts";
import { Pan } from "./pan.ts";
import { dataFolder, eventually, Service } from "./service.ts";

/** The tests run beside each other. What each puts up it takes down at its end, the last first. */
const test = inTurn.concurrent;
type Undo = TestContext["onTestFinished"];

async function started(
  undo: Undo,
  more: { scale?: string; timeFactor?: number; more?: readonly string[] } = {},
): Promise<Service> {
  const data = dataFolder();
  undo(() => data.remove());
  const service = await Service.start({ ...more, data: data.path });
  undo(async () => void (await service.stop()));
  return service;
}

async function pty(undo: Undo): Promise<Pty> {
  const line = await Pty.start();
  undo(() => line.close());
  return line;
}

/** Says the same line ten times a second. */
function repeat(undo: Undo, line: Pty, text: string): void {
  const timer = setInterval(() => line.send(`${text}\r\n`), 100);
  undo(() => clearInterval(timer));
}

const whenScale = (
  service: Service,
  what: string,
  fits: (scale: Bench["scales"][number]) => boolean,
): Promise<Bench> =>
  eventually(
    what,
    () => service.bench(),
    ({ scales }) => scales.some(fits),
  );

test("choosing a real scale ends practice and opens the folder for real food", async ({
  expect,
  onTestFinished: undo,
}) => {
  const service = await started(undo, { scale: "practice:" });
  const practising = await service.bench();
  expect(practising.practice).not.toBeNull();
  const line = await pty(undo);
  const pan = new Pan(line);
  undo(() => pan.stop());
  await service.post<Bench>("/api/scales", { uri: line.path });
  const real = await whenScale(service, "the real scale", ({ form }) => form === "marked");
  expect(real.practice).toBeNull();
  expect(real.practiceHand).toBeNull();
  expect(real.batches).toEqual([]);
  expect(practising.dataFolder.startsWith(real.dataFolder)).toBe(true);
  expect(real.dataFolder).not.toBe(practising.dataFolder);
  expect(real.scales.map(({ uri, practice }) => ({ uri, practice }))).toEqual([
    { uri: line.path, practice: false },
  ]);
});

test("who has no scale to connect takes the practice scale away, types weights, and is not put back to practice", async ({
  expect,
  onTestFinished: undo,
}) => {
  const data = dataFolder();
  undo(() => data.remove());
  const service = await Service.start({ scale: "practice:", data: data.path });
  const [scale] = (await service.bench()).scales;
  await service.ask("DELETE", `/api/scales/${scale!.id}`);
  expect(await service.bench()).toMatchObject({ practice: null, scales: [], batches: [] });
  await service.stop();
  const again = await Service.start({ data: data.path });
  undo(async () => void (await again.stop()));
  expect(await again.bench()).toMatchObject({ practice: null, scales: [], batches: [] });
  const trays = [{ name: "A", tareGrams: 400 }];
  const { id } = await again.post<Batch>("/api/batches", { dryer: "D", trays });
  const fresh = { tray: 1, kind: "fresh", value: 1312 };
  const batch = await again.post<Batch>("/api/weighings", fresh);
  expect(batch).toMatchObject({ id, practice: false, trays: [{ freshGrams: 912 }] });
});

test("a load on a scale that sends a line every 3 s is taken at its fourth, and shown all the while", async ({
  expect,
  onTestFinished: undo,
}) => {
  const line = await pty(undo);
  const service = await started(undo, { scale: `${line.path}?form=marked` });
  const live = await service.live();
  undo(() => live.close());
  let shown = 0;
  const send = (): void => line.send(`ST,GS,${`+${shown.toFixed(1)}`.padStart(10)} g\r\n`);
  await live.until("the open line", () => live.of("link").some(({ link }) => link === "up"));
  send();
  const timer = setInterval(send, 3000);
  undo(() => clearInterval(timer));
  await live.until(
    "four lines",
    () => live.of("reading").filter((one) => one.grams === 0).length > 3,
  );
  const before = live.messages.length;
  shown = 412.6;
  await live.until("the load at rest", () => live.of("settled").length > 0);
  expect(live.of("settled")).toMatchObject([{ grams: 412.6, zeroSeen: true }]);
  // So long that the next line is just due.
  await new Promise((resolve) => setTimeout(resolve, 2900));
  expect((await service.bench()).scales).toMatchObject([
    { link: "up", state: "weight", grams: 412.6, settled: true, zeroSeen: true },
  ]);
  const since = live.messages.slice(before).filter((one) => one.type === "reading");
  expect(since.map(({ grams }) => grams)).toEqual([412.6, 412.6, 412.6, 412.6]);
});

test("a bare number is never guessed: the unit is asked for, and read once it is said", async ({
  expect,
  onTestFinished: undo,
}) => {
  const line = await pty(undo);
  const service = await started(undo, { scale: line.path });
  repeat(undo, line, "   250.3");
  const asked = await whenScale(service, "candidates", ({ candidates }) => candidates.length > 0);
  const [scale] = asked.scales;
  expect(scale).toMatchObject({ grams: null, form: null });
  expect(scale!.candidates.map(({ reads }) => reads)).toEqual([
    "250.3 g",
    "250.3 kg",
    "250.3 oz",
    "250.3 lb",
  ]);
  const [candidate] = scale!.candidates;
  await service.post(`/api/scales/${scale!.id}/form`, { form: candidate!.form, unit: "g" });
  const read = await whenScale(service, "a reading", ({ grams }) => grams !== null);
  expect(read.scales[0]).toMatchObject({ grams: 250.3, unit: "g", divisionGrams: 0.1 });
});

test("a form of the settings file is recognised, its keys reach the scale, and a wrong one stops the start", async ({
  expect,
  onTestFinished: undo,
}) => {
  const folder = mkdtempSync(join(tmpdir(), "stillweight-own-form-"));
  undo(() => rmSync(folder, { recursive: true }));
  const file = join(folder, "settings.toml");
  const text = [
    "[[form]]",
    'name = "bakery"',
    'keys = { tare = "!T\\r" }',
    'line = [{ part = "literal", text = "W:" }, { part = "padding" },',
    '  { part = "digits", point = ",", decimals = 1 }, { part = "unit", g = ["GRM"] }]',
  ].join("\n");
  writeFileSync(file, text);
  const line = await pty(undo);
  repeat(undo, line, "W:  412,6GRM");
  const service = await started(undo, { scale: line.path, more: ["--config", file] });
  const read = await whenScale(service, "its form", ({ grams }) => grams !== null);
  expect(read.scales[0]).toMatchObject({ form: "own:bakery", grams: 412.6, keys: ["tare"] });
  await service.post(`/api/scales/${read.scales[0]!.id}/send`, { what: "tare" });
  await expect.poll(() => line.got()).toBe("!T\r");
  writeFileSync(file, text.replace('"digits"', '"digit"'));
  await expect(started(undo, { scale: line.path, more: ["--config", file] })).rejects.toThrow(
    /settings\.toml, line 5: form 1, part 3 of the line: "digit" is no part; did you mean "digits"/,
  );
});

test("what a person said of a scale's lines still holds after a restart, until the scale is removed", async ({
  expect,
  onTestFinished: undo,
}) => {
  const line = await pty(undo);
  const data = dataFolder();
  undo(() => data.remove());
  repeat(undo, line, "   8.81");
  const first = await Service.start({ scale: line.path, data: data.path });
  undo(async () => void (await first.stop()));
  await whenScale(first, "candidates", ({ candidates }) => candidates.length > 0);
  await first.post("/api/scales/scale-1/form", { form: "bare", unit: "oz" });
  await first.kill();

  const again = await Service.start({ scale: line.path, data: data.path });
  undo(async () => void (await again.stop()));
  const { scales } = await whenScale(again, "a reading", ({ grams }) => grams !== null);
  expect(scales[0]).toMatchObject({ form: "bare", unit: "oz", candidates: [] });
  // NIST Handbook 44 appendix C: 1 oz = 28.349523125 g.
  expect(scales[0]?.grams).toBeCloseTo(8.81 * 28.349523125, 6);
  expect((await again.ask("DELETE", "/api/scales/scale-1")).status).toBe(200);
  await again.stop();

  const fresh = await Service.start({ scale: line.path, data: data.path });
  undo(async () => void (await fresh.stop()));
  await whenScale(fresh, "candidates", ({ candidates }) => candidates.length > 0);
});

test("a page that stays open is told once the empty pan was seen at zero", async ({
  onTestFinished: undo,
}) => {
  const line = await pty(undo);
  const service = await started(undo, { scale: line.path });
  const live = await service.live();
  undo(() => live.close());
  const seen = (): unknown => live.of("bench").at(-1)?.bench.scales[0]?.zeroSeen;
  await live.until("the scale on the bench", () => seen() === false);
  const pan = new Pan(line);
  undo(() => pan.stop());
  await live.until("zero seen", () => seen() === true);
});

test("pounds and ounces are read as grams by the exact factors", async ({
  expect,
  onTestFinished: undo,
}) => {
  const line = await pty(undo);
  const service = await started(undo, { scale: line.path });
  repeat(undo, line, "  2 lb  3.5 oz");
  const { scales } = await whenScale(service, "a reading", ({ grams }) => grams !== null);
  // NIST Handbook 44 appendix C: 1 lb = 453.59237 g, 1 oz = 28.349523125 g.
  expect(scales[0]?.grams).toBeCloseTo(2 * 453.59237 + 3.5 * 28.349523125, 6);
  expect(scales[0]?.unit).toBe("lb:oz");
});

async function webhook(
  undo: Undo,
): Promise<{ url: string; heard: { code: string; batch: number }[] }> {
  const heard: { code: string; batch: number }[] = [];
  const server: Server = createServer((request, response) => {
    let body = "";
    request.on("data", (chunk: Buffer) => (body += chunk.toString()));
    request.on("end", () => {
      heard.push(JSON.parse(body) as { code: string; batch: number });
      response.end();
    });
  });
  server.listen(0, "127.0.0.1");
  await once(server, "listening");
  undo(() => void server.close());
  const address = server.address();
  const port = typeof address === "object" && address !== null ? address.port : 0;
  return { url: `http://127.0.0.1:${port}/`, heard };
}

test("an address that no alert can reach is refused, and the one before it stays", async ({
  expect,
  onTestFinished: undo,
}) => {
  const service = await started(undo);
  const { url } = await webhook(undo);
  await service.ask("PATCH", "/api/settings", { webhook: url });
  for (const wrong of ["ftp://192.168.1.9/hook", "the phone"]) {
    const { status, body } = await service.ask("PATCH", "/api/settings", { webhook: wrong });
    expect(status).toBe(400);
    expect(JSON.stringify(body)).toContain("is not an http or https address");
  }
  expect(await service.get("/api/settings")).toMatchObject({ webhook: url });
});

test("two dryers at once: one batch comes out and is told of, the other dries on", async ({
  expect,
  onTestFinished: undo,
}) => {
  const service = await started(undo, { timeFactor: 36_000 });
  const { url, heard } = await webhook(undo);
  expect((await service.ask("PATCH", "/api/settings", { webhook: url })).status).toBe(200);
  const begin = (dryer: string): Promise<Batch> =>
    service.post<Batch>("/api/batches", {
      dryer,
      trays: [{ name: "A", tareGrams: 400, food: "invented", waterPct: 90 }],
    });
  const [cellar, kitchen] = [await begin("Cellar"), await begin("Kitchen")];
  const weigh = (batch: Batch, kind: string, value: number): Promise<Batch> =>
    service.post<Batch>("/api/weighings", { tray: batch.trays[0]!.id, kind, value });
  for (const batch of [cellar, kitchen]) {
    await weigh(batch, "fresh", 1000);
    await service.post(`/api/batches/${batch.id}/clock`, { is: "in" });
  }
  await eventually(
    "eight hours",
    () => service.batch(cellar.id),
    ({ clock }) => clock.dryingHours >= 8,
  );
  await service.post(`/api/batches/${cellar.id}/clock`, { is: "out" });
  const weighed = await weigh(cellar, "dry", 750);
  expect(weighed.verdict).toBe("losing");
  expect((await service.batch(kitchen.id)).clock.state).toBe("in");
  const needsMore = (): Promise<typeof heard> =>
    Promise.resolve(heard.filter(({ code }) => code === "needs-more"));
  const told = await eventually("the webhook", needsMore, (seen) => seen.length > 0);
  expect(told.map(({ batch }) => batch)).toEqual([cellar.id]);
});
