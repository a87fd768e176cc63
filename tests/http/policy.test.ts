/** The page and the documentation in a real browser, under the policy that they are served with. */
import { mkdtempSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import type { Browser } from "playwright-core";
import { build } from "vite";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { serve, type Serving } from "../../src/http/serve.ts";
import { openBrowser } from "../web/browser.ts";
import { fakeService, serverOptions } from "./fake.ts";

const root = join(import.meta.dirname, "..", "..");
const service = fakeService();
let browser: Browser;
let serving: Serving;

beforeAll(async () => {
  const webFolder = mkdtempSync(join(tmpdir(), "built-"));
  await build({
    root: join(root, "web"),
    configFile: join(root, "web", "vite.config.ts"),
    logLevel: "error",
    build: { outDir: webFolder },
  });
  serving = await serve(serverOptions(service, { port: 0, webFolder }));
  browser = await openBrowser();
});
afterAll(async () => {
  await browser.close();
  await serving.close();
});

/** Opens an address and tells what the browser complained of, once `ready` is there to be seen. */
async function complaints(address: string, ready: string): Promise<string[]> {
  const page = await browser.newPage();
  const heard: string[] = [];
  page.on("console", (line) => {
    if (line.type() === "error" || line.type() === "warning") heard.push(line.text());
  });
  page.on("pageerror", (error) => heard.push(String(error)));
  page.on("requestfailed", (request) => heard.push(`failed: ${request.url()}`));
  page.on("response", (answer) => {
    if (answer.status() >= 400) heard.push(`${answer.status()} ${answer.url()}`);
  });
  await page.goto(address);
  await page.getByText(ready).first().waitFor();
  await page.close();
  return heard;
}

describe("in a browser", () => {
  test("the page is live and breaks no rule of its policy", async () => {
    expect(await complaints(`${serving.address}/`, "512.4")).toEqual([]);
  });

  test("the documentation shows every group of routes and breaks no rule of its policy", async () => {
    expect(await complaints(`${serving.address}/api/docs`, "Start a batch")).toEqual([]);
  });

  test("a page of another port can neither read nor change nor follow", async () => {
    const other = await serve(serverOptions(fakeService(), { port: 0 }));
    const page = await browser.newPage();
    await page.goto(other.address);
    service.calls.length = 0;
    const tried = await page.evaluate(async (address) => {
      const outcome = (done: Promise<unknown>) =>
        done.then(
          () => "done",
          () => "refused",
        );
      const json = { "content-type": "application/json" };
      const socket = new Promise((resolve, reject) => {
        const live = new WebSocket(`${address.replace("http", "ws")}/api/live`);
        live.onopen = resolve;
        live.onerror = reject;
      });
      return {
        read: await outcome(fetch(`${address}/api/bench`)),
        change: await outcome(
          fetch(`${address}/api/batches/3/end`, { method: "POST", headers: json, body: "{}" }),
        ),
        // Without CORS the browser sends this and hides the answer: the service itself has to refuse it.
        form: await outcome(
          fetch(`${address}/api/batches/3/end`, { method: "POST", mode: "no-cors", body: "{}" }),
        ),
        socket: await outcome(socket),
      };
    }, serving.address);
    expect(tried).toMatchObject({ read: "refused", change: "refused", socket: "refused" });
    expect(service.calls).toEqual([]);
    await page.close();
    await other.close();
  });
});
