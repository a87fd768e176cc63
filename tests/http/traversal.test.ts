import { afterAll, expect, test } from "vitest";
import { fakeService, host, makeTestServer } from "./fake.ts";

const service = fakeService();
const api = await makeTestServer(service);
afterAll(() => api.close());

type Described = { paths: Record<string, Record<string, unknown>> };
const { paths } = (
  await api.inject({ url: "/api/openapi.json", headers: { host } })
).json<Described>();
const routes = Object.entries(paths).flatMap(([path, methods]) =>
  path.includes("{") ? Object.keys(methods).map((method) => [method, path] as const) : [],
);

/** Ways of writing "up, and over there", as they have been met in the wild (common practice, no source). */
const ways = [
  "../../../../etc/passwd",
  "..%2f..%2f..%2fetc%2fpasswd",
  "%2e%2e%2f%2e%2e%2fetc%2fpasswd",
  "..%252f..%252fetc%252fpasswd",
  "..%5c..%5cwindows%5cwin.ini",
  "..%c0%af..%c0%afetc/passwd",
  "/etc/passwd",
  "file:%2f%2f%2fetc%2fpasswd",
  "secret.txt",
  "..%2fsecret.txt",
  "1%00.txt",
  "1%2f..%2f..%2fsecret.txt",
  "%2e%2e",
] as const;

test("there are routes with places in their address to try", () => {
  expect(routes.length).toBeGreaterThan(20);
});

test.each(routes)(
  "%s %s leads nowhere outside, however its place is written",
  async (method, path) => {
    for (const way of ways) {
      service.calls.length = 0;
      const answer = await api.inject({
        method: method.toUpperCase() as "GET",
        url: path.replaceAll(/\{\w+\}/g, way),
        headers: { host, "content-type": "application/json" },
        payload: "{}",
      });
      expect(answer.body, way).not.toMatch(/root:|\[fonts\]|^secret/);
      expect(answer.statusCode, way).toBeLessThan(500);
      // A scale is known by a text: it is looked up among those that are there, and never opened by it.
      if (!path.includes("{scale}")) expect(service.calls, way).toEqual([]);
    }
  },
);
