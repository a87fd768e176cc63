import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, describe, expect, test } from "vitest";
import { faults } from "../../src/faults.ts";
import { isPageRoute } from "../../src/http/page.ts";
import { fakeService, host, makeTestServer } from "./fake.ts";

const api = await makeTestServer(fakeService());
afterAll(() => api.close());
const get = (url: string) => api.inject({ url, headers: { host } });

describe("the page's files", () => {
  test("the page is asked for anew each time, and allows no script or style but its own files", async () => {
    const { statusCode, headers, body } = await get("/");
    expect(statusCode).toBe(200);
    expect(body).toContain("The page");
    expect(headers["cache-control"]).toBe("no-cache");
    const policy = String(headers["content-security-policy"]);
    expect(policy.split(";")).toEqual([
      "default-src 'self'",
      "object-src 'none'",
      "base-uri 'none'",
      "form-action 'self'",
      "frame-ancestors 'none'",
    ]);
    expect(headers["x-content-type-options"]).toBe("nosniff");
    expect(headers["x-frame-options"]).toBe("DENY");
    expect(headers["strict-transport-security"]).toBeUndefined();
  });

  test("files named by their content are kept for a year", async () => {
    const { statusCode, headers } = await get("/assets/main-abc123.js");
    expect(statusCode).toBe(200);
    expect(headers["cache-control"]).toBe("public, max-age=31536000, immutable");
    expect(headers["content-type"]).toContain("javascript");
  });

  test.each(["/batch/3", "/weigh", "/index.html", "/record?year=2026"])(
    "%s opens the page",
    async (url) => {
      const { statusCode, headers, body } = await get(url);
      expect(statusCode).toBe(200);
      expect(body).toContain("The page");
      expect(headers["cache-control"]).toBe("no-cache");
    },
  );

  test.each([
    "/assets/gone.js",
    "/favicon.ico",
    "/api",
    "/api/",
    "/api/x",
    "/metrics/x",
    "/problems/",
  ])("%s is not the page", async (url) => {
    expect((await get(url)).statusCode).toBe(404);
  });

  test.each([
    "/../secret.txt",
    "/..%2fsecret.txt",
    "/%2e%2e/secret.txt",
    "/%2e%2e%2fsecret.txt",
    "/assets/../../secret.txt",
    "/assets/..%2f..%2fsecret.txt",
    "/..%5csecret.txt",
    "/....//secret.txt",
    "/%252e%252e/secret.txt",
    "//secret.txt",
    "/secret.txt%00.js",
    "/.hidden",
    "/assets/%2e%2e/.hidden",
    "/%c0%ae%c0%ae/secret.txt",
    "/file:///etc/passwd",
    "/etc/passwd",
  ])("%s reaches no file outside", async (url) => {
    const { statusCode, body } = await get(url);
    expect(body).not.toContain("secret\n");
    expect(body).not.toMatch(/^secret$/);
    expect(body).not.toContain("root:");
    expect(statusCode === 200 ? body.includes("The page") : statusCode >= 400).toBe(true);
  });

  test("a page that was never built is a plain 404, and the service works", async () => {
    const bare = await makeTestServer(fakeService(), {
      webFolder: join(tmpdir(), "no-such-folder"),
    });
    expect((await bare.inject({ url: "/", headers: { host } })).statusCode).toBe(404);
    expect((await bare.inject({ url: "/api/health", headers: { host } })).statusCode).toBe(200);
    await bare.close();
  });

  test("which addresses are the page's own", () => {
    expect(isPageRoute("/batch/3?x=.")).toBe(true);
    expect(isPageRoute("/a.js")).toBe(false);
    expect(isPageRoute("/apiary")).toBe(true);
  });
});

describe("the page of each problem", () => {
  test.each(Object.entries(faults))("%s", async (code, { title, hint }) => {
    const { statusCode, headers, body } = await get(`/problems/${code}`);
    expect(statusCode).toBe(200);
    expect(headers["content-type"]).toBe("text/html; charset=utf-8");
    const shown = body.replaceAll("&lt;", "<").replaceAll("&gt;", ">").replaceAll("&amp;", "&");
    expect(shown).toContain(`<h1>${title}</h1>`);
    expect(shown).toContain(hint);
    expect(body).not.toMatch(/<script|<style|style=/);
  });

  test.each(["no.such", "__proto__", "constructor", "%3Cscript%3E"])(
    "%s has none",
    async (code) => {
      expect((await get(`/problems/${code}`)).statusCode).toBe(404);
    },
  );
});
