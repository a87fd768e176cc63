// The built program's labels, as of computers in other time zones; the zone is chosen when a process starts.
import { execFile } from "node:child_process";
import { join } from "node:path";
import { pathToFileURL } from "node:url";
import { promisify } from "node:util";
import { expect, test } from "vitest";
import { builtIn } from "../../.ci/build.mjs";
import { bag } from "../http/fake.ts";

const labels = pathToFileURL(
  join(builtIn(join(import.meta.dirname, "../..")), "service", "labels.js"),
).href;
const shell = promisify(execFile);

// IANA's zones: summer time ends in Berlin on 2026-10-25 at 01:00 UTC (+02:00 to +01:00), in New York on 2026-11-01 at
// 06:00 UTC (-04:00 to -05:00).
test.each([
  ["Europe/Berlin", "2026-10-24T22:00:00Z", "2026-10-25"],
  ["Europe/Berlin", "2026-10-24T21:59:59Z", "2026-10-24"],
  ["Europe/Berlin", "2026-10-25T22:59:59Z", "2026-10-25"],
  ["Europe/Berlin", "2026-10-25T23:00:00Z", "2026-10-26"],
  ["America/New_York", "2026-11-01T03:59:59Z", "2026-10-31"],
  ["America/New_York", "2026-11-01T04:00:00Z", "2026-11-01"],
  ["America/New_York", "2026-11-02T04:59:59Z", "2026-11-01"],
  ["America/New_York", "2026-11-02T05:00:00Z", "2026-11-02"],
])("in %s a bag sealed at %s has the date %s", async (TZ, sealedAt, day) => {
  const words = { fields: ["dates"], language: "en", origin: null, head: null };
  const script = `
    import { labelText } from ${JSON.stringify(labels)};
    console.log(labelText(${JSON.stringify({ ...bag, sealedAt })}, ${JSON.stringify(words)}).lines.join("\\n"));
  `;
  const args = ["--input-type=module", "-e", script];
  const { stdout } = await shell(process.execPath, args, { env: { ...process.env, TZ } });
  expect(stdout.replaceAll("\u00A0", " ")).toContain(`sealed ${day}\n`);
});
