// Two people may ask for any change at once. Each route that changes something says here why neither undoes the other
// unseen; one that is not listed fails, so that whoever adds a route thinks of it.
import { expect, test } from "vitest";
import { fakeService, host, makeTestServer } from "./fake.ts";

/**
 * seen: says what the page had before it, and is refused where that no longer stands. replaces: names the row that it
 * replaces, and is refused when another replaced it. adds: a new row of its own. once: refused when it was done
 * already. same: whoever does it, and however often, what stands there is the same. looks: keeps nothing.
 */
const why: Readonly<Record<string, "seen" | "replaces" | "adds" | "once" | "same" | "looks">> = {
  "PATCH /api/batches/{batch}/trays/{tray}": "seen",
  "PATCH /api/settings": "seen",
  "POST /api/kitchen/dryers": "seen",
  "PATCH /api/kitchen/foods/{food}": "seen",
  "PATCH /api/kitchen/weights/{weight}": "seen",
  "POST /api/scales/{scale}/task": "seen",
  "POST /api/scales/{scale}/bag": "seen",
  "POST /api/scales/{scale}/check": "seen",
  "POST /api/gaps/{gap}": "seen",
  "PATCH /api/batches/{batch}/interruptions/{interruption}": "seen",
  "PATCH /api/weighings/{weighing}": "replaces",
  "POST /api/weighings/{weighing}/swap": "replaces",
  "PATCH /api/bags/{bag}/weighings/{weighing}": "replaces",
  "PATCH /api/batches/{batch}/clock/{moment}": "replaces",
  "POST /api/scales/{scale}/answer": "replaces",
  "POST /api/batches": "adds",
  "POST /api/batches/{batch}/trays": "adds",
  "POST /api/weighings": "adds",
  "POST /api/trays/{tray}/core": "adds",
  "POST /api/batches/{batch}/interruptions": "adds",
  "POST /api/batches/{batch}/photos": "adds",
  "POST /api/imports": "adds",
  "POST /api/kitchen/foods": "adds",
  "POST /api/kitchen/weights": "adds",
  "POST /api/scales": "same",
  "POST /api/pairing": "once",
  "POST /api/pairing/code": "adds",
  "POST /api/batches/{batch}/clock": "once",
  "POST /api/batches/{batch}/end": "once",
  "POST /api/batches/{batch}/bags": "once",
  "POST /api/bags/{bag}/weighings": "once",
  "POST /api/bags/{bag}/gain": "once",
  "POST /api/bags/{bag}/back": "seen",
  "PATCH /api/bags/{bag}": "once",
  "POST /api/alerts/{alert}/acknowledge": "once",
  "PATCH /api/lessons/{lesson}": "same",
  "DELETE /api/scales/{scale}": "once",
  "DELETE /api/photos/{photo}": "once",
  "DELETE /api/devices/{device}": "once",
  "POST /api/scales/{scale}/form": "same",
  "POST /api/scales/{scale}/asking": "same",
  // Other two scales are refused while two wait for a load.
  "POST /api/scales/{scale}/compare": "same",
  "DELETE /api/kitchen/comparisons/{comparison}": "once",
  "POST /api/scales/{scale}/tared": "same",
  "POST /api/scales/{scale}/send": "looks",
  // Nothing is kept, and a second page is refused while the first hands over.
  "POST /api/scales/{scale}/bytes": "looks",
  "POST /api/practice": "looks",
  "POST /api/alerts/try": "looks",
  "POST /api/batches/look": "looks",
  "POST /api/batches/{batch}/bags/preview": "looks",
  "POST /api/imports/preview": "looks",
  "POST /api/kitchen/dish": "looks",
};

type Described = {
  readonly paths: Readonly<
    Record<string, Readonly<Record<string, { readonly requestBody?: unknown }>>>
  >;
  readonly components: { readonly schemas: unknown };
};

test("every route that changes something says how crossed edits are kept apart", async () => {
  const api = await makeTestServer(fakeService());
  const described = (
    await api.inject({ url: "/api/openapi.json", headers: { host } })
  ).json<Described>();
  const changing = Object.entries(described.paths).flatMap(([path, methods]) =>
    Object.entries(methods)
      .filter(([method]) => method !== "get")
      .map(([method, { requestBody }]) => ({
        route: `${method.toUpperCase()} ${path}`,
        body: JSON.stringify(requestBody ?? null),
      })),
  );
  expect(changing.map(({ route }) => route).toSorted(byText)).toEqual(
    Object.keys(why).toSorted(byText),
  );
  const schemas = JSON.stringify(described.components.schemas);
  for (const { route, body } of changing) {
    if (why[route] !== "seen") continue;
    expect(body.includes('"seen"') || refersToSeen(body, schemas), route).toBe(true);
  }
  await api.close();
});

const byText = (a: string, b: string): number => a.localeCompare(b);

function refersToSeen(body: string, schemas: string): boolean {
  const named = /"\$ref":"#\/components\/schemas\/(\w+)"/.exec(body)?.[1];
  if (named === undefined) return false;
  const all = JSON.parse(schemas) as Record<string, unknown>;
  return JSON.stringify(all[named] ?? null).includes('"seen"');
}
