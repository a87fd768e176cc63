import { spawnSync } from "node:child_process";
import { mkdtempSync, rmSync, symlinkSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { expect, onTestFinished, test } from "vitest";
import { toolIn } from "../.ci/tools.mjs";

const root = join(import.meta.dirname, "..");
const said = (...args: readonly string[]): string => {
  const done = spawnSync(process.execPath, args, { encoding: "utf8" });
  expect(done.stderr).toBe("");
  return done.stdout;
};

test.each(["tsc", "vite", "vitest", "prettier", "oxlint"])(
  "%s is run by Node itself, which is all that Windows can run without a shell",
  (name) => {
    expect(said(toolIn(root, name), "--version")).toMatch(/\d+\.\d+\.\d+/);
  },
);

test("a script that is started by way of a link does its work", () => {
  const folder = mkdtempSync(join(tmpdir(), "stillweight-"));
  onTestFinished(() => rmSync(folder, { recursive: true }));
  symlinkSync(root, join(folder, "other name"), "junction");
  const script = join(folder, "other name", ".ci", "licences.mjs");
  expect(said(script)).toMatch(/\d+ packages, 0 with a licence to be looked at/);
});
