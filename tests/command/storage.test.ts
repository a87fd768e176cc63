import Database from "better-sqlite3";
import { existsSync, mkdirSync, readdirSync, readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { expect, test } from "vitest";
import { backup } from "../../src/command/backup.ts";
import { check } from "../../src/command/check.ts";
import { pair } from "../../src/command/pair.ts";
import { run } from "../../src/command/run.ts";
import type { Io } from "../../src/command/io.ts";
import { restore } from "../../src/command/restore.ts";
import { databaseIn } from "../../src/store/database.ts";
import { openStore, type StoreOptions } from "../../src/store/store.ts";
import { aBatch, aTray, aWeighing, started, taken } from "../store/facts.ts";
import { stepsFolder, stepsIn } from "../../src/store/steps.ts";
import { practice, real, refusal, tempFolder } from "../store/folder.ts";

function heard(env: NodeJS.ProcessEnv = {}, signal: AbortSignal = new AbortController().signal) {
  const out: string[] = [];
  const err: string[] = [];
  const io: Io = { out: (line) => out.push(line), err: (line) => err.push(line), env, signal };
  return { io, out, err };
}

function filled(folder: string, weighings: number, options: StoreOptions = real): string {
  const store = openStore(folder, options);
  store.record([started(aBatch(1, [aTray(1, 1)], { practice: options.practice }))]);
  store.record(Array.from({ length: weighings }, (_, i) => taken(aWeighing(i + 1))));
  store.record([
    taken(aWeighing(weighings + 1, { supersedes: 1, reason: "spilled", struck: true })),
  ]);
  store.close();
  return folder;
}

test("check says in words what a store holds, and that it is whole", async () => {
  const folder = filled(tempFolder(), 2);
  const { io, out, err } = heard();
  expect(await check(["--data", folder], io)).toBe(0);
  expect(err).toEqual([]);
  expect(out[0]).toBe(databaseIn(folder));
  expect(out[1]).toMatch(
    new RegExp(`^0\\.\\d MB, layout ${stepsIn(stepsFolder).length}, real food$`),
  );
  expect(out[2]).toBe("1 batch (1 open) with 1 tray");
  expect(out[3]).toBe(
    "3 weighings, 1 correction among them, from 2026-11-25T12:01:00.000Z to 2026-11-25T12:03:00.000Z",
  );
  expect(out[4]).toBe("0 moments of the drying clock, 0 verdicts given");
  expect(out[5]).toBe("0 bags with 0 weighings");
  expect(out[6]).toMatch(/^last weighing [0-9a-f]{64}$/);
  expect(out[9]).toMatch(/^last bag fate [0-9a-f]{64}$/);
  expect(out[10]).toMatch(/^last bag answer [0-9a-f]{64}$/);
  expect(out[11]).toContain("the file is whole");
});

test("a code for the folder that practice prints is laid where the service looks for it", async () => {
  const folder = filled(tempFolder(), 1);
  const ofPractice = join(folder, "practice");
  mkdirSync(ofPractice);
  const { io } = heard();
  expect(await pair(["--data", ofPractice], io)).toBe(0);
  expect([folder, ofPractice].map((one) => existsSync(join(one, "pairing-code.json")))).toEqual([
    true,
    false,
  ]);
  // A folder of that name that lies in none of ours is a data folder like any other.
  const named = join(tempFolder(), "practice");
  mkdirSync(named);
  await pair(["--data", named], io);
  expect(existsSync(join(named, "pairing-code.json"))).toBe(true);
});

test("check ends with 1 and names what is not as it was kept", async () => {
  const folder = filled(tempFolder(), 2);
  const db = new Database(databaseIn(folder));
  db.exec("DROP TRIGGER weighing_never_changed; UPDATE weighing SET gross_mg = 1 WHERE id = 2");
  db.close();
  const { io, out, err } = heard();
  expect(await check(["--data", folder], io)).toBe(1);
  expect(err.join("\n")).toContain("weighing 2 is not as it was kept");
  expect(out.join("\n")).not.toContain("whole");
});

test("check calls practice practice", async () => {
  const { io, out } = heard();
  await check(["--data", filled(tempFolder(), 1, practice)], io);
  expect(out[1]).toContain("practice: nothing in it is food");
});

test("without --data the platform's folder is looked at", async () => {
  const home = tempFolder();
  filled(join(home, "stillweight"), 1);
  const { io, out } = heard({ XDG_DATA_HOME: home });
  expect(await check([], io)).toBe(0);
  expect(out[0]).toBe(join(home, "stillweight", "stillweight.db"));
});

test("a folder without a store is a refusal, not an empty store", async () => {
  const folder = tempFolder();
  await expect(check(["--data", folder], heard().io)).rejects.toThrow(refusal("store.not-ours"));
  expect(existsSync(databaseIn(folder))).toBe(false);
});

test.each([
  ["check", check, ["--dat", "x"]],
  ["check", check, ["leftover"]],
  ["check", check, ["--data", ""]],
  ["backup", backup, []],
  ["backup", backup, ["a", "b"]],
  ["restore", restore, []],
  ["restore", restore, [""]],
  ["pair", pair, ["leftover"]],
  ["pair", pair, ["--data", ""]],
] as const)("%s refuses the wrong usage %#", async (_, command, args) => {
  await expect(command([...args], heard().io)).rejects.toThrow(refusal("word.unknown-command"));
});

test.each([
  ["backup", backup, "the copy is written to, as in stillweight backup copy.db"],
  ["restore", restore, "the copy to be brought back, as in stillweight restore copy.db"],
] as const)("%s says which file it wants, and what was given instead", async (_, command, what) => {
  await expect(command([], heard().io)).rejects.toThrow(`${what}; given was none`);
  const two = command(["a.db", "b.db"], heard().io);
  await expect(two).rejects.toThrow(`${what}; given was "a.db" and "b.db"`);
});

/** A folder with a store, and in it a file, a folder and a copy; then what is asked of them. */
const wrongPlaces: readonly (readonly [
  string,
  (args: readonly string[], io: Io) => Promise<number>,
  (at: (name: string) => string) => readonly string[],
  string,
])[] = [
  ["backup", backup, (at) => [at("folder"), "--data", at("")], "folder is a folder; name the file"],
  ["backup", backup, (at) => [at("none/x"), "--data", at("")], "none to copy into"],
  ["backup", backup, (at) => [at("file/x"), "--data", at("")], "file to copy into"],
  ["backup", backup, (at) => [at("file"), "--data", at("")], "file is not a store"],
  ["backup", backup, (at) => [at("x"), "--data", at("folder")], "there is no store at"],
  ["backup", backup, (at) => [at("x"), "--data", at("file")], "there is no store at"],
  ["restore", restore, (at) => [at("none"), "--data", at("new")], "there is no store at"],
  ["restore", restore, (at) => [at("folder"), "--data", at("new")], "folder is a folder; name the"],
  ["restore", restore, (at) => [at("file"), "--data", at("new")], "file is not a store"],
  ["restore", restore, (at) => [at("copy"), "--data", at("file")], "is a file, not a data folder"],
  ["restore", restore, (at) => [at("copy"), "--data", at("file/x")], "path is a file"],
  ["check", check, (at) => ["--data", at("none")], "there is no store at"],
  ["check", check, (at) => ["--data", at("file")], "there is no store at"],
  ["pair", pair, (at) => ["--data", at("none")], "there is no folder"],
  ["pair", pair, (at) => ["--data", at("file")], "is a file, not a data folder"],
  ["run", run, (at) => ["--data", at("file"), "--port", "0"], "is a file, not a data folder"],
  ["run", run, (at) => ["--data", at("file/x"), "--port", "0"], "path is a file"],
];

test.each(wrongPlaces)(
  "%s in a wrong place names it and leaves all as it was (%#)",
  async (...one) => {
    const [, command, argsOf, says] = one;
    const folder = filled(tempFolder(), 1);
    const at = (name: string): string => join(folder, name);
    await backup([at("copy"), "--data", folder], heard().io);
    mkdirSync(at("folder"));
    writeFileSync(at("file"), "no store");
    const { io, out } = heard();
    await expect(command(argsOf(at), io)).rejects.toThrow(says);
    const code = says === "path is a file" ? "store.unwritable" : "store.not-ours";
    await expect(command(argsOf(at), io)).rejects.toThrow(refusal(code));
    expect(out).toEqual([]);
    expect(readFileSync(at("file"), "utf8")).toBe("no store");
    expect(readdirSync(at("folder"))).toEqual([]);
  },
);

test("a fast clock on real food is refused by the option's name, its value and what to do", async () => {
  const folder = filled(tempFolder(), 1);
  const refused = run(
    ["--data", folder, "--time-factor", "60", "--scale", "/dev/ttyUSB9", "--port", "0"],
    heard().io,
  );
  await expect(refused).rejects.toThrow(refusal("store.wrong-kind"));
  await expect(refused).rejects.toThrow(
    `--time-factor 60: ${folder} holds weighings of real food, whose clock is never sped up; leave it out`,
  );
});

test("a backup and its way back, in words", async () => {
  const folder = filled(tempFolder(), 3);
  const file = join(tempFolder(), "copy.db");
  const first = heard();
  expect(await backup([file, "--data", folder], first.io)).toBe(0);
  expect(first.out[0]).toBe(`copied ${folder} to ${file}, and found the copy whole`);

  const other = filled(tempFolder(), 1);
  const second = heard();
  expect(await restore([file, "--data", other], second.io)).toBe(0);
  expect(second.out[0]).toBe(`brought back ${file} to ${other}, and found it whole`);
  expect(second.out.join("\n")).toContain("4 weighings");
  expect(second.out.at(-1)).toMatch(
    /^the store that was there is kept as .*before-restore-.*\.db$/,
  );
});

test("a copy of practice is brought back to where practice is, not to the folder for food", async () => {
  const home = tempFolder();
  const file = join(home, "copy.db");
  await backup([file, "--data", filled(tempFolder(), 1, practice)], heard().io);
  await restore([file], heard({ XDG_DATA_HOME: home }).io);
  expect(existsSync(databaseIn(join(home, "stillweight", "practice")))).toBe(true);
  expect(existsSync(databaseIn(join(home, "stillweight")))).toBe(false);
});

test("an interrupted backup or restore ends with 130 and changes nothing", async () => {
  const folder = filled(tempFolder(), 1);
  const file = join(tempFolder(), "copy.db");
  await backup([file, "--data", folder], heard().io);
  const stopped = AbortSignal.abort("SIGINT");
  const target = join(tempFolder(), "target");
  mkdirSync(target);
  expect(await restore([file, "--data", target], heard({}, stopped).io)).toBe(130);
  expect(existsSync(databaseIn(target))).toBe(false);
  expect(await backup([join(target, "b.db"), "--data", folder], heard({}, stopped).io)).toBe(130);
  expect(existsSync(join(target, "b.db"))).toBe(false);
});
