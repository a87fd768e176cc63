/** /api/openapi.json and the page that shows it, /api/docs. */
import swagger from "@fastify/swagger";
import swaggerUi from "@fastify/swagger-ui";
import type { TSchema } from "typebox";
import * as bag from "../wire/bag.ts";
import * as batch from "../wire/batch.ts";
import * as bench from "../wire/bench.ts";
import * as device from "../wire/device.ts";
import * as health from "../wire/health.ts";
import * as messages from "../wire/messages.ts";
import * as photo from "../wire/photo.ts";
import * as requests from "../wire/requests.ts";
import { Span } from "../wire/words.ts";
import type { Api } from "./api.ts";
import { problemType } from "./problem.ts";

/** Every shape of the wire, under its own name. */
export const shapes: Readonly<Record<string, TSchema>> = Object.fromEntries(
  Object.entries<TSchema>({
    Span,
    ...bag,
    ...batch,
    ...bench,
    ...device,
    ...health,
    ...messages,
    ...photo,
    ...requests,
  }),
);

const componentsPath = "#/components/schemas/";

/** Puts the names of shapes where their contents stand, so that a reader meets each shape once. */
function withNames(node: unknown, nameOf: ReadonlyMap<string, string>, isRoot = false): unknown {
  if (typeof node !== "object" || node === null) return node;
  if (Array.isArray(node)) return node.map((part) => withNames(part, nameOf));
  const name = isRoot ? undefined : nameOf.get(JSON.stringify(node));
  if (name !== undefined) return { $ref: componentsPath + name };
  return Object.fromEntries(
    Object.entries(node).map(([key, part]) => [key, withNames(part, nameOf)]),
  );
}

type Operation = { operationId?: string; responses?: Record<string, { description: string }> };
type OpenApi = {
  servers?: readonly { url: string }[];
  paths?: Record<string, Record<string, Operation>>;
  components?: { schemas?: Record<string, unknown> };
};

/** Each operation may be refused, and each refusal has the same form. */
const refusal = {
  description: "Refused; `type` leads to a page that says what to do",
  content: { [problemType]: { schema: { $ref: `${componentsPath}Problem` } } },
};

/** What a client that is made of the description calls it: getBatchesByBatchHistory. */
const nameOfCall = (method: string, path: string): string =>
  path
    .replace(/^\/api/, "")
    .replaceAll("{", "by/")
    .split(/\W+/)
    .reduce((name, word) => name + word.slice(0, 1).toUpperCase() + word.slice(1), method);

function finished(written: OpenApi): OpenApi {
  const found = written.components?.schemas ?? {};
  const nameOf = new Map(Object.entries(found).map(([name, one]) => [JSON.stringify(one), name]));
  const schemas = Object.fromEntries(
    Object.entries(found).map(([name, one]): [string, unknown] => [
      name,
      withNames(one, nameOf, true),
    ]),
  );
  const paths = withNames(written.paths, nameOf) as NonNullable<OpenApi["paths"]>;
  for (const [path, operations] of Object.entries(paths))
    for (const [method, operation] of Object.entries(operations)) {
      for (const answer of Object.values(operation.responses ?? {}))
        if (answer.description === "Default Response") answer.description = "Done";
      operation.operationId = nameOfCall(method, path);
      operation.responses = { ...operation.responses, default: refusal };
    }
  return {
    ...written,
    servers: [{ url: "/" }],
    paths,
    components: { ...written.components, schemas },
  };
}

/** Before the routes: it collects them as they come. */
export async function describe(api: Api): Promise<void> {
  await api.register(swagger, {
    openapi: {
      openapi: "3.1.0",
      info: {
        title: "Stillweight",
        version: "1",
        license: { name: "MIT", identifier: "MIT" },
        description: [
          "Reads the scale beside a freeze dryer and says, by weight, when the food has stopped losing water.",
          "A verdict is a statement about weight, not about safety.",
          "Masses in grams, times in ISO 8601 with offset, durations in hours.",
          "What is sent must be JSON; parts that are not known are refused.",
          "A change under an Idempotency-Key of your own that is sent again, because its answer was lost, is done once and answered as the first time; keys are kept for ten minutes. One that was kept before the program was stopped is refused with change.kept-before, for an hour.",
          "Where the network can reach the service, a device's token is needed: POST /api/pairing gives one for a code.",
        ].join(" "),
      },
      components: {
        schemas: shapes as Record<string, object>,
        securitySchemes: { device: { type: "http", scheme: "bearer" } },
      },
      security: [{}, { device: [] }],
    },
    transformObject: (made) =>
      "openapiObject" in made ? finished(made.openapiObject as OpenApi) : made.swaggerObject,
  });
  api.get("/api/openapi.json", { schema: { hide: true } }, () => api.swagger());
}

/** The page of the documentation sets styles in its markup and shows images from data: it gets its own policy. */
const docsPolicy = {
  "default-src": "'self'",
  "script-src": "'self'",
  "style-src": "'self' 'unsafe-inline'",
  "img-src": "'self' data:",
  "object-src": "'none'",
  "base-uri": "'none'",
  "form-action": "'self'",
  "frame-ancestors": "'none'",
};

export async function showDescription(api: Api): Promise<void> {
  await api.register(swaggerUi, {
    routePrefix: "/api/docs",
    staticCSP: docsPolicy,
    theme: { title: "Stillweight: the service" },
    uiConfig: { docExpansion: "list", defaultModelsExpandDepth: 0 },
  });
}
