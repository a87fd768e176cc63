import { spawn, spawnSync } from "node:child_process";
import { once } from "node:events";
import { setTimeout as wait } from "node:timers/promises";
import { afterAll, beforeAll, expect, test } from "vitest";
import { databaseIn } from "../../src/store/database.ts";
import { inspectStore } from "../../src/store/inspect.ts";
import { openStore } from "../../src/store/store.ts";
import { compileProgram } from "./compiled.ts";
import { real, refusal, tempFolder } from "./folder.ts";

const kills = Number(process.env["STILLWEIGHT_KILLS"] ?? 50);
let writer: ReturnType<typeof compileProgram>;

beforeAll(() => {
  writer = compileProgram("writer");
});
afterAll(() => writer.remove());

/** Park and Miller's generator: 0 to 1, the same for the same seed. */
function seeded(seed: number): () => number {
  let state = (seed % 2_147_483_646) + 1;
  return () => (state = (state * 48_271) % 2_147_483_647) / 2_147_483_647;
}

/**
 * Lets the writer work on a folder and kills it: in the middle of its work, or, within `startMs`, while it starts.
 * Gives the last weighing that it said it kept, and the time until it said the first.
 */
async function killedWriter(folder: string, random: () => number, startMs: number | null) {
  const begun = performance.now();
  const child = spawn(process.execPath, [writer.file, folder, "packing"], {
    stdio: ["ignore", "pipe", "inherit"],
  });
  const closed = once(child, "close");
  let said = "";
  child.stdout.setEncoding("utf8").on("data", (text: string) => void (said += text));
  if (startMs === null) await Promise.race([once(child.stdout, "data"), closed]);
  const startedAfterMs = performance.now() - begun;
  await wait(random() * (startMs ?? 30));
  child.kill("SIGKILL");
  await closed;
  const lastOf = (word: string): number =>
    Number([...said.matchAll(new RegExp(`^${word} (\\d+)$`, "gm"))].at(-1)?.[1] ?? 0);
  return { last: lastOf("kept"), lastBag: lastOf("packed"), startedAfterMs };
}

/** Kills the writer on one folder again and again, and looks at what is there after each time. */
async function killAgainAndAgain(times: number, seed: number) {
  const random = seeded(seed);
  const folder = tempFolder();
  let startMs = 0;
  let said = 0;
  let unsaid = 0;
  let bagsSaid = 0;
  for (let kill = 1; kill <= times; kill++) {
    const where = `seed ${seed}, kill ${kill}`;
    const atWork = kill === 1 || random() < 0.5;
    const { last, lastBag, startedAfterMs } = await killedWriter(
      folder,
      random,
      atWork ? null : startMs,
    );
    if (atWork) {
      startMs = startedAfterMs;
      expect(last, where).toBeGreaterThan(said);
    }
    said = Math.max(said, last);
    const store = openStore(folder, real);
    const batch = store.loadBatch(1);
    const bags = store.bags({ is: "batch", id: 1 });
    store.close();
    // A bag and its first weighing are one act: both are there or neither, none is missing, none is there twice.
    expect(bags.length, where).toBeGreaterThanOrEqual(Math.max(bagsSaid, lastBag));
    expect(
      bags.map(({ id }) => id),
      where,
    ).toEqual(numbersTo(bags.length));
    const filled = bags.flatMap(({ weighings }) => weighings.map(({ id }) => id));
    expect(filled, where).toEqual(numbersTo(bags.length));
    bagsSaid = bags.length;
    const there = batch?.weighings.length ?? 0;
    expect(there, where).toBeGreaterThanOrEqual(said);
    unsaid += there - said;
    said = there;
    // One input is one transaction: the weighing and the moment that came with it are both there.
    expect(batch?.weighings.map((row) => row.id) ?? [], where).toEqual(numbersTo(there));
    expect(batch?.moments.map((row) => row.id) ?? [], where).toEqual(numbersTo(there));
    expect(inspectStore(databaseIn(folder)).problems, where).toEqual([]);
  }
  expect(bagsSaid).toBeGreaterThan(0);
  return { kept: said, bags: bagsSaid, unsaid };
}

test(
  `${kills} kills at random moments lose nothing that was said to be kept`,
  async () => {
    const seed = Date.now() % 1_000_000;
    const lanes = [seed, seed + 1].map((one) => killAgainAndAgain(Math.ceil(kills / 2), one));
    for (const { kept, bags, unsaid } of await Promise.all(lanes))
      console.log(
        `seed ${seed}: ${kept} weighings and ${bags} bags kept, ${unsaid} weighings before it was said`,
      );
  },
  120_000 + kills * 2000,
);

const numbersTo = (last: number): number[] => Array.from({ length: last }, (_, i) => i + 1);

test("a write that the system refuses keeps nothing of its input and loses nothing before it", () => {
  const folder = tempFolder();
  // The shell's limit on the size of a file: writes beyond it fail as on a broken disk. The empty layout fits.
  const done = spawnSync(
    "bash",
    ["-c", `ulimit -f 800; exec "$0" "$@"`, process.execPath, writer.file, folder],
    { encoding: "utf8" },
  );
  const kept = [...done.stdout.matchAll(/^kept (\d+)$/gm)].length;
  expect(kept).toBeGreaterThan(10);
  expect(done.stdout).toContain(`refused store.unwritable with ${kept} there, can record: false`);
  const store = openStore(folder, real);
  expect(store.loadBatch(1)?.weighings.map((row) => row.id)).toEqual(numbersTo(kept));
  expect(store.loadBatch(1)?.moments.map((row) => row.id)).toEqual(numbersTo(kept));
  expect(store.canRecord().recording).toBe(true);
  store.close();
  expect(inspectStore(databaseIn(folder)).problems).toEqual([]);
});

test("a folder is free again the moment its program is killed", async () => {
  const folder = tempFolder();
  const child = spawn(process.execPath, [writer.file, folder], {
    stdio: ["ignore", "pipe", "inherit"],
  });
  await once(child.stdout, "data");
  expect(() => openStore(folder, real)).toThrow(refusal("store.in-use"));
  child.kill("SIGKILL");
  await once(child, "close");
  openStore(folder, real).close();
});
