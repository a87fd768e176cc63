// The service is killed again and again while trays are weighed and bags are packed, at any moment of its work and of its
// start. What it had announced (answers, websocket) is in the file that it left, nothing is there twice, the file is
// sound, and what it shows after the next start is what follows from the rows.
import { spawn } from "node:child_process";
import { once } from "node:events";
import { join } from "node:path";
import { expect, test } from "vitest";
import type { BagLine } from "../../src/wire/bag.ts";
import type { Batch } from "../../src/wire/batch.ts";
import { databaseIn } from "../../src/store/database.ts";
import { inspectStore } from "../../src/store/inspect.ts";
import { Announced, standingsIn } from "./announced.ts";
import { NetScale } from "./netscale.ts";
import { dataFolder, type Live, recordIn, Service } from "./service.ts";
import { Worker } from "./worker.ts";

/** `STILLWEIGHT_KILLS=500 npx vitest run --config .ci/vitest.config.ts tests/whole/kills.test.ts` takes a quarter of an hour. */
const kills = Number(process.env["STILLWEIGHT_KILLS"] ?? 8);
const lanes = kills < 40 ? 1 : 2;
const seed = Number(process.env["STILLWEIGHT_SEED"] ?? Date.now() % 1_000_000);

/** Park and Miller's generator: 0 to 1, the same for the same seed. */
function seeded(start: number): () => number {
  let state = (start % 2_147_483_646) + 1;
  return () => (state = (state * 48_271) % 2_147_483_647) / 2_147_483_647;
}
const pause = (ms: number): Promise<void> => new Promise((resolve) => setTimeout(resolve, ms));

/** Killed before anybody could ask it anything. */
async function killedAtStart(folder: string, uri: string, afterMs: number): Promise<void> {
  const program = join(import.meta.dirname, "..", "..", "dist", "main.js");
  const args = [program, "run", "--data", folder, "--port", "0", "--scale", uri];
  const child = spawn(process.execPath, args, { stdio: "ignore" });
  const ended = once(child, "exit");
  await pause(afterMs);
  child.kill("SIGKILL");
  await ended;
}

/** The program's own account of itself after a start, beside what its rows say. */
async function expectStandings(service: Service, file: string, where: string): Promise<void> {
  const standings = standingsIn(file);
  const shown = await service.get<{ id: number }[]>("/api/batches?state=all");
  expect(new Set(shown.map(({ id }) => id)), where).toEqual(new Set(standings.keys()));
  // The last ones alone: those before were looked at when they were the last.
  for (const [id, standing] of [...standings].slice(-2)) {
    const batch = await service.get<Batch>(`/api/batches/${id}`);
    const bags = await service.get<BagLine[]>(`/api/bags?batch=${id}&state=all`);
    expect(
      {
        clock: batch.clock.state,
        ended: batch.endedAt !== null,
        bags: bags.toSorted((a, b) => a.id - b.id).map(({ state }) => state),
      },
      `${where}: batch ${id}`,
    ).toEqual(standing);
  }
}

async function killAgainAndAgain(times: number, random: () => number) {
  const data = dataFolder();
  const scale = await NetScale.start();
  const announced = new Announced();
  const worker = new Worker(scale, announced, random);
  const file = databaseIn(data.path);
  let startMs = 1000;
  try {
    for (let kill = 1; kill <= times; kill++) {
      const where = `seed ${seed}, kill ${kill} of ${times}`;
      if (kill > 1 && random() < 0.1) await killedAtStart(data.path, scale.uri, startMs * random());
      else {
        const begun = performance.now();
        const service = await Service.start({ scale: scale.uri, data: data.path });
        startMs = performance.now() - begun;
        if (kill > 1) await expectStandings(service, file, where);
        await workUntilKilled(service, worker, announced, random);
      }
      expect(announced.compare(file), where).toEqual([]);
      expect(inspectStore(file).problems, where).toEqual([]);
    }
    const { problems, verdicts } = recordIn(data.path);
    expect(problems).toEqual([]);
    return { announced, done: worker.done, verdicts };
  } finally {
    scale.close();
    data.remove();
  }
}

async function workUntilKilled(
  service: Service,
  worker: Worker,
  announced: Announced,
  random: () => number,
): Promise<void> {
  const live: Live = await service.live();
  let killed = false;
  let wrong: unknown = null;
  const working = worker.work(service, live).catch((thrown: unknown) => {
    if (!killed) wrong = thrown;
  });
  await pause(400 + 2000 * random());
  // Half of the time within a few milliseconds after it said or took something.
  if (random() < 0.5) {
    const words = (): number => live.messages.filter(({ type }) => type !== "reading").length;
    const before = words();
    await live.until("the next word", () => words() > before, 800).catch(() => undefined);
    await pause(8 * random());
  }
  const closed = once(live.socket, "close");
  killed = true;
  await service.kill();
  await closed;
  // Whatever had reached the page before the end was announced.
  for (const message of live.messages) if (message.type !== "reading") announced.hear(message);
  live.gone();
  await working;
  if (wrong !== null) throw wrong;
}

test(
  `${kills} kills while weighing and packing: nothing announced is missing, nothing is there twice`,
  async () => {
    const each = Math.ceil(kills / lanes);
    const all = await Promise.all(
      Array.from({ length: lanes }, (_, lane) => killAgainAndAgain(each, seeded(seed + lane))),
    );
    for (const { announced, done, verdicts } of all) {
      console.log(
        `seed ${seed}: ${each} kills, ${announced.rows} rows announced and there, ` +
          `${announced.count("weighing")} weighings of trays, ${announced.count("bag_weighing")} of bags, ` +
          `${verdicts.checked} verdicts; done: ${[...done].map(([what, n]) => `${what} ${n}`).join(", ")}`,
      );
      expect(announced.rows).toBeGreaterThan(2);
      if (each >= 40) expect(announced.count("bag_weighing")).toBeGreaterThan(each / 4);
    }
    console.log(`${each * lanes} kills of the whole service`);
  },
  120_000 + kills * 12_000,
);
