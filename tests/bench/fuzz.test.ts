import { expect, test } from "vitest";
import { fuzzRoutes, serveOn, unreached } from "../../bench/fuzz/routes.ts";
import { fuzzSockets } from "../../bench/fuzz/sockets.ts";
import { fuzzAddresses, fuzzDevices, fuzzLogs, fuzzSettings } from "../../bench/fuzz/texts.ts";
import { seeded } from "../rig/scale.ts";
import { tempFolder } from "../store/folder.ts";

const seed = Number(process.env["STILLWEIGHT_SEED"] ?? 20_261_125);

test("every route bears what is right, nearly right and rubbish; what is refused changes nothing", async () => {
  const done = await fuzzRoutes(1500, seeded(seed), { labels: false });
  expect(done.faults, `seed ${seed}`).toEqual([]);
  // A run that is only ever refused, or never, would prove little.
  expect(done.accepted).toBeGreaterThan(200);
  expect(done.refused).toBeGreaterThan(500);
  expect(done.writtenByRequests).toBeGreaterThan(50);
  expect(done.routes).toBeGreaterThan(50);
  const never = unreached(done.byRoute);
  expect(never.length, never.join(", ")).toBeLessThan(4);
  expect(never).not.toContain("POST /api/bags/{bag}/gain");
  expect(never).not.toContain("POST /api/scales/{scale}/bytes");
  expect(never).not.toContain("DELETE /api/kitchen/comparisons/{comparison}");
}, 120_000);

test.each([
  ["logs kept by hand", fuzzLogs, 1500],
  ["settings files", fuzzSettings, 2000],
  ["addresses of scales", fuzzAddresses, 3000],
  ["lists of devices", fuzzDevices, 200],
])("%s are read, or refused with a reason", (_name, fuzz, cases) => {
  expect(fuzz(cases, seeded(seed)).faults, `seed ${seed}`).toEqual([]);
});

test("rubbish over sockets leaves the service as it was", async () => {
  const serving = await serveOn(tempFolder());
  const { faults } = await fuzzSockets(serving.address, 600, seeded(seed));
  await serving.close();
  expect(faults, `seed ${seed}`).toEqual([]);
});
