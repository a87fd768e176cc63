// The rules of the house are at work: faults planted in a tree of its shape are found, and what is allowed is not.
import { spawnSync } from "node:child_process";
import { mkdirSync, mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { dirname, join } from "node:path";
import { beforeAll, expect, test } from "vitest";
import { config } from "../.ci/rules.mjs";
import { toolIn } from "../.ci/tools.mjs";

const root = join(import.meta.dirname, "..");

/** Each in a file of its own; null: nothing is to be said of it. */
const planted: readonly (readonly [file: string, line: string, fault: RegExp | null])[] = [
  ["src/units/a.ts", 'import "node:fs";', /no file and no network/],
  ["src/units/b.ts", 'import "../store/store.ts";', /only from: units/],
  ["src/units/c.ts", "export const a = Date.now();", /time and chance as values/],
  ["src/units/d.ts", "export const a = Math.random();", /Math\.random/],
  ["src/units/e.ts", 'export type { Store } from "../store/store.ts";', null],
  ["src/verdict/a.ts", 'import "../clock.ts";', /time comes in as a value/],
  ["src/verdict/b.ts", 'import "../bag/lots.ts";', /only from: units, food, tray, drying/],
  ["src/verdict/c.ts", 'import "../tray/net.ts";', null],
  ["src/store/a.ts", 'import "../service/step.ts";', /only from: units, tray/],
  ["src/store/b.ts", 'import "better-sqlite3";', null],
  ["src/http/a.ts", 'import "better-sqlite3";', /only store\/ may/],
  ["src/service/step.ts", "setTimeout(String, 1);", /time and chance as values/],
  ["src/service/engine.ts", "setTimeout(String, 1);", null],
  ["web/src/a.ts", 'import "../../src/verdict/judge.ts";', /the page takes values/],
  ["web/src/b.ts", 'import "../../src/wire/messages.ts";', /the page takes values/],
  ["web/src/c.ts", 'import "../../src/verdict/sentences.ts";', null],
  ["web/src/parts/d.tsx", 'import "../../../src/food/find.ts";', /the page takes values/],
];

type Said = { readonly filename: string; readonly message: string; readonly help: string };
let said: readonly Said[] = [];

beforeAll(() => {
  const folder = mkdtempSync(join(tmpdir(), "stillweight-lint-"));
  const write = (file: string, text: string): void => {
    mkdirSync(dirname(join(folder, file)), { recursive: true });
    writeFileSync(join(folder, file), text);
  };
  // Where the lint puts it.
  write(".build/oxlint.json", JSON.stringify(config));
  for (const [file, line] of planted) write(file, `${line}\n`);
  const args = [toolIn(root, "oxlint"), "-c", ".build/oxlint.json", "--format", "json"];
  const done = spawnSync(process.execPath, args, { cwd: folder, encoding: "utf8" });
  rmSync(folder, { recursive: true });
  ({ diagnostics: said } = JSON.parse(done.stdout) as { readonly diagnostics: readonly Said[] });
});

test.each(planted)("%s: %s", (file, _line, fault) => {
  const ofFile = said
    .filter(({ filename }) => filename === file)
    .map(({ message, help }) => `${message}: ${help}`)
    .join("\n");
  if (fault === null) expect(ofFile).toBe("");
  else expect(ofFile).toMatch(fault);
});
