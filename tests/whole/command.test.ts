// The built program on a command line, as a shell runs it.
import { execFile } from "node:child_process";
import { mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { promisify } from "node:util";
import { afterAll, expect, test } from "vitest";

const program = join(import.meta.dirname, "..", "..", "dist", "main.js");
const folder = mkdtempSync(join(tmpdir(), "stillweight-command-"));
afterAll(() => rmSync(folder, { recursive: true }));
const shell = promisify(execFile);

test("a reader that has seen enough ends a command without a fault", async () => {
  const file = join(folder, "capture.txt");
  const line = Buffer.from("ST,GS,+  412.6 g\r\n").toString("hex");
  const rows = Array.from({ length: 3000 }, (_, i) => `${i * 100} ${line}`);
  const header = '{"capture":1,"scale":"COM3","startedAt":"2026-01-31T08:15:00.000Z"}';
  writeFileSync(file, [header, ...rows, ""].join("\n"));
  const { stdout, stderr } = await shell("sh", [
    "-c",
    'node "$0" listen --scale "$1" | head -2',
    program,
    `replay:${file}?speed=60`,
  ]);
  expect(stdout.split("\n")[1]).toContain("ST,GS,+  412.6 g");
  expect(stderr).toBe("");
});

// ECMA-48: ESC and the controls of C0 and C1 (U+0080 to U+009F) are what a terminal obeys.
test.each([[], ["--json"]])(
  "a log of another sends a terminal nothing that it obeys %j",
  async (...more) => {
    const tray = "A\u001B[2J\u001B]0;title\u0007\u009B31mred\rstable\u007F";
    const log = join(folder, "log.csv");
    writeFileSync(log, `hours,grams,fresh_g,tray\n20,90,1000,"${tray}"\n24,80,1000,"${tray}"\n`);
    const { stdout, stderr } = await shell(process.execPath, [
      program,
      "judge",
      log,
      ...more.flat(),
    ]);
    expect(stdout).toContain("[2J");
    // eslint-disable-next-line no-control-regex
    expect(stdout + stderr).not.toMatch(/[\0-\x08\v\f\r\x0E-\x1F\x7F-\x9F]/);
    if (more.length > 0) expect(JSON.parse(stdout)).toHaveProperty("batches.0.trays.0.tray", tray);
    const broken = join(folder, "broken.csv");
    writeFileSync(broken, `hours,grams\n20,\u001B[2J\n`);
    const refused = await shell(process.execPath, [program, "judge", broken]).catch(
      (error: { stderr: string }) => error,
    );
    expect(refused.stderr).toContain("line 2: grams is");
    expect(refused.stderr).not.toContain("\u001B");
  },
);

test.each(["", "run", "judge", "listen", "check", "backup", "restore", "pair"])(
  "%s --help says how it is called, and nothing else happens",
  async (command) => {
    const asked = [...(command === "" ? [] : [command]), "--help"];
    const { stdout, stderr } = await shell(process.execPath, [program, ...asked]);
    expect(stdout).toContain(`stillweight ${command === "" ? "run" : command}`);
    expect(stdout.length).toBeGreaterThan(200);
    expect(stderr).toBe("");
  },
);

test.each([
  [
    "backup",
    [],
    2,
    /^give the one file that the copy is written to.*--help lists the commands and/,
  ],
  ["run", ["--port", "-1"], 2, /'--port=-XYZ'\. stillweight --help lists/],
  ["check", ["--data", join(folder, "none")], 1, /^there is no store at .*Choose another file/],
])("%s %j ends with %i and one sentence, with no stack", async (command, args, code, says) => {
  const refused = shell(process.execPath, [program, command, ...args]);
  await expect(refused).rejects.toMatchObject({ code, stdout: "" });
  const { stderr } = await refused.catch((error: unknown) => error as { stderr: string });
  expect(stderr).toMatch(says);
  expect(stderr).not.toMatch(/ at .*\.js:\d|\.\. /);
});
