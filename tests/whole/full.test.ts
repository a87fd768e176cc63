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
import { expect, test as inTurn } from "vitest";
import { inspectStore } from "../../src/store/inspect.ts";
import type { Batch, Weighing } from "../../src/wire/batch.ts";
import type { Health } from "../../src/wire/health.ts";
import { Pty } from "../rig/pty.ts";
import { divisionGrams, Pan } from "./pan.ts";
import {
  dataFolder,
  eventually,
  Service,
  type Answer,
  type Live,
  type Started,
} from "./service.ts";

const asRoot = process.getuid?.() === 0;
const namespace = ["unshare", asRoot ? "-m" : "-Urm"];
const canMount = spawnSync("unshare", [...namespace.slice(1), "mount", "-t", "tmpfs", "x", "/mnt"]);
const canTrace = spawnSync("strace", ["-o", "/dev/null", "true"]).status === 0 && asRoot;
if (canMount.status !== 0) console.warn("not tried: a full disk (no right to mount one)");
if (!canTrace) console.warn("not tried: failing system calls (no strace, or no right to trace)");

const trays = Array.from({ length: 6 }, (_, n) => ({ name: `Tray ${n + 1}`, tareGrams: 400 + n }));

/** A service of its own for each test, on a folder and a line of its own. */
class AtDisk {
  readonly data = dataFolder();
  readonly line: Pty;
  readonly pan: Pan;
  service!: Service;
  live!: Live;
  batch!: Batch;
  #tracer: ChildProcess | null = null;

  private constructor(line: Pty) {
    this.line = line;
    this.pan = new Pan(line);
  }

  static async open(): Promise<AtDisk> {
    return new AtDisk(await Pty.start());
  }

  async close(): Promise<void> {
    await this.heal();
    this.live.close();
    this.pan.stop();
    expect(await this.service.stop()).toBe(0);
    await this.line.close();
    this.data.remove();
  }

  async start(more: Partial<Started> = {}, loaded = trays): Promise<void> {
    this.service = await Service.start({ scale: this.line.path, data: this.data.path, ...more });
    this.live = await this.service.live();
    const asked = { dryer: "Cellar", trays: loaded };
    this.batch = await this.service.post<Batch>("/api/batches", asked);
    await this.live.until("an empty pan", () => this.live.of("reading").at(-1)?.settled === true);
  }

  type(place: number, value: number): Promise<Answer> {
    const tray = this.batch.trays[place]?.id ?? 0;
    return this.service.ask("POST", "/api/weighings", { tray, kind: "fresh", value });
  }

  health(): Promise<Answer> {
    return this.service.ask("GET", "/api/health");
  }

  recording(wanted: boolean): Promise<Answer> {
    return eventually(
      wanted ? "to record again" : "to say that it does not record",
      () => this.health(),
      ({ status }) => status === (wanted ? 200 : 503),
    );
  }

  /** What strace is to put in for calls on the files of the store, until `heal`. */
  async hurt(calls: string, how: string): Promise<void> {
    const files = ["stillweight.db", "stillweight.db-wal"].flatMap((name) => [
      "-P",
      join(this.data.path, name),
    ]);
    const asked = ["-f", "-p", String(this.service.pid), "-o", "/dev/null", ...files];
    const tracer = spawn("strace", [
      ...asked,
      "-e",
      `trace=${calls}`,
      "-e",
      `inject=${calls}:${how}`,
    ]);
    this.#tracer = tracer;
    const said: string[] = [];
    tracer.stderr?.on("data", (bytes: Buffer) => said.push(bytes.toString()));
    await eventually(
      "strace to be attached",
      async () => said.join(""),
      (text) => text.includes("attached"),
    );
  }

  async heal(): Promise<void> {
    const tracer = this.#tracer;
    if (tracer === null) return;
    const gone = once(tracer, "exit");
    if (tracer.exitCode === null) {
      tracer.kill("SIGTERM");
      await gone;
    }
    this.#tracer = null;
  }
}

const test = inTurn.extend<{ at: AtDisk }>({
  // The runner reads from the first parameter what else is to be made before.
  // oxlint-disable-next-line no-empty-pattern
  at: async ({}, use) => {
    const at = await AtDisk.open();
    await use(at);
    await at.close();
  },
});

/** While nothing can be kept: a load is shown live and never announced; when it can be again, it is taken by itself. */
async function throughTrouble(
  at: AtDisk,
  place: number,
  gross: number,
  mend: () => unknown,
): Promise<void> {
  const announced = at.live.of("weighing").length;
  const read = at.live.of("reading").length;
  const shown = at.live.of("settled").length;
  at.pan.place(gross);
  await at.live.until("the load to be shown", () => at.live.of("settled").length > shown);
  expect(at.live.of("settled").at(-1)?.grams).toBeCloseTo(gross, 0);
  expect((await at.health()).status).toBe(503);
  expect((await at.type(place, gross)).status).toBeGreaterThanOrEqual(500);
  await new Promise((resolve) => setTimeout(resolve, 1000));
  expect(at.live.of("weighing")).toHaveLength(announced);
  expect(at.live.of("reading").length).toBeGreaterThan(read + 10);
  const last = at.live.of("bench").at(-1)?.bench;
  expect(last).toMatchObject({ recording: false });
  expect(last?.notRecordingWhy).toMatch(/stillweight\.db/);
  await mend();
  await at.recording(true);
  await at.live.until(
    "the load to be taken",
    () => at.live.of("weighing").length === announced + 1,
  );
  expect(at.live.of("weighing").at(-1)?.weighing.grossGrams).toBeCloseTo(gross, 0);
  at.pan.lift();
}

/** Everything announced is kept, once; nothing else is. */
async function expectKept(at: AtDisk, typed: readonly number[], folder: string): Promise<void> {
  const kept = (await at.service.batch(at.batch.id)).trays.flatMap((tray) => tray.weighings);
  const announced = at.live.of("weighing").map(({ weighing }) => weighing);
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
  { concurrent: true },
  async ({ at }) => {
    const mounted = `mount -t tmpfs -o size=4m tmpfs ${at.data.path} && exec "$@"`;
    await at.start({ within: [...namespace, "sh", "-c", mounted, "sh"] });
    // The service's own view of its folder.
    const seen = join("/proc", String(at.service.pid), "root", at.data.path);
    const typed: number[] = [];
    expect((await at.type(0, 900)).status).toBe(200);
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
    let refused: Answer | null = null;
    for (let value = 901; refused === null && value < 1200; value++) {
      const answer = await at.type(1, value);
      if (answer.status === 200) typed.push(value);
      else refused = answer;
    }
    expect(refused).toMatchObject({ status: 507, body: { type: "/problems/store.full" } });
    const { body } = await at.recording(false);
    expect((body as Health).store.why).toMatch(/full/);
    await throughTrouble(at, 2, 1012.3, () => rmSync(join(seen, "filler")));
    expect((await at.type(3, 950)).status).toBe(200);
    await expectKept(at, [...typed, 950], seen);
  },
);

test.runIf(canTrace).for([
  ["a disk that became read-only", "pwrite64,write", "EROFS"],
  ["a sync that fails", "fdatasync,fsync", "EIO"],
] as const)(
  "%s: refused, live weights go on, and the waiting load is taken when the disk is well",
  { concurrent: true },
  async ([, calls, error], { at }) => {
    await at.start();
    expect((await at.type(0, 900)).status).toBe(200);
    await at.hurt(calls, `error=${error}`);
    const answer = await at.type(1, 901);
    expect(answer).toMatchObject({ status: 503, body: { type: "/problems/store.unwritable" } });
    const { body } = await at.recording(false);
    expect((body as Health).store.why).toMatch(/IOERR|READONLY/);
    await throughTrouble(at, 2, 1012.3, () => at.heal());
    expect((await at.type(3, 950)).status).toBe(200);
    await expectKept(at, [900, 950], at.data.path);
    // What was refused is not there after a restart either.
    await at.service.kill();
    at.live.close();
    at.service = await Service.start({ scale: at.line.path, data: at.data.path });
    const held = at.live.of("weighing").length;
    at.live = await at.service.live();
    const { trays: after } = await at.service.batch(at.batch.id);
    expect(after.flatMap((tray) => tray.weighings)).toHaveLength(held);
  },
);

test.runIf(canTrace)(
  "a sync that takes two seconds: alike trays, weighed faster than they are kept, are each taken once",
  async ({ at }) => {
    // So few that the tray which is asked for is taken without a question.
    const four = trays.slice(0, 4);
    await at.start({}, four);
    await at.hurt("fdatasync,fsync", "delay_enter=2000000");
    const hasty = (ms: number) => new Promise((resolve) => setTimeout(resolve, ms));
    const links = at.live.of("link").length;
    // Within the two divisions in which the scale would have one load that is shown anew. The hand is invented.
    const masses = four.map((_, place) => 1012.3 + (place % 2) / 10);
    for (const gross of masses) {
      at.pan.place(gross);
      await hasty(2200);
      at.pan.lift();
      await hasty(1200);
    }
    await at.live.until("every tray", () => at.live.of("weighing").length >= masses.length);
    await at.heal();
    const taken = at.live.of("weighing").map(({ weighing }) => weighing);
    expect(taken.map(({ tray, kind }) => [tray, kind])).toEqual(
      at.batch.trays.map(({ id }) => [id, "fresh"]),
    );
    for (const [place, { grossGrams }] of taken.entries())
      expect(Math.abs(grossGrams - (masses[place] ?? 0))).toBeLessThanOrEqual(divisionGrams / 2);
    expect(at.live.of("settled")).toHaveLength(masses.length);
    expect(at.live.of("link").slice(links)).toEqual([]);
    await at.live.until(
      "the last tray to be lifted",
      () => at.live.of("lifted").length >= masses.length,
    );
    await expectKept(at, [], at.data.path);
  },
);
