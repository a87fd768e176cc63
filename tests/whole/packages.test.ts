// The program with packages that are not there, or were made for another Node.js, as a system's upgrade or a checkout of
// a newer version without an installation leaves them: one sentence says what to run, and the record stays as it is.
//
// A library for another Node.js is played by one that is none; with a real one (made for Node.js 20, run by 22) it was
// tried by hand.
import { spawnSync } from "node:child_process";
import {
  cpSync,
  existsSync,
  mkdirSync,
  readdirSync,
  rmSync,
  symlinkSync,
  writeFileSync,
} from "node:fs";
import { join } from "node:path";
import { afterAll, beforeAll, expect, test } from "vitest";
import { dataFolder } from "./service.ts";

const root = join(import.meta.dirname, "..", "..");
const place = dataFolder();
const program = join(place.path, "program");
const library = join(program, "node_modules", "better-sqlite3");
const compiled = join("build", "Release", "better_sqlite3.node");

beforeAll(() => {
  mkdirSync(join(program, "node_modules"), { recursive: true });
  cpSync(join(root, "dist"), join(program, "dist"), { recursive: true });
  cpSync(join(root, "package.json"), join(program, "package.json"));
  for (const name of readdirSync(join(root, "node_modules")))
    if (name !== "better-sqlite3")
      symlinkSync(join(root, "node_modules", name), join(program, "node_modules", name));
});
afterAll(() => place.remove());

test.each([
  ["made for something else", () => writeFileSync(join(library, compiled), "no library")],
  ["not made", () => rmSync(join(library, compiled))],
  ["not there", () => rmSync(library, { recursive: true })],
])("the store's library is %s: what to run is said in one sentence", (_how, spoil) => {
  rmSync(library, { recursive: true, force: true });
  cpSync(join(root, "node_modules", "better-sqlite3"), library, {
    recursive: true,
    filter: (path) => !/better-sqlite3[\\/](deps|src)$/.test(path),
  });
  spoil();
  const data = join(place.path, "data");
  const started = [join(program, "dist", "main.js"), "run", "--data", data, "--scale", "/dev/none"];
  const { stderr, status } = spawnSync(process.execPath, started, { encoding: "utf8" });
  expect(stderr).toMatch(/^the packages that the program needs are not there, or were made for /);
  expect(stderr).toContain(`another Node.js than this ${process.versions.node} (`);
  expect(stderr).toContain(`run: cd "${program}" && npm run ensure`);
  expect(stderr.trim().split("\n")).toHaveLength(1);
  expect(status).toBe(1);
  expect(existsSync(join(data, "stillweight.db"))).toBe(false);
});
