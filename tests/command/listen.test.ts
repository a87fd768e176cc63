import { mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, expect, test } from "vitest";
import { listen } from "../../src/command/listen.ts";
import { play } from "../rig/scale.ts";
import { Pty } from "../rig/pty.ts";

const folder = mkdtempSync(join(tmpdir(), "stillweight-listen-"));
afterAll(() => rmSync(folder, { recursive: true }));

function run(args: readonly string[], stop = new AbortController()) {
  const out: string[] = [];
  const err: string[] = [];
  const io = {
    out: (line: string) => void out.push(line),
    err: (line: string) => void err.push(line),
    env: {},
    signal: stop.signal,
  };
  return { out, err, stop, code: listen(args, io) };
}

/** A load put on after 3 s and taken off at 12 s, in 16 s. */
function capture(): string {
  const file = join(folder, "load.txt");
  const lines = play({
    form: "marked",
    unit: "g",
    step: 0.1,
    noiseGrams: 0.02,
    everyMs: 100,
    forMs: 16_000,
    seed: 3,
    actions: [
      { atMs: 0, grams: 0 },
      { atMs: 3000, grams: 412.6 },
      { atMs: 12_000, grams: 0 },
    ],
  });
  const header = '{"capture":1,"scale":"COM3","startedAt":"2026-01-31T08:15:00.000Z"}';
  const rows = lines.map(({ atMs, line }) => `${atMs} ${Buffer.from(line).toString("hex")}`);
  writeFileSync(file, [header, ...rows, ""].join("\n"));
  return `replay:${file}?speed=0`;
}

type Told = Record<string, unknown>;

test("--json tells bytes, form, readings and the settled load, one object a line", async () => {
  const { out, err, code } = run(["--json", "--scale", capture()]);
  expect(await code).toBe(0);
  const told = out.map((line) => JSON.parse(line) as Told);
  const of = (type: string): Told[] => told.filter((one) => one["type"] === type);
  expect(of("bytes")).toHaveLength(160);
  expect(of("link").some((one) => one["form"] === "marked" && one["unit"] === "g")).toBe(true);
  expect(of("reading")).toHaveLength(159);
  expect(
    of("reading").filter((one) => one["grams"] === 412.6 && one["settled"]).length,
  ).toBeGreaterThan(50);
  expect(of("settled")).toHaveLength(1);
  expect(Math.abs(Number(of("settled")[0]?.["grams"]) - 412.6)).toBeLessThan(0.1);
  expect(of("lifted")).toHaveLength(1);
  expect(told.every((one) => !Number.isNaN(Date.parse(String(one["at"]))))).toBe(true);
  expect(err).toEqual([]);
});

test("in words, bytes that are no text can be seen", async () => {
  const { out, code } = run(["--scale", capture()]);
  expect(await code).toBe(0);
  expect(out).toContain("bytes    ST,GS,+      0.0 g\\r\\n");
  expect(out.some((line) => line.startsWith("form     marked: "))).toBe(true);
  expect(out.some((line) => /^settled {2}412\.[567] g$/.test(line))).toBe(true);
  expect(out.some((line) => line.includes("412.6 g  settled  (scale: still, gross)"))).toBe(true);
});

test("what it keeps can be played again; a file that exists is refused", async () => {
  const line = await Pty.start();
  const kept = join(folder, "kept.txt");
  const live = run(["--json", "--scale", line.path, "--keep", kept]);
  try {
    await expect.poll(() => live.out.some((one) => one.includes('"link":"up"'))).toBe(true);
    line.every(20, ["   250.3 g\r\n"]);
    await expect.poll(() => live.out.length).toBeGreaterThan(40);
  } finally {
    live.stop.abort();
    expect(await live.code).toBe(130);
    await line.close();
  }
  const again = run(["--json", "--scale", `replay:${kept}?speed=0`]);
  expect(await again.code).toBe(0);
  const masses = (out: readonly string[]): unknown[] =>
    out
      .map((one) => JSON.parse(one) as Told)
      .filter((one) => one["type"] === "reading")
      .map((one) => one["grams"]);
  expect(masses(live.out).length).toBeGreaterThan(5);
  expect(masses(again.out)).toEqual(masses(live.out));

  const before = readFileSync(kept, "utf8");
  const refused = run(["--scale", line.path, "--keep", kept]);
  expect(await refused.code).toBe(1);
  expect(refused.err.join()).toContain(`${kept}: it is there already; name a new file`);
  expect(readFileSync(kept, "utf8")).toBe(before);
});

test("a question shows the options that answer it", async () => {
  const file = join(folder, "bare.txt");
  const header = '{"capture":1,"scale":"COM3","startedAt":"2026-01-31T08:15:00.000Z"}';
  const row = Buffer.from("  250.3\r\n").toString("hex");
  writeFileSync(
    file,
    [header, ...Array.from({ length: 12 }, (_, at) => `${at * 100} ${row}`)].join("\n"),
  );
  const { out, code } = run(["--scale", `replay:${file}?speed=0`]);
  expect(await code).toBe(0);
  const text = out.join("\n");
  expect(text).toContain("Which unit does its display show?");
  expect(text).toContain('?form=bare&unit=oz  makes "250.3" 7096 g');
});

test.each([
  [["--sclae", "COM3"], "--sclae"],
  [["COM3"], "COM3"],
  [["--scale", "seriel:COM3"], "did you mean serial:?"],
  [["--scale", "COM3?buad=9600"], 'the nearest is "baud"'],
])("wrong usage %j ends with 2 and names the fault", async (args, fault) => {
  const { out, err, code } = run(args);
  expect(await code).toBe(2);
  expect(err.join("\n")).toContain(fault);
  expect(out).toEqual([]);
});

test("--help is no fault", async () => {
  const { out, code } = run(["--help"]);
  expect(await code).toBe(0);
  expect(out.join("\n")).toContain("usage: stillweight listen");
});

test("the practice scale can be listened to: its pan is empty", async () => {
  const { out, stop, code } = run(["--json", "--scale", "practice:"]);
  await expect.poll(() => out.some((line) => line.includes('"state":"weight"'))).toBe(true);
  stop.abort();
  expect(await code).toBe(130);
});

/** A settings file with an own form, and a capture of 10 of its lines of which the last is another scale's. */
function ownFormAndCapture(): { config: string; scale: string } {
  const config = join(folder, "settings.toml");
  writeFileSync(
    config,
    [
      "[[form]]",
      'name = "bakery"',
      "line = [",
      '  { part = "literal", text = "W:" },',
      '  { part = "padding" },',
      '  { part = "digits", point = ",", decimals = 1 },',
      '  { part = "literal", text = " " },',
      '  { part = "unit", g = ["GRM"] },',
      "]",
    ].join("\n"),
  );
  const file = join(folder, "bakery.txt");
  const lines = [...Array<string>(9).fill("W:  412,6 GRM\r\n"), "W:  412,6 pcs\r\n"];
  const rows = lines.map((line, at) => `${at * 100} ${Buffer.from(line).toString("hex")}`);
  const header = '{"capture":1,"scale":"COM3","startedAt":"2026-01-31T08:15:00.000Z"}';
  writeFileSync(file, [header, "0 up", ...rows, ""].join("\n"));
  return { config, scale: `replay:${file}?speed=0` };
}

test("--form shows of each line of a capture which parts matched, and what was left over", async () => {
  const { config, scale } = ownFormAndCapture();
  const { out, code } = run(["--config", config, "--form", "bakery", "--scale", scale]);
  expect(await code).toBe(0);
  expect(out).toContain(
    'matched  literal "W:"  padding "  "  digits "412,6"  literal " "  unit "GRM"',
  );
  expect(out).toContain("says     412.6 g  (scale: says nothing, unknown)");
  expect(out).toContain("stopped  at the part unit");
  expect(out).toContain('left     "pcs"');
  expect(out.some((line) => line.startsWith("form     own:bakery: own form bakery, in g"))).toBe(
    true,
  );
});

test("--form shows a frame part by part, and one with a wrong check byte", async () => {
  const config = join(folder, "frames.toml");
  writeFileSync(
    config,
    [
      "[[form]]",
      'name = "cellar"',
      "length = 12",
      'frame = { start = "\\u0002", end = "\\r" }',
      'check = { kind = "xor", from = 1 }',
      'line = [{ part = "padding" }, { part = "digits" }, { part = "unit" }]',
    ].join("\n"),
  );
  const text = "   412.6g";
  const check = Array.from(text).reduce((xor, letter) => xor ^ letter.charCodeAt(0), 0);
  const whole = `\x02${text}${String.fromCharCode(check)}\r`;
  const wrong = whole.replace("412", "413");
  const file = join(folder, "frames.txt");
  const rows = [...Array<string>(9).fill(whole), wrong, whole].map(
    (frame, at) => `${at * 100} ${Buffer.from(frame, "latin1").toString("hex")}`,
  );
  const header = '{"capture":1,"scale":"COM3","startedAt":"2026-01-31T08:15:00.000Z"}';
  writeFileSync(file, [header, "0 up", ...rows, ""].join("\n"));
  const scale = `replay:${file}?speed=0`;
  const { out, code } = run(["--config", config, "--form", "cellar", "--scale", scale]);
  expect(await code).toBe(0);
  expect(out).toContain("says     412.6 g  (scale: says nothing, unknown)");
  expect(out).toContain("check    the check byte is not the one that was declared");
  expect(out.filter((line) => line.includes("413.6 g"))).toEqual([]);
  expect(out.some((line) => line.startsWith("form     own:cellar"))).toBe(true);
});

test("--form with --json tells the parts as data; a form that is not known names the nearest", async () => {
  const { config, scale } = ownFormAndCapture();
  const args = ["--config", config, "--json", "--scale", scale];
  const { out, code } = run([...args, "--form", "own:bakery"]);
  expect(await code).toBe(0);
  const tried = out
    .map((line) => JSON.parse(line) as Told)
    .filter((one) => one["type"] === "tried");
  expect(tried.at(-1)).toMatchObject({ form: "own:bakery", stoppedAt: "unit", leftOver: "pcs" });
  const wrong = run([...args, "--form", "own:bakry"]);
  expect(await wrong.code).toBe(2);
  expect(wrong.err.join()).toContain('the nearest is "own:bakery"');
});

test("a settings file with a wrong form is told with its line, and nothing is opened", async () => {
  const { config, scale } = ownFormAndCapture();
  writeFileSync(config, readFileSync(config, "utf8").replace('"digits"', '"digts"'));
  const { out, err, code } = run(["--config", config, "--scale", scale]);
  expect(await code).toBe(2);
  expect(out).toEqual([]);
  expect(err.join()).toContain("settings.toml, line 6: form 1, part 3 of the line");
});

test.each([
  ["none.txt", "no such file"],
  [".", "EISDIR"],
  ["text.txt", "line 1 is not the header of a capture"],
])("a capture %s that cannot be played ends it with 1 and says why", async (name, why) => {
  writeFileSync(join(folder, "text.txt"), "no capture\n");
  const { code, err } = run(["--scale", `replay:${join(folder, name)}`]);
  expect(await code).toBe(1);
  expect(err.join()).toContain("the capture cannot be played");
  expect(err.join()).toContain(why);
});

test.each([
  ["--keep", "none/kept.txt", 1, "there is no such file or folder"],
  ["--keep", "", 1, "it is there already; name a new file"],
  ["--config", "none.toml", 2, "there is no such file or folder"],
  ["--config", "", 2, "it is a folder; name a file"],
  ["--config", "bytes.toml", 2, "is no text in UTF-8"],
])("%s %s is refused with its path (%i)", async (option, name, code, why) => {
  writeFileSync(join(folder, "bytes.toml"), Buffer.from([0x66, 0xff, 0xfe, 0x00, 0x0a]));
  const path = join(folder, name);
  const refused = run(["--scale", "practice:", option, path]);
  expect(await refused.code).toBe(code);
  expect(refused.err.join()).toContain(path);
  expect(refused.err.join()).toContain(why);
  expect(refused.out).toEqual([]);
});
