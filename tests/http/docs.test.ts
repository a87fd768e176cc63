import { afterAll, describe, expect, test } from "vitest";
import { shapes } from "../../src/http/docs.ts";
import { fakeService, host, makeTestServer } from "./fake.ts";

type Operation = {
  operationId?: string;
  summary?: string;
  tags?: string[];
  parameters?: { name: string; in: string }[];
  responses: Record<string, { description: string; content?: Record<string, unknown> }>;
};
type OpenApi = {
  openapi: string;
  info: { title: string; license?: unknown };
  servers?: unknown;
  paths: Record<string, Record<string, Operation>>;
  components: { schemas: Record<string, unknown> };
};

const api = await makeTestServer(fakeService());
afterAll(() => api.close());
const written = (await api.inject({ url: "/api/openapi.json", headers: { host } })).json<OpenApi>();

/** Every reference anywhere below. */
function references(node: unknown): string[] {
  if (typeof node !== "object" || node === null) return [];
  return Object.entries(node).flatMap(([key, part]) =>
    key === "$ref" ? [String(part)] : references(part),
  );
}

describe("the description of the service", () => {
  test("is OpenAPI 3.1 with the parts that its specification (section 4.7.1) requires", () => {
    expect(written.openapi).toMatch(/^3\.1\.\d+$/);
    expect(written.info.title).toBe("Stillweight");
    expect(written.info).toHaveProperty("version");
    for (const [path, operations] of Object.entries(written.paths)) {
      expect(path).toMatch(/^\//);
      for (const [method, operation] of Object.entries(operations)) {
        expect(["get", "post", "patch", "delete"]).toContain(method);
        for (const answer of Object.values(operation.responses))
          expect(answer.description).not.toBe("");
        const inPath = [...path.matchAll(/\{(\w+)\}/g)].map((found) => String(found[1]));
        const named = (operation.parameters ?? []).filter((one) => one.in === "path");
        expect(named.map((one) => one.name).toSorted()).toEqual(inPath.toSorted());
      }
    }
  });

  test("has every route that answers, and no other", () => {
    const described = Object.entries(written.paths)
      .flatMap(([path, operations]) =>
        Object.keys(operations).map((method) => `${method.toUpperCase()} ${path}`),
      )
      .toSorted();
    expect(described).toEqual(
      [
        "GET /api/health",
        "GET /metrics",
        "GET /api/bench",
        "GET /api/batches",
        "POST /api/batches",
        "GET /api/batches/{batch}",
        "GET /api/kitchen",
        "POST /api/kitchen/dryers",
        "POST /api/kitchen/foods",
        "PATCH /api/kitchen/foods/{food}",
        "POST /api/kitchen/dish",
        "POST /api/kitchen/weights",
        "PATCH /api/kitchen/weights/{weight}",
        "POST /api/scales/{scale}/check",
        "POST /api/scales/{scale}/compare",
        "POST /api/scales/{scale}/asking",
        "DELETE /api/kitchen/comparisons/{comparison}",
        "POST /api/batches/look",
        "GET /api/batches/{batch}/load",
        "GET /api/batches/{batch}/yields",
        "GET /api/batches/{batch}/curves",
        "GET /api/batches/{batch}/history",
        "GET /api/batches/{batch}/weighings.csv",
        "GET /api/batches/{batch}/export.json",
        "POST /api/batches/{batch}/trays",
        "PATCH /api/batches/{batch}/trays/{tray}",
        "POST /api/batches/{batch}/clock",
        "PATCH /api/batches/{batch}/clock/{moment}",
        "POST /api/batches/{batch}/interruptions",
        "PATCH /api/batches/{batch}/interruptions/{interruption}",
        "POST /api/batches/{batch}/end",
        "POST /api/gaps/{gap}",
        "POST /api/trays/{tray}/core",
        "POST /api/scales/{scale}/task",
        "POST /api/scales/{scale}/answer",
        "POST /api/scales/{scale}/tared",
        "POST /api/weighings",
        "PATCH /api/weighings/{weighing}",
        "POST /api/weighings/{weighing}/swap",
        "POST /api/alerts/{alert}/acknowledge",
        "POST /api/alerts/try",
        "GET /api/settings",
        "PATCH /api/settings",
        "GET /api/ports",
        "POST /api/scales",
        "DELETE /api/scales/{scale}",
        "POST /api/scales/{scale}/form",
        "POST /api/scales/{scale}/bytes",
        "POST /api/scales/{scale}/send",
        "GET /api/foods",
        "GET /api/batches/{batch}/photos",
        "POST /api/batches/{batch}/photos",
        "GET /api/photos/{photo}",
        "DELETE /api/photos/{photo}",
        "POST /api/imports/preview",
        "POST /api/imports",
        "GET /api/lessons",
        "PATCH /api/lessons/{lesson}",
        "GET /api/bags",
        "GET /api/bags/{bag}",
        "PATCH /api/bags/{bag}",
        "GET /api/bags/{bag}/label.pdf",
        "GET /api/bags/{bag}/code.svg",
        "GET /api/labels",
        "GET /api/labels.pdf",
        "POST /api/bags/{bag}/back",
        "POST /api/bags/{bag}/gain",
        "POST /api/bags/{bag}/weighings",
        "PATCH /api/bags/{bag}/weighings/{weighing}",
        "GET /api/batches/{batch}/unpacked",
        "POST /api/batches/{batch}/bags",
        "POST /api/batches/{batch}/bags/preview",
        "POST /api/scales/{scale}/bag",
        "GET /api/stock",
        "GET /api/lots",
        "POST /api/practice",
        "GET /api/record.jsonl",
        "GET /api/pairing",
        "POST /api/pairing",
        "POST /api/pairing/code",
        "GET /api/devices",
        "DELETE /api/devices/{device}",
        "GET /problems/{code}",
        "GET /api/live",
      ].toSorted(),
    );
  });

  test("says of every operation what it is for, and how it may be refused", () => {
    for (const operation of Object.values(written.paths).flatMap((path) => Object.values(path))) {
      expect(operation.summary).toMatch(/^[A-Z].{10,}/);
      expect(operation.tags).toHaveLength(1);
      expect(operation.responses["default"]?.content).toEqual({
        "application/problem+json": { schema: { $ref: "#/components/schemas/Problem" } },
      });
    }
  });

  // Programs that make a client of a description name its calls by `operationId`, and some ask for `servers`.
  test("gives every operation a name of its own, and says where it is and under what licence", () => {
    const names = Object.values(written.paths)
      .flatMap((path) => Object.values(path))
      .map(({ operationId }) => operationId ?? "");
    expect(new Set(names).size).toBe(names.length);
    for (const name of names) expect(name).toMatch(/^(get|post|patch|delete)[A-Z][A-Za-z]+$/);
    expect(written.paths["/api/batches/{batch}/weighings.csv"]?.["get"]?.operationId).toBe(
      "getBatchesByBatchWeighingsCsv",
    );
    // Relative to the description itself (OpenAPI 3.1, section 4.8.5).
    expect(written.servers).toEqual([{ url: "/" }]);
    expect(written.info.license).toEqual({ name: "MIT", identifier: "MIT" });
  });

  test("names every shape of the wire, and leads nowhere that is not there", () => {
    expect(Object.keys(written.components.schemas).toSorted()).toEqual(
      Object.keys(shapes).toSorted(),
    );
    for (const reference of references(written))
      expect(written.components.schemas).toHaveProperty([reference.split("/").at(-1) ?? ""]);
  });

  test("every shape is used by a route or by a shape that is", () => {
    const reached = new Set<string>();
    const reach = (node: unknown): void => {
      for (const name of references(node).map((one) => one.split("/").at(-1) ?? "")) {
        if (reached.has(name)) continue;
        reached.add(name);
        reach(written.components.schemas[name]);
      }
    };
    reach(written.paths);
    const told = JSON.stringify(written.paths["/api/live"]);
    for (const name of Object.keys(shapes).filter((one) => one.endsWith("Message"))) {
      if (name !== "ProblemMessage") expect(told).toContain(name);
      reached.add(name);
      reach(written.components.schemas[name]);
    }
    expect(Object.keys(shapes).filter((name) => !reached.has(name))).toEqual([]);
  });
});

describe("the page that shows it", () => {
  test("has a policy of its own, which still allows no foreign and no inline script", async () => {
    const { statusCode, headers } = await api.inject({ url: "/api/docs", headers: { host } });
    expect(statusCode).toBe(200);
    const policy = String(headers["content-security-policy"]);
    expect(policy).toContain("script-src 'self';");
    expect(policy).not.toMatch(/https?:|upgrade-insecure|script-src[^;]*unsafe/);
  });
  test.each([
    "/api/docs/static/swagger-ui-bundle.js",
    "/api/docs/static/swagger-initializer.js",
    "/api/docs/json",
  ])("%s is there", async (url) => {
    expect((await api.inject({ url, headers: { host } })).statusCode).toBe(200);
  });
});
