// The disk fails under the running service: full, read-only, or a sync that fails. Live weights go on, nothing is
// announced that is not kept, health says why, and all goes on by itself when the disk does. And a disk that is slow,
// as a memory card may be at times: what the scale sends meanwhile is not lost.
//
// A full disk is a small file system of its own in memory, in a mount namespace of the service; errors of single
// system calls are put in by strace. Both are Linux, and need root or user namespaces and the right to trace.
import { spawn, spawnSync, type ChildProcess } from "node:child_process";
import { once } from "node:events";
import { closeSync, copyFileSync, openSync, rmSync, writeSync } from "node:fs";
import { join } from "node:path";
import { afterEach, beforeEach, expect, test } from "vitest";
import { inspectStore } from "../../src/store/inspect.ts";
import type { Batch, Weighing } from "../../src/wire/batch.ts";
import type { Health } from "../../src/wire/health.ts";
import { Pty } from "../rig/pty.ts";
import { divisionGrams, Pan } from "./pan.ts";
import { dataFolder, eventually, Live, Service, type Started } from "./service.ts";

const asRoot = process.getuid?.() === 0;
const namespace = ["unshare", asRoot ? "-m" : "-Urm"];
const canMount = spawnSync("unshare", [...namespace.slice(1), "mount", "-t", "tmpfs", "x", "/mnt"]);
const canTrace = spawnSync("strace", ["-o", "/dev/null", "true"]).status === 0 && asRoot;
if (canMount.status !== 0) console.warn("not tried: a full disk (no right to mount one)");
if (!canTrace) console.warn("not tried: failing system calls (no strace, or no right to trace)");

let data: ReturnType<typeof dataFolder>;
let line: Pty;
let pan: Pan;
let service: Service;
let live: Live;
let batch: Batch;
let tracer: ChildProcess | null = null;
const trays = Array.from({ length: 6 }, (_, n) => ({ name: `Tray ${n + 1}`, tareGrams: 400 + n }));

beforeEach(async () => {
  data = dataFolder();
  line = await Pty.start();
  pan = new Pan(line);
});
afterEach(async () => {
  await heal();
  live.close();
  pan.stop();
  expect(await service.stop()).toBe(0);
  await line.close();
  data.remove();
});

async function start(more: Partial<Started> = {}, loaded = trays): Promise<void> {
  service = await Service.start({ scale: line.path, data: data.path, ...more });
  live = await service.live();
  batch = await service.post<Batch>("/api/batches", { dryer: "Cellar", trays: loaded });
  await live.until("an empty pan", () => live.of("reading").at(-1)?.settled === true);
}

const trayId = (place: number): number => batch.trays[place]?.id ?? 0;
const type = (place: number, value: number) =>
  service.ask("POST", "/api/weighings", { tray: trayId(place), kind: "fresh", value });
const health = () => service.ask("GET", "/api/health");
const recording = (wanted: boolean) =>
  eventually(
    wanted ? "to record again" : "to say that it does not record",
    health,
    ({ status }) => status === (wanted ? 200 : 503),
  );

/** What strace is to put in for calls on the files of the store, until `heal`. */
async function hurt(calls: string, how: string): Promise<void> {
  const files = ["stillweight.db", "stillweight.db-wal"].flatMap((name) => [
    "-P",
    join(data.path, name),
  ]);
  const asked = ["-f", "-p", String(service.pid), "-o", "/dev/null", ...files];
  tracer = spawn("strace", [...asked, "-e", `trace=${calls}`, "-e", `inject=${calls}:${how}`]);
  const said: string[] = [];
  tracer.stderr?.on("data", (bytes: Buffer) => said.push(bytes.toString()));
  await eventually(
    "strace to be attached",
    async () => said.join(""),
    (text) => text.includes("attached"),
  );
}
async function heal(): Promise<void> {
  if (tracer === null) return;
  const gone = once(tracer, "exit");
  if (tracer.exitCode === null) {
    tracer.kill("SIGTERM");
    await gone;
  }
  tracer = null;
}

/** While nothing can be kept: a load is shown live and never announced; when it can be again, it is taken by itself. */
async function throughTrouble(place: number, gross: number, mend: () => unknown): Promise<void> {
  const announced = live.of("weighing").length;
  const read = live.of("reading").length;
  const shown = live.of("settled").length;
  pan.place(gross);
  await live.until("the load to be shown", () => live.of("settled").length > shown);
  expect(live.of("settled").at(-1)?.grams).toBeCloseTo(gross, 0);
  expect((await health()).status).toBe(503);
  expect((await type(place, gross)).status).toBeGreaterThanOrEqual(500);
  await new Promise((resolve) => setTimeout(resolve, 1000));
  expect(live.of("weighing")).toHaveLength(announced);
  expect(live.of("reading").length).toBeGreaterThan(read + 10);
  const last = live.of("bench").at(-1)?.bench;
  expect(last).toMatchObject({ recording: false });
  expect(last?.notRecordingWhy).toMatch(/stillweight\.db/);
  await mend();
  await recording(true);
  await live.until("the load to be taken", () => live.of("weighing").length === announced + 1);
  expect(live.of("weighing").at(-1)?.weighing.grossGrams).toBeCloseTo(gross, 0);
  pan.lift();
}

/** Everything announced is kept, once; nothing else is. */
async function expectKept(typed: readonly number[], folder: string): Promise<void> {
  const kept = (await service.batch(batch.id)).trays.flatMap((tray) => tray.weighings);
  const announced = live.of("weighing").map(({ weighing }) => weighing);
  const ids = (all: readonly Weighing[]): number[] =>
    all.map(({ id }) => id).toSorted((a, b) => a - b);
  expect(ids(kept)).toEqual(ids(announced));
  expect(
    kept.filter(({ source }) => source === "typed").map(({ grossGrams }) => grossGrams),
  ).toEqual(typed);
  // With its log, as a copy: SQLite does not open a file in another namespace.
  const copy = dataFolder();
  for (const name of ["stillweight.db", "stillweight.db-wal"])
    copyFileSync(join(folder, name), join(copy.path, name));
  expect(inspectStore(join(copy.path, "stillweight.db")).problems).toEqual([]);
  copy.remove();
}

test.runIf(canMount.status === 0)(
  "a full disk: refused with 507, live weights go on, and the waiting load is taken when there is room",
  async () => {
    const mounted = `mount -t tmpfs -o size=4m tmpfs ${data.path} && exec "$@"`;
    await start({ within: [...namespace, "sh", "-c", mounted, "sh"] });
    // The service's own view of its folder.
    const seen = join("/proc", String(service.pid), "root", data.path);
    const typed: number[] = [];
    expect((await type(0, 900)).status).toBe(200);
    typed.push(900);

    const filler = openSync(join(seen, "filler"), "w");
    for (const piece of [65_536, 4096, 1]) {
      try {
        for (;;) writeSync(filler, Buffer.alloc(piece));
      } catch (thrown) {
        expect(thrown).toMatchObject({ code: "ENOSPC" });
      }
    }
    closeSync(filler);
    // What is kept fits into room that the store has already; then comes the end.
    let refused: Awaited<ReturnType<typeof type>> | null = null;
    for (let value = 901; refused === null && value < 1200; value++) {
      const answer = await type(1, value);
      if (answer.status === 200) typed.push(value);
      else refused = answer;
    }
    expect(refused).toMatchObject({ status: 507, body: { type: "/problems/store.full" } });
    const { body } = await recording(false);
    expect((body as Health).store.why).toMatch(/full/);
    await throughTrouble(2, 1012.3, () => rmSync(join(seen, "filler")));
    expect((await type(3, 950)).status).toBe(200);
    await expectKept([...typed, 950], seen);
  },
);

test.runIf(canTrace).each([
  ["a disk that became read-only", "pwrite64,write", "EROFS"],
  ["a sync that fails", "fdatasync,fsync", "EIO"],
])(
  "%s: refused, live weights go on, and the waiting load is taken when the disk is well",
  async (_name, calls, error) => {
    await start();
    expect((await type(0, 900)).status).toBe(200);
    await hurt(calls, `error=${error}`);
    const answer = await type(1, 901);
    expect(answer).toMatchObject({ status: 503, body: { type: "/problems/store.unwritable" } });
    const { body } = await recording(false);
    expect((body as Health).store.why).toMatch(/IOERR|READONLY/);
    await throughTrouble(2, 1012.3, heal);
    expect((await type(3, 950)).status).toBe(200);
    await expectKept([900, 950], data.path);
    // What was refused is not there after a restart either.
    await service.kill();
    live.close();
    service = await Service.start({ scale: line.path, data: data.path });
    const held = live.of("weighing").length;
    live = await service.live();
    const { trays: after } = await service.batch(batch.id);
    expect(after.flatMap((tray) => tray.weighings)).toHaveLength(held);
  },
);

test.runIf(canTrace)(
  "a sync that takes two seconds: alike trays, weighed faster than they are kept, are each taken once",
  async () => {
    // So few that the tray which is asked for is taken without a question.
    const four = trays.slice(0, 4);
    await start({}, four);
    await hurt("fdatasync,fsync", "delay_enter=2000000");
    const hasty = (ms: number) => new Promise((resolve) => setTimeout(resolve, ms));
    const links = live.of("link").length;
    // Within the two divisions in which the scale would have one load that is shown anew. The hand is invented.
    const masses = four.map((_, place) => 1012.3 + (place % 2) / 10);
    for (const gross of masses) {
      pan.place(gross);
      await hasty(2200);
      pan.lift();
      await hasty(1200);
    }
    await live.until("every tray", () => live.of("weighing").length >= masses.length);
    await heal();
    const taken = live.of("weighing").map(({ weighing }) => weighing);
    expect(taken.map(({ tray, kind }) => [tray, kind])).toEqual(
      batch.trays.map(({ id }) => [id, "fresh"]),
    );
    for (const [place, { grossGrams }] of taken.entries())
      expect(Math.abs(grossGrams - (masses[place] ?? 0))).toBeLessThanOrEqual(divisionGrams / 2);
    expect(live.of("settled")).toHaveLength(masses.length);
    expect(live.of("link").slice(links)).toEqual([]);
    await live.until("the last tray to be lifted", () => live.of("lifted").length >= masses.length);
    await expectKept([], data.path);
  },
);
