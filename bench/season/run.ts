/**
 * The waits of a person whose store holds a busy season: 300 batches, 3,000 bags and 30,000 weighings. The built
 * service runs on it as a child process and is asked what its pages ask. More than 0.1 s is a wait that is noticed
 * (Nielsen, Response times: the three important limits, 1993, from memory).
 *   npm run bench:season -- [--batches N] [--times N]
 */
import { spawn } from "node:child_process";
import { cpSync, mkdtempSync, rmSync, statSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { parseArgs } from "node:util";
import { databaseIn } from "../../src/store/database.ts";
import { openStore } from "../../src/store/store.ts";
import { utcMs } from "../../src/units/quantity.ts";
import { fillSeason, type Season } from "./fill.ts";

const { values } = parseArgs({
  options: {
    batches: { type: "string", default: "300" },
    times: { type: "string", default: "15" },
  },
});
const [batches, times] = [values.batches, values.times].map(Number) as [number, number];
if (![batches, times].every((one) => Number.isInteger(one) && one >= 2)) {
  console.error("--batches and --times are whole numbers, at least 2");
  process.exit(2);
}
const noticedMs = 100;
const season: Season = {
  batches,
  traysEach: 4,
  dryWeighingsEach: 14,
  bagsEach: 10,
  weighingsPerBag: 4,
};

const root = process.cwd();
cpSync(join("src", "store", "steps"), join(import.meta.dirname, "../../src/store/steps"), {
  recursive: true,
});
const scratch = mkdtempSync(join(tmpdir(), "stillweight-season-"));
const folder = join(scratch, "data");
const begin = utcMs(Date.now() - batches * 30 * 3_600_000 - 40 * 24 * 3_600_000);

function filled(): void {
  const store = openStore(folder, { practice: false, timeFactor: 1, at: begin });
  fillSeason(store, season, begin);
  store.close();
}

type Timed = { readonly what: string; readonly ms: readonly number[]; readonly bytes: number };

async function started(): Promise<{ url: string; ms: number; stop: () => void }> {
  const from = performance.now();
  const child = spawn(
    process.execPath,
    [join(root, "dist", "main.js"), "run", "--data", folder, "--port", "0", "--scale", "/dev/none"],
    { stdio: ["ignore", "pipe", "ignore"] },
  );
  const url = await new Promise<string>((resolve, reject) => {
    let said = "";
    child.stdout.on("data", (bytes: Buffer) => {
      said += String(bytes);
      const found = /listening on (\S+)/.exec(said)?.[1];
      if (found !== undefined) resolve(found.replace(/\/$/, ""));
    });
    child.once("exit", (code) => reject(new Error(`the service ended with ${code}`)));
  });
  child.removeAllListeners("exit");
  return { url, ms: performance.now() - from, stop: () => child.kill("SIGTERM") };
}

async function asked(url: string, what: string, path: string): Promise<Timed> {
  const ms: number[] = [];
  let bytes = 0;
  for (let i = 0; i < times; i++) {
    const from = performance.now();
    const answer = await fetch(url + path);
    const body = await answer.arrayBuffer();
    ms.push(performance.now() - from);
    bytes = body.byteLength;
    if (!answer.ok) throw new Error(`${path} answered ${answer.status}`);
  }
  return { what, ms, bytes };
}

const at = (sorted: readonly number[], share: number): number =>
  sorted[Math.min(sorted.length - 1, Math.floor(share * sorted.length))] ?? Number.NaN;

function line({ what, ms, bytes }: Timed): string {
  const sorted = ms.toSorted((a, b) => a - b);
  const [first = 0] = ms;
  const figures = [at(sorted, 0.5), at(sorted, 0.95), first].map((one) => one.toFixed(1));
  const mark = at(sorted, 0.5) > noticedMs ? "  noticed" : "";
  return `${what.padEnd(34)}${figures.map((one) => one.padStart(9)).join("")}${(bytes / 1024).toFixed(0).padStart(9)}${mark}`;
}

try {
  filled();
  const rows = batches * (season.traysEach * (season.dryWeighingsEach + 1) + season.bagsEach * 4);
  console.log(
    `${batches} batches, ${batches * season.bagsEach} bags, ${rows} weighings, ${(statSync(databaseIn(folder)).size / 1e6).toFixed(1)} MB`,
  );
  const starts: number[] = [];
  for (let i = 0; i < 3; i++) {
    const { ms, stop } = await started();
    starts.push(ms);
    stop();
    await new Promise((done) => setTimeout(done, 700));
  }
  const empty = starts.map((one) => one.toFixed(0)).join(", ");
  console.log(`from the start of the program to its page, ms: ${empty}`);
  const { url, stop } = await started();
  const middle = Math.floor(batches / 2);
  const answers = [
    await asked(url, "the record's list", "/api/batches?state=all"),
    await asked(url, "a batch of the record", `/api/batches/${middle}`),
    await asked(url, "its curves", `/api/batches/${middle}/curves`),
    await asked(url, "its history", `/api/batches/${middle}/history`),
    await asked(url, "its export", `/api/batches/${middle}/weighings.csv`),
    await asked(url, "all bags", "/api/bags?state=all"),
    await asked(url, "bags of a food", "/api/bags?q=straw&state=all"),
    await asked(url, `the bag ${middle}-7`, `/api/bags?q=${middle}-7&state=all`),
    await asked(url, "stock", "/api/stock"),
    await asked(url, "the present", "/api/bench"),
  ];
  stop();
  console.log(`\n${"ms".padEnd(34)}   median      p95    first       kB`);
  for (const answer of answers) console.log(line(answer));
} finally {
  rmSync(scratch, { recursive: true, force: true });
}
