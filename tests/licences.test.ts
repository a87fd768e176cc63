import { readFileSync } from "node:fs";
import { join } from "node:path";
import { expect, test } from "vitest";
import { permissive, shipped } from "../.ci/licences.mjs";

const root = join(import.meta.dirname, "..");
const read = (name: string): string => readFileSync(join(root, name), "utf8");
const { dependencies } = JSON.parse(read("package.json")) as {
  readonly dependencies: Readonly<Record<string, string>>;
};

test("every package that comes with the program has a permissive licence", () => {
  const all = shipped();
  expect(all.length).toBeGreaterThan(Object.keys(dependencies).length);
  expect(all.filter(({ licence }) => !permissive.includes(licence))).toEqual([]);
});

test("no package runs a program when it is installed but the two that are named", () => {
  const installs = shipped().filter((one) => one.installs);
  expect(installs.map(({ name }) => name)).toEqual(["@serialport/bindings-cpp", "better-sqlite3"]);
});

test("every package that is asked for is pinned, and stands in DEVELOPERS.md with its reason", () => {
  const chapter = /## Dependencies\n([^]*?)\n## /.exec(read("DEVELOPERS.md"))?.[1] ?? "";
  for (const [name, version] of Object.entries(dependencies)) {
    expect(version, name).toMatch(/^\d+\.\d+\.\d+$/);
    expect(chapter, name).toContain(`\`${name}\``);
  }
});
