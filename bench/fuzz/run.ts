/**
 * Bad input at scale: every route, every import, the settings file, addresses of scales, the list of devices and the
 * websocket. Lines of scales have a bench of their own (bench:lines).
 *   npm run bench:fuzz -- [--cases N] [--seed S]
 */
import { cpSync, mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { parseArgs } from "node:util";
import { seeded } from "../../tests/rig/scale.ts";
import { fuzzRoutes, serveOn, unreached, type Fault } from "./routes.ts";
import { fuzzSockets } from "./sockets.ts";
import { fuzzAddresses, fuzzDevices, fuzzLogs, fuzzSettings } from "./texts.ts";

const { values } = parseArgs({
  options: {
    cases: { type: "string", default: "200000" },
    seed: { type: "string", default: "20261125" },
  },
});
const [cases, seed] = [Number(values.cases), Number(values.seed)];
if (![cases, seed].every((one) => Number.isInteger(one) && one > 0)) {
  console.error("--cases and --seed are whole numbers above 0");
  process.exit(2);
}
for (const part of ["store/steps", "food/table", "label/font"])
  cpSync(join("src", part), join(import.meta.dirname, "..", "..", "src", part), {
    recursive: true,
  });

let bad = 0;
function report(what: string, done: { cases: number; faults: readonly Fault[] }, more = ""): void {
  console.log(`${what}: ${done.cases} cases, ${done.faults.length} faults${more}`);
  for (const { asked, what: found } of done.faults.slice(0, 10))
    console.log(`  ${asked}\n    ${found}`);
  bad += done.faults.length;
}

const share = (part: number): number => Math.ceil(cases * part);
console.log(`seed ${seed}, ${cases} cases in all`);
report("logs kept by hand", fuzzLogs(share(0.3), seeded(seed + 1)));
report("settings files", fuzzSettings(share(0.2), seeded(seed + 2)));
report("addresses of scales", fuzzAddresses(share(0.2), seeded(seed + 3)));
report("lists of devices", fuzzDevices(share(0.01), seeded(seed + 4)));

const data = mkdtempSync(join(tmpdir(), "stillweight-fuzz-"));
const service = await serveOn(data);
const rubbish = await fuzzSockets(service.address, share(0.04), seeded(seed + 5));
report("websocket and raw bytes", rubbish);
await service.close();
rmSync(data, { recursive: true });

const routes = await fuzzRoutes(share(0.25), seeded(seed), { labels: true });
const { accepted, refused, byRoute } = routes;
report(`${routes.routes} routes`, routes, `; ${accepted} accepted, ${refused} refused`);
console.log("accepted  refused  route");
for (const one of byRoute)
  console.log(
    `${String(one.accepted).padStart(8)} ${String(one.refused).padStart(8)}  ${one.route}`,
  );
const never = unreached(byRoute);
// In a long run a route that was only ever refused was not tried.
if (routes.cases >= 10_000 && never.length > 0) {
  console.log(`never accepted: ${never.join(", ")}`);
  bad += 1;
}
process.exitCode = bad === 0 ? 0 : 1;
