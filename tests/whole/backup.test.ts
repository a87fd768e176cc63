// Copies made by the clock of the running service, and what it says when none can be made.
import { spawn, spawnSync } from "node:child_process";
import { once } from "node:events";
import { constants, mkdirSync, readdirSync, readFileSync, rmSync } from "node:fs";
import { open } from "node:fs/promises";
import { join } from "node:path";
import { afterAll, expect, test } from "vitest";
import { inspectStore } from "../../src/store/inspect.ts";
import type { Batch } from "../../src/wire/batch.ts";
import type { Health } from "../../src/wire/health.ts";
import { dataFolder, eventually, Service } from "./service.ts";

const canTrace =
  process.getuid?.() === 0 && spawnSync("strace", ["-o", "/dev/null", "true"]).status === 0;
if (!canTrace) console.warn("not tried: a slow disk (no strace, or no right to trace)");

const data = dataFolder();
const scale = "tcp://127.0.0.1:9";
let service: Service;
afterAll(async () => {
  await service.stop();
  data.remove();
});

test("a copy comes by itself with the first weighing, whole, and weighing goes on beside it", async () => {
  service = await Service.start({ data: data.path, scale });
  expect((await service.bench()).backup).toMatchObject({ at: null, failed: null });
  const batch = await service.post<Batch>("/api/batches", {
    dryer: "Cellar",
    trays: [{ name: "A", tareGrams: 400 }],
  });
  const tray = batch.trays[0]?.id;
  await service.post("/api/weighings", { tray, kind: "fresh", value: 900 });
  await eventually(
    "a copy",
    () => service.bench(),
    ({ backup }) => backup?.at !== null,
  );
  const folder = join(data.path, "backups");
  const [name = "", ...others] = readdirSync(folder);
  expect(others).toEqual([]);
  expect(inspectStore(join(folder, name))).toMatchObject({
    problems: [],
    holds: { weighings: { rows: 1 } },
  });
  await service.stop();
});

test("a folder that is not there is said on the page and in health, and weighings are kept", async () => {
  const more = ["--backup-to", join(data.path, "unmounted")];
  service = await Service.start({ data: data.path, scale, more });
  const { backup } = await eventually(
    "the failure",
    () => service.bench(),
    (bench) => bench.backup?.failed !== null,
  );
  expect(backup?.failed).toContain("is its disk attached?");
  const { status, body } = await service.ask("GET", "/api/health");
  expect(status).toBe(200);
  expect((body as Health).store.backup?.failed).toBe(backup?.failed);
});

test.runIf(canTrace)(
  "a disk that answers slowly holds up its own thread, never the service",
  async () => {
    await service.stop();
    const folder = join(data.path, "slow");
    mkdirSync(folder);
    service = await Service.start({ data: data.path, scale, more: ["--backup-to", folder] });
    const seen = join(data.path, "calls.txt");
    const slow = ["-P", folder, "-e", "trace=%file,%desc", "-e", "inject=%file:delay_enter=600000"];
    const tracer = spawn("strace", ["-f", "-p", String(service.pid), "-o", seen, ...slow]);
    const said: string[] = [];
    tracer.stderr.on("data", (bytes: Buffer) => said.push(bytes.toString()));
    let worstMs = 0;
    try {
      await eventually(
        "strace to be attached",
        async () => said.join(""),
        (text) => text.includes("attached"),
      );
      await eventually(
        "a copy",
        async () => {
          const before = performance.now();
          const bench = await service.bench();
          worstMs = Math.max(worstMs, performance.now() - before);
          return bench;
        },
        ({ backup }) => backup?.at !== null,
        60_000,
      );
    } finally {
      const gone = once(tracer, "exit");
      tracer.kill("SIGTERM");
      await gone;
    }
    expect(readdirSync(folder)).toHaveLength(1);
    const threads = readFileSync(seen, "utf8")
      .split("\n")
      .filter((call) => call.includes(folder))
      .map((call) => Number(call.split(" ", 1)[0]));
    expect(threads.length).toBeGreaterThan(1);
    expect(threads).not.toContain(service.pid);
    console.log(
      `${threads.length} calls, slowest answer beside a disk that takes 0.6 s: ${Math.round(worstMs)} ms`,
    );
    expect(worstMs).toBeLessThan(500);
  },
  60_000,
);

test.runIf(process.platform === "linux")(
  "a disk that never answers keeps the program from ending for some seconds, and nothing is lost",
  async () => {
    await service.stop();
    const hung = dataFolder();
    service = await Service.start({ data: hung.path, scale });
    await service.post("/api/batches", { dryer: "Cellar", trays: [{ name: "A", tareGrams: 400 }] });
    await service.post("/api/weighings", { tray: 1, kind: "fresh", value: 900 });
    // Whoever opens a pipe to read waits for somebody to write, in the kernel, as for a disk that hangs.
    spawnSync("mkfifo", [join(hung.path, "copies.json")]);
    const pipe = await eventually(
      "the thread to wait for the disk",
      () =>
        open(join(hung.path, "copies.json"), constants.O_WRONLY | constants.O_NONBLOCK).catch(
          () => null,
        ),
      (handle) => handle !== null,
    );
    const asked = performance.now();
    await service.stop();
    const tookMs = performance.now() - asked;
    expect(service.said()).toContain("a disk does not answer");
    expect(tookMs).toBeLessThan(10_000);
    await pipe?.close();
    rmSync(join(hung.path, "copies.json"));
    service = await Service.start({ data: hung.path, scale });
    expect((await service.batch(1)).trays[0]?.weighings).toHaveLength(1);
    await service.stop();
    expect(inspectStore(join(hung.path, "stillweight.db")).problems).toEqual([]);
    hung.remove();
  },
);
