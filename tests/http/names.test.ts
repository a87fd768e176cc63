// Names and reasons as people's keyboards send them: what reads the same comes to the service as the same.
import { afterAll, beforeEach, expect, test } from "vitest";
import { bodyIn } from "../../src/http/validate.ts";
import { fakeService, host, makeTestServer } from "./fake.ts";

const service = fakeService();
const api = await makeTestServer(service);
afterAll(() => api.close());
beforeEach(() => void (service.calls.length = 0));

const send = (url: string, payload: object, method: "POST" | "PATCH" = "POST") =>
  api.inject({ method, url, headers: { host }, payload });
const given = (): unknown => service.calls.at(-1)?.given;

test("a batch: dryer, trays and foods in one form each, with every part of what was typed", async () => {
  const answer = await send("/api/batches", {
    name: " First\u00A0 of\tJune ",
    dryer: "Ku\u0308che\u200B",
    trays: [
      { name: "e\u0301 ", food: "\uFEFFCre\u0300me" },
      { name: "👨‍👩‍👧‍👦 <b>&\"',;", portions: [{ food: "  דג  " }] },
    ],
  });
  expect(answer.statusCode).toBe(201);
  expect(JSON.stringify(given())).toContain(
    JSON.stringify({
      name: "First of June",
      dryer: "Küche",
      trays: [
        { name: "é", food: "Crème" },
        { name: "👨‍👩‍👧‍👦 <b>&\"',;", portions: [{ food: "דג" }] },
      ],
    }),
  );
});

test.each([
  ["nothing but spaces", "   "],
  ["nothing that is seen", "\u200B\u2060"],
  ["more than 80 letters", "x".repeat(81)],
  ["a letter with a hundred marks", `Z${"\u0301".repeat(100)}`],
])("a tray that is called %s is refused, and nothing is kept", async (_name, name) => {
  const answer = await send("/api/batches", { dryer: "d", trays: [{ name }] });
  expect(answer.statusCode).toBe(400);
  expect(answer.body).toMatch(/name/);
  expect(service.calls).toEqual([]);
});

test("a password and an address are kept to the letter", async () => {
  const mqtt = {
    url: "mqtt://broker",
    prefix: "Ku\u0308che",
    user: "e\u0301",
    password: " e\u0301  x ",
  };
  const answer = await send("/api/settings", { mqtt }, "PATCH");
  expect(answer.statusCode).toBe(200);
  expect(JSON.stringify(given())).toContain(JSON.stringify(mqtt));
});

/** Codes, addresses, secrets, files and words of ours. */
const toTheLetter = new Set([
  "ask",
  "bag",
  "code",
  "csv",
  "form",
  "page",
  "password",
  "prefix",
  "scale",
  "sender",
  "unit",
  "uri",
  "url",
  "user",
  "webhook",
  "with",
]);

type Shape = {
  readonly $ref?: string;
  readonly type?: string;
  readonly enum?: unknown;
  readonly format?: unknown;
  readonly pattern?: unknown;
  readonly properties?: Readonly<Record<string, Shape>>;
  readonly anyOf?: readonly Shape[];
  readonly items?: Shape;
};
type Described = {
  readonly paths: Readonly<
    Record<
      string,
      Readonly<
        Record<
          string,
          {
            readonly requestBody?: {
              readonly content: Readonly<Record<string, { readonly schema: Shape }>>;
            };
          }
        >
      >
    >
  >;
  readonly components: { readonly schemas: Readonly<Record<string, Shape>> };
};

test("every free text of a body is brought into one form, or listed here as kept to the letter", async () => {
  const { paths, components } = (
    await api.inject({ url: "/api/openapi.json", headers: { host } })
  ).json<Described>();
  const found = new Set<string>();
  const walk = (shape: Shape, name: string): void => {
    const { $ref, type, properties = {}, anyOf = [], items } = shape;
    const shared = components.schemas[$ref?.split("/").at(-1) ?? ""];
    if (shared !== undefined) walk(shared, name);
    const isFree =
      shape.enum === undefined && shape.format === undefined && shape.pattern === undefined;
    if (type === "string" && isFree) found.add(name);
    for (const [inner, one] of Object.entries(properties)) walk(one, inner);
    for (const one of anyOf) walk(one, name);
    if (items !== undefined) walk(items, name);
  };
  for (const operations of Object.values(paths))
    for (const { requestBody } of Object.values(operations))
      for (const { schema } of Object.values(requestBody?.content ?? {})) walk(schema, "");
  expect(found.size).toBeGreaterThan(15);
  const loose = " e\u0301 ";
  for (const name of found)
    expect([name, bodyIn(JSON.stringify({ [name]: loose }))]).toEqual([
      name,
      { [name]: toTheLetter.has(name) ? loose : "é" },
    ]);
});
