/** What comes as text: logs kept by hand, settings files, addresses of scales, lists of devices. */
import { mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { keys, readConfig } from "../../src/config/config.ts";
import { loadFoodTable } from "../../src/foodtable.ts";
import { isFault } from "../../src/faults.ts";
import { readAddress } from "../../src/port/uri.ts";
import { devicesIn } from "../../src/store/devices.ts";
import { utcMs } from "../../src/units/quantity.ts";
import { readLog } from "../../src/verdict/log.ts";
import { below, damaged, letters, logText, pick, type Chance } from "./cases.ts";
import type { Fault } from "./routes.ts";

type TextsFuzzed = { readonly cases: number; readonly faults: readonly Fault[] };

function each(
  cases: number,
  make: () => string,
  read: (text: string) => string | null,
): TextsFuzzed {
  const faults: Fault[] = [];
  for (let n = 0; n < cases; n++) {
    const asked = make();
    try {
      const what = read(asked);
      if (what !== null) faults.push({ asked, what });
    } catch (thrown) {
      faults.push({ asked, what: thrown instanceof Error ? (thrown.stack ?? "") : String(thrown) });
    }
  }
  return { cases, faults };
}

/** Read, or refused by a line that is there. */
export const fuzzLogs = (cases: number, chance: Chance): TextsFuzzed =>
  each(
    cases,
    () => logText(chance),
    (text) => {
      const { batches, problems } = readLog(text, loadFoodTable());
      if (problems.length > 0 && batches.length > 0) return "refused and read at once";
      const lines = text.split(/\r\n|\r|\n/).length + 1;
      return problems.some(({ line }) => line < 1 || line > lines)
        ? "a line that is not there"
        : null;
    },
  );

const settings = `scale = ["/dev/ttyUSB0"]\nport = 4680\nhost = "127.0.0.1"\ntime_factor = 1\nbackup_hours = 24\nname = ["scale.lan"]\n[[form]]\nname = "own"\nline = [{ part = "padding" }, { part = "digits", decimals = 1 }, { part = "unit", g = ["G"] }]\n`;

export const fuzzSettings = (cases: number, chance: Chance): TextsFuzzed =>
  each(
    cases,
    () => (chance() < 0.8 ? damaged(settings, chance) : letters(below(80, chance), chance)),
    (text) => {
      const env = { [pick(Object.values(keys), chance).env]: letters(below(8, chance), chance) };
      const read = readConfig({ flags: {}, env, file: { path: "settings.toml", text } });
      if (read.is === "problems")
        return read.problems.length > 0 ? null : "refused without a reason";
      const { port, timeFactor } = read.config;
      return port >= 0 && port <= 65_535 && timeFactor >= 1 ? null : "a value out of its range";
    },
  );

const addresses = [
  "serial:///dev/serial/by-id/X?baud=9600&form=auto",
  "tcp://192.168.1.20:4001?division=0.1&ask=W%0D",
  "hid:",
  "/dev/ttyUSB0",
  "serial:COM3?bits=7&parity=even&stop=2",
] as const;

export const fuzzAddresses = (cases: number, chance: Chance): TextsFuzzed =>
  each(
    cases,
    () => damaged(pick(addresses, chance), chance),
    (text) => {
      const read = readAddress(text);
      if ("why" in read) return read.why.length > 5 ? null : "refused without a reason";
      return null;
    },
  );

/** A list that was damaged is refused whole, or lets in nobody who was not let in. */
export function fuzzDevices(cases: number, chance: Chance): TextsFuzzed {
  const folder = mkdtempSync(join(tmpdir(), "stillweight-fuzz-"));
  const file = join(folder, "devices.json");
  const digest = "a".repeat(64);
  const one = { id: 1, name: "x", access: "full", pairedAt: 1, seenAt: 1, digest };
  const whole = JSON.stringify({ next: 2, devices: [one] });
  const done = each(
    cases,
    () => damaged(whole, chance),
    (text) => {
      writeFileSync(file, text);
      try {
        const devices = devicesIn(folder, () => utcMs(5));
        if (devices.list().length > 1) return "a device too many";
        return devices.ofToken("") === null ? null : "an empty token lets in";
      } catch (thrown) {
        return isFault(thrown, "store.damaged") ? null : String(thrown);
      }
    },
  );
  rmSync(folder, { recursive: true });
  return done;
}
