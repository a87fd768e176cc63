// A device of the network at the running service: let in by the code on the terminal, and no secret left lying about.
import { execFileSync, spawnSync } from "node:child_process";
import { readdirSync, readFileSync, statSync } from "node:fs";
import { join } from "node:path";
import { afterAll, beforeAll, expect, test } from "vitest";
import type { Paired } from "../../src/wire/device.ts";
import { openWholeBrowser } from "../web/browser.ts";
import { dataFolder, eventually, Service } from "./service.ts";

const program = join(import.meta.dirname, "..", "..", "dist", "main.js");
const data = dataFolder();
const copies = dataFolder();
const start = () =>
  Service.start({ data: data.path, scale: "tcp://127.0.0.1:9", more: ["--host", "0.0.0.0"] });
let service: Service;
const secrets: string[] = [];

beforeAll(async () => {
  service = await start();
});
afterAll(async () => {
  await service.stop();
  data.remove();
  copies.remove();
});

const command = (...args: string[]): string =>
  execFileSync(process.execPath, [program, ...args, "--data", data.path], { encoding: "utf8" });
const codeIn = (text: string): string => /pairing code (\d{4}-\d{4})/.exec(text)?.[1] ?? "";

async function pairWith(code: string, name: string): Promise<Paired> {
  const answer = await service.ask("POST", "/api/pairing", { code, name, for: "program" });
  expect(answer.status).toBe(200);
  const paired = answer.body as Paired;
  secrets.push(paired.token ?? "none was given");
  return paired;
}
const statusWith = async (token: string | null): Promise<number> =>
  (await fetch(`${service.url}/api/bench`, { headers: { authorization: `Bearer ${token}` } }))
    .status;

test("the code printed at the start lets the first device in; a second start prints another", async () => {
  await eventually(
    "a code",
    async () => codeIn(service.said()),
    (code) => code !== "",
  );
  const code = codeIn(service.said());
  expect((await service.ask("GET", "/api/bench")).status).toBe(401);
  const { token, device } = await pairWith(code, "Phone");
  expect(device).toMatchObject({ name: "Phone", access: "full" });
  expect(await statusWith(token)).toBe(200);
  expect((await service.ask("POST", "/api/pairing", { code, name: "Again" })).status).toBe(403);
  await service.kill();
  service = await start();
  expect(await statusWith(token)).toBe(200);
  await eventually(
    "a code",
    async () => codeIn(service.said()),
    (next) => next !== "",
  );
  expect(codeIn(service.said())).not.toBe(code);
});

test("stillweight pair prints a code beside the running service", async () => {
  const { token, device } = await pairWith(codeIn(command("pair", "--read-only")), "Wall");
  expect(device.access).toBe("read-only");
  expect(await statusWith(token)).toBe(200);
});

test("a browser is let in by the code, stays in over a reload, and is shut out at once when it is taken back", async () => {
  const browser = await openWholeBrowser();
  try {
    const page = await browser.newPage({ locale: "en-GB" });
    const heard: string[] = [];
    page.on("pageerror", (error) => heard.push(String(error)));
    await page.goto(service.url);
    await page.getByLabel("Pairing code").fill(codeIn(command("pair")));
    await page.getByLabel("Name of this device").fill("Browser");
    await page.getByRole("button", { name: "Pair", exact: true }).click();
    await page.getByRole("navigation").waitFor();
    await page.reload();
    await page.getByRole("navigation").waitFor();
    expect(await page.evaluate(() => document.cookie)).toBe("");
    const { token } = await pairWith(codeIn(command("pair")), "Program");
    const ask = (path: string, method: string) =>
      fetch(service.url + path, { method, headers: { authorization: `Bearer ${token}` } });
    const list = (await (await ask("/api/devices", "GET")).json()) as {
      id: number;
      name: string;
    }[];
    await ask(`/api/devices/${list.find(({ name }) => name === "Browser")?.id}`, "DELETE");
    await page.getByRole("heading", { name: "Pair this device" }).waitFor();
    expect(heard).toEqual([]);
  } finally {
    await browser.close();
  }
});

test("a folder that is not there is refused with a sentence", () => {
  const asked = [program, "pair", "--data", join(data.path, "nowhere")];
  const { status, stderr } = spawnSync(process.execPath, asked, { encoding: "utf8" });
  expect(status).toBe(1);
  expect(stderr).toContain("there is no folder");
});

test("no token is in a log, in a file's name, in the data folder or in a backup", () => {
  expect(secrets).toHaveLength(3);
  command("backup", join(copies.path, "copy.db"));
  const files = [data.path, copies.path].flatMap((folder) =>
    readdirSync(folder, { recursive: true, encoding: "utf8" })
      .map((name) => join(folder, name))
      .filter((file) => statSync(file).isFile()),
  );
  expect(files.length).toBeGreaterThan(3);
  const devices = readFileSync(join(data.path, "devices.json"), "utf8");
  const digests = [...devices.matchAll(/"digest": "([0-9a-f]{64})"/g)].map((found) =>
    String(found[1]),
  );
  expect(digests).toHaveLength(3);
  const copy = readFileSync(join(copies.path, "copy.db"), "latin1");
  for (const digest of digests) expect(copy).not.toContain(digest);
  for (const secret of secrets) {
    expect(service.said()).not.toContain(secret);
    for (const file of files) {
      expect(file).not.toContain(secret);
      expect(readFileSync(file, "latin1"), file).not.toContain(secret);
    }
  }
});
