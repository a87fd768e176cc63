/**
 * A month in minutes: the built service with its clock sped up, a scale on a pseudo-terminal that is pulled once a
 * day, weighings, pages that come and go, a few of them without a good-bye, labels, batches that end. Memory, open
 * files, disk and the delay of the event loop are looked at once a day; the same delay of an idle program beside it
 * tells what the machine itself adds.
 *   npm run bench:soak -- [--days N] [--seconds-a-day S]
 */
import { spawn, type ChildProcess } from "node:child_process";
import { once } from "node:events";
import { mkdtempSync, readdirSync, readFileSync, rmSync, statSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { setTimeout as wait } from "node:timers/promises";
import { parseArgs } from "node:util";
import WebSocket from "ws";
import type { Bag } from "../../src/wire/bag.ts";
import type { Batch } from "../../src/wire/batch.ts";
import { Pty } from "../../tests/rig/pty.ts";

const { values } = parseArgs({
  options: {
    days: { type: "string", default: "30" },
    "seconds-a-day": { type: "string", default: "20" },
  },
});
const [days, secondsADay] = [Number(values.days), Number(values["seconds-a-day"])];
if (![days, secondsADay].every((one) => Number.isInteger(one) && one >= 2)) {
  console.error("--days and --seconds-a-day are whole numbers from 2");
  process.exit(2);
}

const root = process.cwd();
const data = mkdtempSync(join(tmpdir(), "stillweight-soak-"));
/** Collects garbage on SIGUSR2, outside of what is measured, and says how late the event loop was since the last time, in ms: the 99th percentile and the worst. */
const watch = `data:text/javascript,${encodeURIComponent(
  `import{monitorEventLoopDelay}from'node:perf_hooks';const h=monitorEventLoopDelay({resolution:1});h.enable();process.on('SIGUSR2',()=>{const said='loop '+h.percentile(99)/1e6+' '+h.max/1e6+'\\n';globalThis.gc?.();setTimeout(()=>{h.reset();process.stderr.write(said)},50)})`,
)}`;

class Program {
  readonly child: ChildProcess;
  #said = "";
  constructor(args: readonly string[]) {
    this.child = spawn(process.execPath, ["--expose-gc", "--import", watch, ...args], {
      stdio: ["ignore", "pipe", "pipe"],
      env: { ...process.env, LOG_LEVEL: "silent" },
    });
    process.once("exit", () => this.child.kill("SIGKILL"));
    this.child.stdout?.on("data", (bytes: Buffer) => (this.#said += bytes.toString()));
    this.child.stderr?.on("data", (bytes: Buffer) => (this.#said += bytes.toString()));
  }
  async saying(what: RegExp): Promise<RegExpExecArray> {
    for (;;) {
      const found = what.exec(this.#said);
      if (found !== null) return found;
      if (this.child.exitCode !== null) throw new Error(`it ended: ${this.#said}`);
      await wait(20);
    }
  }
  async loop(): Promise<{ p99Ms: number; worstMs: number }> {
    this.#said = "";
    this.child.kill("SIGUSR2");
    const [, p99 = "", worst = ""] = await this.saying(/loop (\S+) (\S+)\n/);
    return { p99Ms: Number(p99), worstMs: Number(worst) };
  }
  get rssMb(): number {
    const status = readFileSync(`/proc/${this.child.pid}/status`, "utf8");
    return Number(/VmRSS:\s+(\d+) kB/.exec(status)?.[1]) / 1024;
  }
  get files(): number {
    return readdirSync(`/proc/${this.child.pid}/fd`).length;
  }
  async end(): Promise<number | null> {
    const ended = once(this.child, "exit");
    this.child.kill("SIGTERM");
    await ended;
    return this.child.exitCode;
  }
}

const line = await Pty.start(join(root, "tests", "rig"));
let onPan = 0;
const scale = setInterval(() => line.send(`ST,GS,+${onPan.toFixed(1).padStart(7)} g\r\n`), 100);
const service = new Program([
  join(root, "dist", "main.js"),
  "run",
  "--data",
  data,
  "--port",
  "0",
  "--scale",
  `serial://${line.path}?form=marked`,
  "--time-factor",
  String(Math.round(86_400 / secondsADay)),
]);
const idle = new Program(["-e", "setInterval(() => {}, 1000)"]);
const url = (await service.saying(/listening on (http:\S+)/))[1] ?? "";

async function ask<T>(method: string, path: string, body?: unknown): Promise<T> {
  const answer = await fetch(url + path, {
    method,
    ...(body === undefined
      ? {}
      : { headers: { "content-type": "application/json" }, body: JSON.stringify(body) }),
  });
  if (answer.status >= 400) throw new Error(`${method} ${path}: ${await answer.text()}`);
  const type = answer.headers.get("content-type") ?? "";
  return (type.includes("json") ? await answer.json() : await answer.arrayBuffer()) as T;
}

let taken = 0;
let lifted = 0;
const follower = new WebSocket(`${url.replace("http", "ws")}/api/live`);
follower.on("message", (text: Buffer) => {
  const said = text.toString();
  if (said.includes('"type":"weighing"')) taken += 1;
  if (said.includes('"type":"lifted"')) lifted += 1;
});

/** A page that is opened, looks about and goes; every third one without a word. */
async function visit(n: number): Promise<void> {
  const page = new WebSocket(`${url.replace("http", "ws")}/api/live`);
  page.on("error", () => undefined);
  await once(page, "open");
  await ask("GET", "/api/batches?state=all");
  await wait(200);
  if (n % 3 === 0) page.terminate();
  else page.close();
}

const until = async (isSo: () => boolean): Promise<boolean> => {
  for (let tries = 0; tries < 120 && !isSo(); tries++) await wait(50);
  return isSo();
};
let weighed = 0;
let typed = 0;
/** From the scale; what it does not take in six seconds (it may ask which tray it is) is typed. */
async function weigh(tray: number, kind: "fresh" | "dry", gross: number): Promise<void> {
  const before = { taken, lifted };
  onPan = gross;
  if (await until(() => taken > before.taken)) weighed += 1;
  else {
    await ask("POST", "/api/weighings", { tray, kind, value: gross, divisionGrams: 0.1 });
    typed += 1;
  }
  onPan = 0;
  await until(() => lifted > before.lifted);
  await wait(300);
}

const sizeOf = (folder: string): number =>
  readdirSync(folder, { recursive: true, encoding: "utf8" })
    .map((name) => statSync(join(folder, name)))
    .reduce((sum, { size }) => sum + size, 0);

const trayOf = (of: Batch, place: number): number => of.trays[place]?.id ?? 0;

type Day = {
  readonly rssMb: number;
  readonly files: number;
  readonly diskKb: number;
  readonly p99Ms: number;
  readonly worstMs: number;
  readonly idleP99Ms: number;
};
const seen: Day[] = [];
let batch: Batch | null = null;
let labels = 0;

for (let day = 0; day < days; day++) {
  const begun = performance.now();
  if (batch === null) {
    const trays = ["A", "B"].map((name, n) => ({ name, tareGrams: 400 + n, waterPct: 85 }));
    batch = await ask<Batch>("POST", "/api/batches", { dryer: "Soak", trays });
    await weigh(trayOf(batch, 0), "fresh", 1000);
    await weigh(trayOf(batch, 1), "fresh", 1031);
    await ask("POST", `/api/batches/${batch.id}/clock`, { is: "in" });
  }
  await Promise.all([visit(day), visit(day + 1), visit(day + 2)]);
  await line.pull();
  await wait(400);
  await line.plug();
  await wait(1500);
  await ask("POST", `/api/batches/${batch.id}/clock`, { is: "out" });
  const left = 0.15 + 0.85 * Math.exp(-(day % 5) - 1);
  await weigh(trayOf(batch, 0), "dry", 400 + 600 * left);
  await weigh(trayOf(batch, 1), "dry", 401 + 630 * left);
  if (day % 5 < 4) await ask("POST", `/api/batches/${batch.id}/clock`, { is: "in" });
  else {
    const bags: Bag[] = await ask<Bag[]>("POST", `/api/batches/${batch.id}/bags`, {
      trays: batch.trays.map(({ id }) => ({ tray: id })),
      divide: { count: 4 },
      container: "soft",
      volumeMl: 946,
      although: "a trial",
    });
    for (const { id } of bags) {
      await ask("GET", `/api/bags/${id}/label.pdf?stock=62x29`);
      labels += 1;
    }
    await ask("POST", `/api/batches/${batch.id}/end`, {});
    batch = null;
  }
  await wait(Math.max(0, secondsADay * 1000 - (performance.now() - begun)));
  const [{ p99Ms, worstMs }, floor] = await Promise.all([service.loop(), idle.loop()]);
  seen.push({
    rssMb: service.rssMb,
    files: service.files,
    diskKb: sizeOf(data) / 1024,
    p99Ms,
    worstMs,
    idleP99Ms: floor.p99Ms,
  });
  const shown = seen.at(-1);
  if (shown !== undefined)
    console.log(
      `day ${day + 1}: ${Object.entries(shown)
        .map(([name, value]) => `${name} ${value.toFixed(1)}`)
        .join(", ")}`,
    );
}

clearInterval(scale);
follower.close();
const [ended, pages] = [
  (await ask<unknown[]>("GET", "/api/batches?state=ended")).length,
  /pages_open (\d+)/.exec(Buffer.from(await ask<ArrayBuffer>("GET", "/metrics")).toString())?.[1],
];
const code = await service.end();
await idle.end();
await line.close();
rmSync(data, { recursive: true });

const half = (list: readonly number[]): [number, number] => {
  const middle = (part: readonly number[]): number =>
    part.toSorted((a, b) => a - b)[Math.floor(part.length / 2)] ?? Number.NaN;
  const at = Math.ceil(list.length / 2);
  return [middle(list.slice(0, at)), middle(list.slice(at))];
};
// With the fifth day comes the thread that draws labels, which stays.
const atWork = seen.length > 8 ? seen.slice(6) : seen;
const [rssBefore, rssAfter] = half(atWork.map(({ rssMb }) => rssMb));
const [filesBefore, filesAfter] = half(atWork.map(({ files }) => files));
const growthKb = half(atWork.slice(1).map(({ diskKb }, n) => diskKb - (atWork[n]?.diskKb ?? 0)));
const p99 = half(seen.map(({ p99Ms }) => p99Ms));
const idleP99 = half(seen.map(({ idleP99Ms }) => idleP99Ms));
console.log(
  [
    `${days} days, ${weighed} weighings taken from the scale and ${typed} typed, ${labels} labels, ${ended} batches ended, ${days} pulls of the cable`,
    `memory, median of the first and of the second half: ${rssBefore.toFixed(1)} and ${rssAfter.toFixed(1)} MB`,
    `open files: ${filesBefore} and ${filesAfter}; pages still open at the end: ${pages}`,
    `disk, growth a day, medians of the halves: ${growthKb.map((kb) => kb.toFixed(0)).join(" and ")} kB`,
    `disk: ${seen[0]?.diskKb.toFixed(0)} kB after the first day, ${seen.at(-1)?.diskKb.toFixed(0)} kB after the last, log of SQLite included`,
    `event loop, 99th percentile by day, medians of the halves: ${p99.map((ms) => ms.toFixed(1)).join(" and ")} ms; idle program beside it: ${idleP99.map((ms) => ms.toFixed(1)).join(" and ")} ms`,
    `ended with ${code}`,
  ].join("\n"),
);
const isFlat =
  rssAfter - rssBefore < 10 && filesAfter - filesBefore <= 1 && growthKb[1] < 2 * growthKb[0] + 50;
const isPrompt = Math.max(...p99) <= 20;
if (!isPrompt) console.log("the event loop was later than 20 ms: compare with the idle program");
process.exitCode = isFlat && isPrompt && code === 0 && weighed > days ? 0 : 1;
