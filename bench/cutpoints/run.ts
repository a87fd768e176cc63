/**
 * Power cuts: the writes and syncs of a program that keeps weighings are recorded by strace; at each of many
 * moments the files are rebuilt as a disk may hold them that kept all synced writes and, of the others, some, torn,
 * as rubbish or not at all; then the store is opened and must hold all that had been said to be kept.
 *   npm run bench:cutpoints -- [--cuts N] [--kept N] [--seed S]
 */
import { spawn, spawnSync } from "node:child_process";
import { cpSync, mkdtempSync, readFileSync, rmSync } from "node:fs";
import { once } from "node:events";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { parseArgs } from "node:util";
import { databaseIn } from "../../src/store/database.ts";
import { inspectStore } from "../../src/store/inspect.ts";
import { openStore } from "../../src/store/store.ts";
import { utcMs } from "../../src/units/quantity.ts";
import { seeded } from "../../tests/rig/scale.ts";
import { Disk } from "./disk.ts";
import { eventsOf, straceArguments, type Event } from "./trace.ts";

const { values } = parseArgs({
  options: {
    cuts: { type: "string", default: "1500" },
    kept: { type: "string", default: "400" },
    seed: { type: "string", default: "20261125" },
  },
});
const [cuts, kept, seed] = [values.cuts, values.kept, values.seed].map(Number) as [
  number,
  number,
  number,
];
if (![cuts, kept, seed].every((one) => Number.isInteger(one) && one > 0)) {
  console.error("--cuts, --kept and --seed are whole numbers above 0");
  process.exit(2);
}
if (spawnSync("strace", ["-V"]).status !== 0) {
  console.log("skipped: strace is not installed, so no writes can be recorded");
  process.exit(0);
}

const here = import.meta.dirname;
cpSync(join("src", "store", "steps"), join(here, "..", "..", "src", "store", "steps"), {
  recursive: true,
});
const scratch = mkdtempSync(join(tmpdir(), "stillweight-cuts-"));

async function recorded(): Promise<readonly Event[]> {
  const folder = join(scratch, "data");
  const trace = join(scratch, "trace");
  const writer = join(here, "..", "..", "tests", "store", "writer.js");
  const child = spawn(
    "strace",
    [...straceArguments, "-o", trace, process.execPath, writer, folder],
    {
      stdio: ["ignore", "pipe", "inherit"],
      detached: true,
    },
  );
  let said = "";
  child.stdout.setEncoding("utf8").on("data", (text: string) => {
    said += text;
    if (said.includes(`kept ${kept + 5}\n`)) process.kill(-child.pid!, "SIGKILL");
  });
  await once(child, "close");
  return eventsOf(readFileSync(trace, "utf8"), folder);
}

const keptIn = (event: Event): number =>
  event.is === "said" ? Number(/^kept (\d+)/m.exec(event.text)?.[1] ?? 0) : 0;

/** Whether each announcement came after a sync that came after the last write before it. */
function unsyncedAnnouncements(events: readonly Event[]): number {
  const dirty = new Set<string>();
  let bad = 0;
  for (const event of events) {
    if (event.is === "write" && event.file.endsWith("-wal")) dirty.add(event.file);
    if (event.is === "sync") dirty.delete(event.file);
    if (keptIn(event) > 0 && dirty.size > 0) bad += 1;
  }
  return bad;
}

function look(folder: string, said: number): string | null {
  try {
    const store = openStore(folder, { practice: false, timeFactor: 1, at: utcMs(0) });
    const batch = store.loadBatch(1);
    store.close();
    const ids = batch?.weighings.map(({ id }) => id) ?? [];
    const moments = batch?.moments.length ?? 0;
    if (ids.length < said) return `${said} said to be kept, ${ids.length} there`;
    if (ids.some((id, at) => id !== at + 1)) return "a weighing is missing in between";
    if (moments !== ids.length) return `half an act: ${ids.length} weighings, ${moments} moments`;
    const { problems } = inspectStore(databaseIn(folder));
    return problems.length > 0 ? problems.join("; ") : null;
  } catch (thrown) {
    return `does not open: ${thrown instanceof Error ? thrown.message : String(thrown)}`;
  }
}

const events = await recorded();
const chance = seeded(seed);
const moments = new Set<number>();
while (moments.size < Math.min(cuts, events.length))
  moments.add(Math.floor(chance() * events.length));
const disk = new Disk();
const faults: string[] = [];
let said = 0;
let unsynced = 0;
let withUnsynced = 0;
events.forEach((event, at) => {
  disk.take(event);
  said = Math.max(said, keptIn(event));
  if (!moments.has(at)) return;
  unsynced += disk.unsynced();
  if (disk.unsynced() > 0) withUnsynced += 1;
  const folder = join(scratch, "cut");
  disk.cut(folder, chance);
  const why = look(folder, said);
  if (why !== null) faults.push(`cut ${at}, after kept ${said}: ${why}`);
});
rmSync(scratch, { recursive: true, force: true });

const count = (is: Event["is"]): number => events.filter((event) => event.is === is).length;
const bare = unsyncedAnnouncements(events);
console.log(
  `recorded: ${count("write")} writes, ${count("sync")} syncs, ${count("truncate")} truncations, ${said} acts said to be kept`,
);
console.log(`acts announced before their own log was synced: ${bare}`);
console.log(
  `cut points ${moments.size} (seed ${seed}), ${withUnsynced} of them with unsynced changes (${unsynced} in all)`,
);
for (const fault of faults.slice(0, 20)) console.log(fault);
const good = faults.length === 0 && bare === 0 && said >= kept && moments.size > 0;
console.log(`${good ? "met" : "NOT MET"}: nothing announced was lost, ${faults.length} faults`);
console.log(
  "A file's name is taken to be on the disk once the file was synced; a disk that lies about a sync is not played",
);
process.exitCode = good ? 0 : 1;
