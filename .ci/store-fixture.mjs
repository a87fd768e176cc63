// Fills a store through a running program and keeps it as the fixture of the program's layout:
//   node .ci/store-fixture.mjs [the program's main.js]
// Run it before a step is added to src/store/steps, while the program still makes the layout that is to be kept.
import { spawn } from "node:child_process";
import { once } from "node:events";
import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import Database from "better-sqlite3";

const root = join(import.meta.dirname, "..");
const program = process.argv[2] ?? join(root, "dist", "main.js");
const folder = mkdtempSync(join(tmpdir(), "stillweight-fixture-"));

/** Lets the program believe that it is so much earlier: it asks the system's time by this call alone. */
const earlier = (hours) =>
  `data:text/javascript,const now=Date.now;Date.now=()=>now()-${hours * 3_600_000}`;

async function during(hoursAgo, work) {
  const node = ["--import", earlier(hoursAgo), program, "run", "--data", folder, "--port", "0"];
  const child = spawn(process.execPath, [...node, "--scale", "tcp://127.0.0.1:9"], {
    stdio: ["ignore", "pipe", "ignore"],
  });
  let said = "";
  const url = await new Promise((resolve, reject) => {
    child.on("exit", () => reject(new Error(`the program ended: ${said}`)));
    child.stdout.on("data", (bytes) => {
      said += bytes;
      const found = /listening on (http:\/\/\S+)/.exec(said);
      if (found !== null) resolve(found[1].replace(/\/$/, ""));
    });
  });
  /** A route or a part that this program does not have yet is passed over. */
  const ask = async (method, path, body) => {
    const answer = await fetch(url + path, {
      method,
      headers: { "content-type": "application/json" },
      ...(body === undefined ? {} : { body: JSON.stringify(body) }),
    });
    const said = await answer.json();
    if (answer.status < 300) return said;
    if (said.type === "about:blank" || said.type === "/problems/input.invalid") return null;
    throw new Error(`${method} ${path}: ${JSON.stringify(said)}`);
  };
  child.removeAllListeners("exit");
  const ended = once(child, "exit");
  await work(ask).finally(() => child.kill("SIGTERM"));
  await ended;
}

const weigh = (ask, tray, kind, value, more = {}) =>
  ask("POST", "/api/weighings", { tray, kind, value, divisionGrams: 0.1, ...more });

await during(40, async (ask) => {
  await ask("POST", "/api/batches", {
    name: "Strawberries",
    dryer: "Kitchen",
    trays: [
      { name: "A", tareGrams: 400, food: "strawberries, raw", waterPct: 91 },
      { name: "B", food: "Grandmother's soup", waterPct: 80 },
    ],
  });
  await ask("PATCH", "/api/settings", {
    displayUnit: "oz",
    limitPct: 1.5,
    webhook: "http://x.test/",
  });
  await ask("PATCH", "/api/settings", {
    mqtt: { url: "mqtt://x.test", prefix: "still", user: "cook", password: "not a real one" },
  });
  await ask("POST", "/api/batches/1/trays", {
    name: "C",
    tareGrams: 410,
    portions: [
      { food: "pear", waterPct: 84, targetGrams: 200 },
      { food: "apple", waterPct: 86, targetGrams: 300 },
    ],
  });
  await weigh(ask, 2, "tare", 405);
  await weigh(ask, 1, "fresh", 1307.2);
  await weigh(ask, 2, "fresh", 1100);
  const { trays } = await ask("GET", "/api/batches/1");
  if (trays.length > 2) await weigh(ask, 3, "fresh", 915);
  await ask("PATCH", "/api/weighings/2", { grossGrams: 1307.4, reason: "read wrongly" });
  await ask("POST", "/api/batches/1/clock", { is: "in" });
  const [scale] = (await ask("GET", "/api/bench")).scales;
  await ask("POST", "/api/scales", { uri: "tcp://127.0.0.1:9" });
  await ask("POST", `/api/scales/${encodeURIComponent(scale.id)}/form`, {
    form: "bare",
    unit: "g",
  });
});
await during(16, async (ask) => {
  await ask("POST", "/api/batches/1/clock", { is: "out" });
  for (const [tray, value] of [
    [1, 489.2],
    [2, 545],
  ])
    await weigh(ask, tray, "dry", value);
  if ((await ask("GET", "/api/batches/1")).trays.length > 2) await weigh(ask, 3, "dry", 520);
  await ask("POST", "/api/batches/1/clock", { is: "in" });
});
await during(10, async (ask) => {
  const { gaps } = await ask("GET", "/api/batches/1");
  for (const { id } of gaps.filter((gap) => gap.dryerRan === null))
    await ask("POST", `/api/gaps/${id}`, { dryerRan: true });
  await ask("POST", "/api/batches/1/clock", { is: "out" });
  await weigh(ask, 1, "dry", 482.1);
  await weigh(ask, 2, "dry", 544.8);
  await weigh(ask, 2, "dry", 590);
  if ((await ask("GET", "/api/batches/1")).trays.length > 2) await weigh(ask, 3, "dry", 515);
  const { trays } = await ask("GET", "/api/batches/1");
  const last = trays[1].weighings.at(-1).id;
  await ask("PATCH", `/api/weighings/${last}`, { struck: true, reason: "the lid was on it" });
  await ask("POST", "/api/trays/1/core", { finding: "dry" });
  await ask("POST", "/api/batches/1/interruptions", {
    from: new Date(Date.now() - 30 * 3_600_000).toISOString(),
    to: new Date(Date.now() - 29 * 3_600_000).toISOString(),
    reason: "power cut",
  });
});
await during(2, async (ask) => {
  const bags = await ask("POST", "/api/batches/1/bags", {
    trays: [{ tray: 1 }],
    divide: { count: 2 },
    container: "soft",
    volumeMl: 946,
    although: "a trial",
  });
  for (const { id } of bags ?? []) {
    for (const [kind, value] of [
      ["tare", 8.2],
      ["filled", 49.4],
      ["sealed", 50.9],
    ])
      await ask("POST", `/api/bags/${id}/weighings`, { kind, value, divisionGrams: 0.1 });
  }
  if (bags !== null)
    await ask("PATCH", `/api/bags/${bags[0].id}/weighings/1`, {
      grossGrams: 8.3,
      reason: "read wrongly",
    });
  await ask("POST", "/api/batches/1/end", {});
  await ask("POST", "/api/batches", { dryer: "Cellar", trays: [{ name: "D", tareGrams: 300 }] });
  await weigh(ask, (await ask("GET", "/api/batches/2")).trays[0].id, "fresh", 800);
});

const db = new Database(join(folder, "stillweight.db"));
const layout = db.pragma("user_version", { simple: true });
const file = join(root, "fixtures", "databases", `v${String(layout).padStart(4, "0")}.db`);
rmSync(file, { force: true });
db.prepare("VACUUM INTO ?").run(file);
db.close();
rmSync(folder, { recursive: true });
console.log(file);
