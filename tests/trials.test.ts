import { existsSync, readFileSync } from "node:fs";
import { join } from "node:path";
import { expect, test } from "vitest";
import { marks, tableOf, trials } from "../.ci/trials.mjs";

const root = join(import.meta.dirname, "..");
const read = (name: string): string => readFileSync(join(root, name), "utf8");
const plain = (text: string): string =>
  text.replaceAll(/ +|-{2,}/g, (run) => (run[0] === "-" ? "--" : " "));

test("the table in docs/tried.md is the one that npm run trials writes", () => {
  const [begin, end] = marks;
  const stands = read("docs/tried.md").split(begin)[1]?.split(end)[0]?.trim() ?? "";
  expect(plain(stands)).toBe(plain(tableOf(trials())));
});

test.each(trials().map((one) => [one.name, one] as const))(
  "%s names tests and commands that are there, and lost nothing",
  (_name, { where, run, lost }) => {
    const { scripts } = JSON.parse(read("package.json")) as { scripts: Record<string, string> };
    for (const file of `${where} ${run}`.matchAll(/tests\/[\w/-]+\.test\.ts/g))
      expect(existsSync(join(root, file[0])), file[0]).toBe(true);
    for (const [, script = ""] of `${where} ${run}`.matchAll(/npm run ([\w:]+)/g))
      expect(scripts, script).toHaveProperty([script]);
    expect(lost).toMatch(/^0/);
  },
);
