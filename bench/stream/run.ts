/**
 * What our logic costs between the scale's bytes and the websocket, beside a bare floor (serialport, its line
 * reader and ws) on the same machine in the same run, over pseudo-terminals, which have no line speed.
 *   npm run bench:stream -- [--lines N] [--flood N] [--memory N]
 */
import { spawn, type ChildProcess } from "node:child_process";
import { once } from "node:events";
import { mkdtempSync, readFileSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { setTimeout as wait } from "node:timers/promises";
import { parseArgs } from "node:util";
import WebSocket from "ws";
import { Pty } from "../../tests/rig/pty.ts";

const { values } = parseArgs({
  options: {
    lines: { type: "string", default: "400" },
    flood: { type: "string", default: "200000" },
    memory: { type: "string", default: "1000000" },
  },
});
const [lines, flood, memory] = [values.lines, values.flood, values.memory].map(Number);
if (![lines, flood, memory].every((one) => Number.isInteger(one) && one! >= 20)) {
  console.error("--lines, --flood and --memory are whole numbers of lines, at least 20");
  process.exit(2);
}

const root = process.cwd();
const rigFolder = join(root, "tests", "rig");

/** The options of node with which `npm start` runs the service. */
function startOptions(): readonly string[] {
  const { scripts } = JSON.parse(readFileSync(join(root, "package.json"), "utf8")) as {
    scripts: { start: string };
  };
  return scripts.start.split(" ").filter((word) => word.startsWith("--"));
}

type Side = "floor" | "service";
class Runner {
  readonly side: Side;
  readonly #child: ChildProcess;
  readonly #url: string;
  readonly #folder: string;
  private constructor(side: Side, child: ChildProcess, url: string, folder: string) {
    this.side = side;
    this.#child = child;
    this.#url = url;
    this.#folder = folder;
  }

  static async start(side: Side, paths: readonly string[]): Promise<Runner> {
    const folder = mkdtempSync(join(tmpdir(), "stillweight-bench-"));
    const args =
      side === "floor"
        ? [join(import.meta.dirname, "floor.js"), ...paths]
        : [...startOptions(), join(root, "dist", "main.js"), "run", "--data", folder]
            .concat(["--port", "0"])
            .concat(paths.flatMap((path) => ["--scale", `serial://${path}?form=marked`]));
    const child = spawn(process.execPath, args, {
      stdio: ["ignore", "pipe", "inherit"],
      env: { ...process.env, LOG_LEVEL: "silent" },
    });
    let said = "";
    for await (const bytes of child.stdout!) {
      said += String(bytes);
      const url = /listening on (http:\S+)/.exec(said)?.[1];
      if (url !== undefined) return new Runner(side, child, url, folder);
    }
    throw new Error(`${side} did not start: ${said}`);
  }

  /** `atMs`: when the message was there, before this bench read it. */
  async follow(heard: (grams: number, atMs: number) => void): Promise<WebSocket> {
    const path = this.side === "floor" ? "/" : "/api/live";
    const socket = new WebSocket(this.#url.replace("http", "ws") + path);
    socket.on("message", (data: Buffer) => {
      const atMs = performance.now();
      const text = data.toString();
      if (this.side === "floor") return heard(Number(/([\d.]+) g/.exec(text)?.[1]), atMs);
      const message = JSON.parse(text) as { type: string; grams?: number };
      if (message.type === "reading" && typeof message.grams === "number")
        heard(message.grams, atMs);
    });
    await once(socket, "open");
    return socket;
  }

  /** Lines that went all the way to the hub. */
  async count(): Promise<number> {
    const path = this.side === "floor" ? "/" : "/metrics";
    const text = await (await fetch(this.#url + path)).text();
    if (this.side === "floor") return Number(text);
    const counts = [...text.matchAll(/^stillweight_readings_total\{[^}]*\} (\d+)$/gm)];
    return counts.reduce((sum, [, count]) => sum + Number(count), 0);
  }

  /** Processor seconds so far: user and system, of all threads. Fields 14 and 15 of proc(5) stat, in ticks of 10 ms. */
  cpuS(): number {
    const stat = readFileSync(`/proc/${this.#child.pid}/stat`, "utf8");
    const fields = stat.slice(stat.lastIndexOf(")") + 2).split(" ");
    return (Number(fields[11]) + Number(fields[12])) / 100;
  }

  rssMb(): number {
    const status = readFileSync(`/proc/${this.#child.pid}/status`, "utf8");
    return Number(/VmRSS:\s+(\d+) kB/.exec(status)?.[1]) / 1024;
  }

  async stop(): Promise<void> {
    const ended = once(this.#child, "exit");
    this.#child.kill("SIGTERM");
    await ended;
    rmSync(this.#folder, { recursive: true, force: true });
  }
}

const sides = ["floor", "service"] as const;
const lineOf = (grams: number): string => `ST,GS,+${grams.toFixed(1).padStart(9)} g\r\n`;
const at = (sorted: readonly number[], share: number): number =>
  sorted[Math.min(sorted.length - 1, Math.floor(share * sorted.length))]!;
const met: boolean[] = [];
const bound = (name: string, value: number, most: number, unit: string): void => {
  met.push(value <= most);
  console.log(
    `${value <= most ? "met    " : "NOT MET"} ${name}: ${value.toFixed(2)}${unit}, at most ${most}${unit}`,
  );
};

async function latency(): Promise<void> {
  const ptys = [await Pty.start(rigFolder), await Pty.start(rigFolder)];
  const runners = await Promise.all(sides.map((side, n) => Runner.start(side, [ptys[n]!.path])));
  const tookMs: number[][] = [[], []];
  const sentMs = new Map<string, number>();
  const sockets = await Promise.all(
    runners.map((runner, n) =>
      runner.follow((grams, atMs) => {
        const sent = sentMs.get(`${n} ${grams.toFixed(1)}`);
        if (sent !== undefined) tookMs[n]!.push(atMs - sent);
      }),
    ),
  );
  await wait(1000);
  for (let count = 0; count < lines! + 20; count++) {
    for (const n of [0, 1]) {
      const grams = 100 + count * 0.1;
      // The first ones warm both up.
      if (count >= 20) sentMs.set(`${n} ${grams.toFixed(1)}`, performance.now());
      ptys[n]!.send(lineOf(grams));
      await wait(50);
    }
  }
  await wait(300);
  const sorted = tookMs.map((one) => one.toSorted((a, b) => a - b));
  console.log(`latency byte → websocket at 10 lines/s, ms; ${lines} lines each, turn about`);
  sides.forEach((side, n) => {
    const row = sorted[n]!;
    console.log(
      `  ${side.padEnd(8)} heard ${row.length}   p50 ${at(row, 0.5).toFixed(3)}   p99 ${at(row, 0.99).toFixed(3)}   max ${row.at(-1)!.toFixed(3)}`,
    );
  });
  bound("added latency p50", at(sorted[1]!, 0.5) - at(sorted[0]!, 0.5), 0.3, " ms");
  bound("added latency p99", at(sorted[1]!, 0.99) - at(sorted[0]!, 0.99), 2, " ms");
  for (const socket of sockets) socket.close();
  await Promise.all(runners.map((runner) => runner.stop()));
  await Promise.all(ptys.map((pty) => pty.close()));
}

async function floodOf(side: Side, count: number): Promise<{ perS: number; rssMb: number[] }> {
  const pty = await Pty.start(rigFolder);
  const runner = await Runner.start(side, [pty.path]);
  const socket = await runner.follow(() => undefined);
  await wait(800);
  pty.send(lineOf(100));
  await wait(200);
  const before = await runner.count();
  const rssMb: number[] = [runner.rssMb()];
  const block = Array.from({ length: 10_000 }, (_, n) => lineOf(100 + (n % 7) * 0.1)).join("");
  const started = performance.now();
  let sent = 0;
  for (let seen = 0; seen < count;) {
    while (sent < count && sent - seen < 40_000) {
      pty.send(block);
      sent += 10_000;
    }
    await wait(20);
    seen = (await runner.count()) - before;
    rssMb.push(runner.rssMb());
    if (performance.now() - started > 300_000)
      throw new Error(`${side}: only ${seen} of ${count} lines`);
  }
  const perS = sent / ((performance.now() - started) / 1000);
  socket.close();
  await runner.stop();
  await pty.close();
  return { perS, rssMb };
}

async function throughput(): Promise<void> {
  const rates: Record<Side, number[]> = { floor: [], service: [] };
  for (let round = 0; round < 3; round++)
    for (const side of sides) rates[side].push((await floodOf(side, flood!)).perS);
  console.log(`\nflood of ${flood} lines, lines/s to the hub, three rounds`);
  for (const side of sides)
    console.log(`  ${side.padEnd(8)} ${rates[side].map((one) => one.toFixed(0)).join("  ")}`);
  const [floor, service] = sides.map((side) =>
    at(
      rates[side].toSorted((a, b) => a - b),
      0.5,
    ),
  );
  const ratio = service! / floor!;
  met.push(ratio >= 0.6);
  console.log(
    `${ratio >= 0.6 ? "met    " : "NOT MET"} sustained lines: ${(ratio * 100).toFixed(0)} % of the floor's, at least 60 %`,
  );
}

const loads = [
  { what: "at rest between two steps", divisions: [0, 1, 0, 0, 1, 0, 0] },
  { what: "swinging by two steps", divisions: [0, 1, 2, 1] },
] as const;

async function eightScales({ what, divisions }: (typeof loads)[number]): Promise<void> {
  const seconds = 10;
  const used: Record<Side, number[]> = { floor: [], service: [] };
  for (let round = 0; round < 2; round++) {
    for (const side of sides) {
      const ptys = await Promise.all(Array.from({ length: 8 }, () => Pty.start(rigFolder)));
      const runner = await Runner.start(
        side,
        ptys.map(({ path }) => path),
      );
      const socket = await runner.follow(() => undefined);
      for (const pty of ptys)
        pty.every(
          20,
          divisions.map((n) => lineOf(100 + n * 0.1)),
        );
      await wait(3000);
      const [cpu, count] = [runner.cpuS(), await runner.count()];
      await wait(seconds * 1000);
      used[side].push((runner.cpuS() - cpu) / seconds);
      const perS = ((await runner.count()) - count) / seconds;
      if (perS < 380) throw new Error(`${side}: only ${perS} of 400 lines/s came through`);
      socket.close();
      await runner.stop();
      await Promise.all(ptys.map((pty) => pty.close()));
    }
  }
  console.log(
    `\neight scales ${what}, 50 lines/s each, processor seconds a second, two rounds of 10 s`,
  );
  for (const side of sides)
    console.log(`  ${side.padEnd(8)} ${used[side].map((one) => one.toFixed(3)).join("  ")}`);
  const sum = (side: Side): number => used[side].reduce((all, one) => all + one, 0);
  bound("processor time, times the floor's", sum("service") / sum("floor"), 1.5, "");
}

async function memoryOverMany(): Promise<void> {
  const { rssMb } = await floodOf("service", memory!);
  const part = (share: number): number => rssMb[Math.floor(share * (rssMb.length - 1))]!;
  console.log(
    `\nmemory of the service over ${memory} lines, MB: start ${part(0).toFixed(0)}, half-way ${part(0.5).toFixed(0)}, end ${part(1).toFixed(0)}`,
  );
  bound("most memory", Math.max(...rssMb), 120, " MB");
}

await latency();
await throughput();
for (const load of loads) await eightScales(load);
await memoryOverMany();
process.exitCode = met.every(Boolean) ? 0 : 1;
