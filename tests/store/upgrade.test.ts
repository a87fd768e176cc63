import Database from "better-sqlite3";
import { spawn } from "node:child_process";
import { once } from "node:events";
import { copyFileSync, existsSync, readdirSync, rmSync } from "node:fs";
import { join } from "node:path";
import { setTimeout as wait } from "node:timers/promises";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { databaseIn } from "../../src/store/database.ts";
import { inspectStore } from "../../src/store/inspect.ts";
import { openStore } from "../../src/store/store.ts";
import { layoutOf, layoutOfSteps, stepOf, stepsFolder, stepsIn } from "../../src/store/steps.ts";
import { grams } from "../../src/units/quantity.ts";
import { aBag, aBagWeighing } from "./bags.ts";
import { compileProgram } from "./compiled.ts";
import { noon } from "./facts.ts";
import { real, tempFolder } from "./folder.ts";

// Each filled by the program of that layout: batches, weighings with corrections, clock, gaps, alerts, settings, and
// what the layout was made for. `node .ci/store-fixture.mjs` makes the one of the present layout.
const fixtures = join(import.meta.dirname, "..", "..", "fixtures", "databases");
const newest = stepsIn(stepsFolder).length;
const layouts = Array.from({ length: newest - 1 }, (_, index) => index + 1);
const fixtureOf = (layout: number): string =>
  join(fixtures, `v${String(layout).padStart(4, "0")}.db`);

/** A fixed number of kills a layout in every run; STILLWEIGHT_KILLS asks for more. */
const kills = Math.ceil(Number(process.env["STILLWEIGHT_KILLS"] ?? 30) / layouts.length);

const copied = (layout: number): string => {
  const folder = tempFolder();
  copyFileSync(fixtureOf(layout), databaseIn(folder));
  return folder;
};
const upgraded = (layout: number) => {
  const folder = copied(layout);
  return { folder, store: openStore(folder, real) };
};

type Rows = Readonly<Record<string, readonly Readonly<Record<string, unknown>>[]>>;

/** Every row of every table that a person's record is made of. */
function rowsOf(file: string): Rows {
  const db = new Database(file, { readonly: true });
  const tables = db
    .prepare<[], string>("SELECT name FROM sqlite_schema WHERE type = 'table'")
    .pluck()
    .all()
    .filter((name) => !["probe", "alive"].includes(name));
  const rows = tables.map((name) => [
    name,
    db.prepare<[], Record<string, unknown>>(`SELECT * FROM "${name}"`).all(),
  ]);
  db.close();
  return Object.fromEntries(rows) as Rows;
}

/** All that was there is there, cell by cell; tables and columns may have been added. */
function expectHolds(after: Rows, before: Rows, where: string): void {
  for (const [table, rows] of Object.entries(before))
    for (const row of rows)
      expect(after[table], `${where}: ${table}`).toContainEqual(expect.objectContaining(row));
}

test("there is a fixture of every layout before the present one, and each is of that layout", () => {
  expect(layouts.length).toBeGreaterThan(3);
  for (const layout of layouts) {
    const db = new Database(fixtureOf(layout), { readonly: true });
    expect(stepOf(db)).toBe(layout);
    expect(layoutOf(db)).toEqual(layoutOfSteps(stepsIn(stepsFolder).slice(0, layout)));
    db.close();
  }
});

describe.each(layouts)("a store of layout %d", (layout) => {
  test("is brought up to date with every cell that it held, and its chains are whole", () => {
    const before = rowsOf(fixtureOf(layout));
    expect(before["weighing"]?.length).toBeGreaterThan(4);
    expect(before["batch"]).toHaveLength(2);
    const { folder, store } = upgraded(layout);
    expect(store.load().batches).toHaveLength(1);
    expect(store.loadBatch(1)?.weighings.length).toBeGreaterThan(3);
    expect(store.load().settings?.displayUnit).toBe("oz");
    store.close();
    expectHolds(rowsOf(databaseIn(folder)), before, "after");
    const report = inspectStore(databaseIn(folder));
    expect(report).toMatchObject({ problems: [], layout: newest });
    expect(report.holds?.weighings.rows).toBe(before["weighing"]?.length);
    const [copy = ""] = readdirSync(folder).filter((name) => name.startsWith("before-layout-"));
    expect(rowsOf(join(folder, copy))).toEqual(before);
  });

  test("goes on with its chains and takes bags", () => {
    const { folder, store } = upgraded(layout);
    const { next } = store.load();
    const batch = store.loadBatch(1);
    const tray = batch?.trays[0]?.id ?? 0;
    const bag = aBag(next.bag, { plan: next.bagPlan, sequence: 90 });
    store.record([
      { is: "bag-planned", bag },
      { is: "bag-weighed", weighing: aBagWeighing(next.bagWeighing, next.bag, "tare", 8) },
      {
        is: "weighing-taken",
        weighing: {
          ...batch!.weighings[0]!,
          id: next.weighing,
          trayId: tray,
          at: noon,
          supersedes: null,
          struck: false,
          reason: null,
          kind: "dry",
          gross: grams(501),
        },
      },
    ]);
    store.close();
    const report = inspectStore(databaseIn(folder));
    expect(report.problems).toEqual([]);
  });
});

describe("killed half-way", () => {
  let migrator: ReturnType<typeof compileProgram>;
  beforeAll(() => {
    migrator = compileProgram("migrator");
  });
  afterAll(() => migrator.remove());

  /** Opens the store in a program that is killed before its `call`th call, or after `afterMs`. */
  async function opened(folder: string, call: number, afterMs: number | null): Promise<string> {
    const child = spawn(process.execPath, [migrator.file, folder, String(call)], {
      stdio: ["ignore", "pipe", "inherit"],
    });
    const closed = once(child, "close");
    let said = "";
    child.stdout.setEncoding("utf8").on("data", (text: string) => void (said += text));
    if (afterMs !== null) {
      await Promise.race([once(child.stdout, "data"), closed]);
      await wait(afterMs);
      child.kill("SIGKILL");
    }
    await closed;
    return said;
  }

  test.each(layouts)(
    "a store of layout %d holds everything, whatever the moment",
    async (layout) => {
      const before = rowsOf(fixtureOf(layout));
      const first = copied(layout);
      const calls = Number(/after (\d+) calls/.exec(await opened(first, 0, null))?.[1]);
      expect(calls).toBeGreaterThan(15);
      let halfWay = 0;
      let state = 20_261_125 + layout;
      const random = (): number => (state = (state * 48_271) % 2_147_483_647) / 2_147_483_647;
      for (let kill = 0; kill < kills; kill++) {
        const folder = copied(layout);
        // Between any two calls in turn; every third by the clock, which can hit within one.
        const byClock = kill % 3 === 2;
        const call = byClock ? 0 : 1 + Math.floor(random() * calls);
        const where = `layout ${layout}, kill ${kill}, before call ${call} of ${calls}`;
        const said = await opened(folder, call, byClock ? random() * 40 : null);
        if (!said.includes("opened")) halfWay += 1;
        if (existsSync(databaseIn(folder))) {
          openStore(folder, real).close();
          expectHolds(rowsOf(databaseIn(folder)), before, where);
        }
        expect(inspectStore(databaseIn(folder)), where).toMatchObject({
          problems: [],
          layout: newest,
        });
        for (const name of readdirSync(folder).filter((one) => one.startsWith("before-layout-"))) {
          expect(name, where).toMatch(/\.db$/);
          expect(inspectStore(join(folder, name)).problems, where).toEqual([]);
        }
        rmSync(folder, { recursive: true });
      }
      expect(halfWay).toBeGreaterThanOrEqual(Math.floor(kills / 2));
    },
    120_000 + kills * 3000,
  );
});
