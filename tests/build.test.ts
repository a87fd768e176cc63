// What a build leaves behind, with tools that only pretend to compile: the real ones make the program that all of
// tests/whole starts.
import { spawnSync } from "node:child_process";
import {
  existsSync,
  mkdirSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  rmSync,
  writeFileSync,
} from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { pathToFileURL } from "node:url";
import { beforeEach, expect, onTestFinished, test } from "vitest";
import { builtIn } from "../.ci/build.mjs";

const script = pathToFileURL(join(import.meta.dirname, "..", ".ci", "build.mjs")).href;
let root: string;

/** `says`: what the program that it makes prints. */
function compilerThat(says: string | null): void {
  const tool = join(root, "node_modules", "typescript");
  mkdirSync(tool, { recursive: true });
  writeFileSync(join(tool, "package.json"), '{"bin":{"tsc":"tsc.mjs"}}');
  const makes = `import { mkdirSync, writeFileSync } from "node:fs";
    const folder = process.argv[process.argv.indexOf("--outDir") + 1];
    mkdirSync(folder, { recursive: true });
    writeFileSync(folder + "/main.js", 'console.log("${says}")');
    ${says === null ? 'console.log("error TS2322"); process.exit(2);' : ""}`;
  writeFileSync(join(tool, "tsc.mjs"), makes);
}

const build = () => {
  const asked = `import { build } from "${script}"; build(${JSON.stringify(root)})`;
  return spawnSync(process.execPath, ["--input-type=module", "-e", asked], { encoding: "utf8" });
};
const said = (file: string): string =>
  spawnSync(process.execPath, [file], { encoding: "utf8" }).stdout.trim();
const builds = (): string[] => readdirSync(join(root, "dist")).filter((name) => /^\d/.test(name));

beforeEach(() => {
  root = mkdtempSync(join(tmpdir(), "stillweight-build-"));
  onTestFinished(() => rmSync(root, { recursive: true }));
  writeFileSync(join(root, "package.json"), '{"type":"module"}');
  const vite = join(root, "node_modules", "vite");
  mkdirSync(vite, { recursive: true });
  writeFileSync(join(vite, "package.json"), '{"bin":{"vite":"vite.mjs"}}');
  writeFileSync(join(vite, "vite.mjs"), "");
});

test("each build has a folder of its own, and a start takes the newest", () => {
  for (const word of ["first", "second"]) {
    compilerThat(word);
    expect(build().status).toBe(0);
    expect(said(join(root, "dist", "main.js"))).toBe(word);
  }
  expect(builds()).toHaveLength(2);
  expect(said(join(builtIn(root), "main.js"))).toBe("second");
  const [running = ""] = builds();
  expect(said(join(root, "dist", running, "main.js"))).toBe("first");
});

test("a build that fails leaves the program as it was", () => {
  compilerThat("whole");
  build();
  const stamp = readFileSync(join(root, "dist", ".built"), "utf8");
  compilerThat(null);
  const { status, stderr } = build();
  expect(status).toBe(1);
  expect(stderr).toContain("error TS2322");
  expect(said(join(root, "dist", "main.js"))).toBe("whole");
  expect(builds()).toHaveLength(1);
  expect(readFileSync(join(root, "dist", ".built"), "utf8")).toBe(stamp);
});

test("two earlier builds stay for services that run, and what is no build goes", () => {
  mkdirSync(join(root, "dist", "service"), { recursive: true });
  // As a build that was killed leaves it.
  mkdirSync(join(root, "dist", "20200101T000000000Z"));
  for (const word of ["a", "b", "c", "d", "e"]) {
    compilerThat(word);
    build();
  }
  expect(builds().map((name) => said(join(root, "dist", name, "main.js")))).toEqual([
    "c",
    "d",
    "e",
  ]);
  expect(existsSync(join(root, "dist", "service"))).toBe(false);
});
