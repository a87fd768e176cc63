// The record as somebody else checks it: with the scripts of the README, and nothing of this program.
import { execFileSync, spawnSync } from "node:child_process";
import { readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { afterAll, beforeAll, expect, test } from "vitest";
import type { Batch } from "../../src/wire/batch.ts";
import { dataFolder, Service } from "./service.ts";

const root = join(import.meta.dirname, "..", "..");
const readme = readFileSync(join(root, "README.md"), "utf8");
const script = (language: string): string =>
  new RegExp(`\`\`\`${language}\n([^\`]*record\\.jsonl[^\`]*)\`\`\``).exec(readme)?.[1] ?? "";

const data = dataFolder();
const work = dataFolder();
const exported = join(work.path, "record.jsonl");
let service: Service;

beforeAll(async () => {
  service = await Service.start({ data: data.path, scale: "tcp://127.0.0.1:9" });
  await service.post<Batch>("/api/batches", {
    dryer: "Cellar",
    trays: [{ name: "A", tareGrams: 400 }],
  });
  for (let value = 900; value < 1150; value++)
    await service.post("/api/weighings", { tray: 1, kind: "fresh", value });
  const edit = { grossGrams: 901.5, reason: 'read "wrongly": 901,5 – ü\n\\ 😀' };
  await service.ask("PATCH", "/api/weighings/250", edit);
  await service.post("/api/batches/1/clock", { is: "in" });
  const answer = await fetch(`${service.url}/api/record.jsonl`);
  writeFileSync(exported, await answer.text());
  writeFileSync(join(work.path, "check-record.py"), script("python"));
});
afterAll(async () => {
  await service.stop();
  data.remove();
  work.remove();
});

const heads = (): Record<string, string | undefined> => {
  const said = execFileSync(
    process.execPath,
    [join(root, "dist", "main.js"), "check", "--data", data.path],
    { encoding: "utf8" },
  );
  return Object.fromEntries(
    [...said.matchAll(/^last (weighing|moment) ([0-9a-f]{64})$/gm)].map(([, noun = "", head]) => [
      noun,
      head,
    ]),
  );
};
const python = (file: string) =>
  spawnSync("python3", [join(work.path, "check-record.py"), file], { encoding: "utf8" });

test("the README's Python script comes to the heads that check prints", () => {
  expect(script("python")).toContain("hashlib");
  const { status, stdout } = python(exported);
  const { weighing, moment } = heads();
  expect(weighing).toMatch(/^[0-9a-f]{64}$/);
  expect(stdout.split("\n").filter(Boolean)).toEqual([`weighing ${weighing}`, `moment ${moment}`]);
  expect(status).toBe(0);
});

const hasJq = spawnSync("jq", ["--version"]).status === 0;
if (!hasJq) console.warn("not tried: the README's lines for jq (it is not installed)");

test.runIf(hasJq)("the README's lines for jq and sha256sum come to the same", () => {
  expect(script("sh")).toContain("sha256sum");
  const { stdout } = spawnSync("sh", ["-c", script("sh")], { cwd: work.path, encoding: "utf8" });
  expect(stdout.trim()).toBe(heads()["weighing"]);
});

test.each([
  ["a figure changed", (text: string) => text.replace("950000", "950001")],
  ["a row taken out", (text: string) => text.split("\n").toSpliced(40, 1).join("\n")],
  [
    "two rows exchanged",
    (text: string) => {
      const lines = text.split("\n");
      return [...lines.slice(0, 5), lines[6], lines[5], ...lines.slice(7)].join("\n");
    },
  ],
])("%s is found", (_name, change) => {
  const changed = join(work.path, "changed.jsonl");
  const text = readFileSync(exported, "utf8");
  writeFileSync(changed, change(text));
  expect(readFileSync(changed, "utf8")).not.toBe(text);
  const { status, stderr } = python(changed);
  expect(status).toBe(1);
  expect(stderr).toContain("not as it was kept");
});

test("an exported CSV and a backup name the same head", async () => {
  const { weighing } = heads();
  const csv = String((await service.ask("GET", "/api/batches/1/weighings.csv")).body);
  expect(csv.split("\r\n")[1]?.endsWith(`,${weighing}`)).toBe(true);
  const said = execFileSync(
    process.execPath,
    [join(root, "dist", "main.js"), "backup", join(work.path, "copy.db"), "--data", data.path],
    { encoding: "utf8" },
  );
  expect(said).toContain(`last weighing ${weighing}`);
});
