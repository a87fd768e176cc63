// The service as the unit and the container run it: a user without any right, a file system that cannot be written
// but for its data, a device by its group. Linux alone, and only root may put it there.
import { spawnSync } from "node:child_process";
import { chmodSync, chownSync, existsSync, readFileSync, realpathSync, rmSync } from "node:fs";
import { join } from "node:path";
import { afterAll, beforeAll, expect, test } from "vitest";
import type { Bag } from "../../src/wire/bag.ts";
import type { Batch } from "../../src/wire/batch.ts";
import { Pty } from "../rig/pty.ts";
import { Pan } from "./pan.ts";
import { dataFolder, recordIn, Service, type Live } from "./service.ts";

/** A user that the system knows by number alone, with no home folder; the group owns nothing but the scale. */
const nobody = 54320;
const scaleGroup = 54321;
const data = dataFolder();
const writable = `mount --bind ${data.path} ${data.path} && mount -o remount,bind,ro /`;
const rightless = `setpriv --reuid=${nobody} --regid=${nobody} --groups=${scaleGroup} --no-new-privs --bounding-set=-all --inh-caps=-all env -u HOME`;
const within = ["unshare", "-m", "sh", "-c", `${writable} && exec ${rightless} "$@"`, "sh"];
const confined = (...command: string[]): number | null => {
  const [unshare = "", ...rest] = [...within, ...command];
  return spawnSync(unshare, rest).status;
};
/** Whoever has no right has to reach the program and what runs it, which a home folder of root's may forbid. */
const program = join(import.meta.dirname, "..", "..", "dist", "main.js");
const canConfine = process.getuid?.() === 0 && confined(process.execPath, "--check", program) === 0;
if (!canConfine) console.warn("not tried: a user without rights (only root may make one)");

let line: Pty;
let pan: Pan;
let service: Service;
let live: Live;

beforeAll(async () => {
  if (!canConfine) return;
  chownSync(data.path, nobody, nobody);
  line = await Pty.start();
  const device = realpathSync(line.path);
  chownSync(device, 0, scaleGroup);
  chmodSync(device, 0o660);
  pan = new Pan(line);
  service = await Service.start({ scale: device, data: data.path, within });
  live = await service.live();
});
afterAll(async () => {
  if (canConfine) {
    live.close();
    await service.stop();
    pan.stop();
    await line.close();
  }
  data.remove();
});

test.runIf(canConfine)(
  "a user without any right, who can write to the data alone, is all that it needs",
  async () => {
    const elsewhere = join(data.path, "..", "stillweight-elsewhere");
    expect(confined("touch", elsewhere)).not.toBe(0);
    expect(existsSync(elsewhere)).toBe(false);
    expect(confined("touch", join(data.path, "here"))).toBe(0);
    rmSync(join(data.path, "here"));
    const status = readFileSync(`/proc/${service.pid}/status`, "utf8");
    expect(status).toMatch(/^Uid:\s+54320\s+54320/m);
    expect(status).toMatch(/^CapBnd:\s+0+$/m);
    expect(status).toMatch(/^CapEff:\s+0+$/m);
    expect(status).toMatch(/^NoNewPrivs:\s+1$/m);

    const batch = await service.post<Batch>("/api/batches", {
      dryer: "Cellar",
      trays: [{ name: "North", tareGrams: 400, food: "Apples, raw, with skin" }],
    });
    const tray = batch.trays[0]?.id;
    await live.until("an empty pan", () => live.of("reading").at(-1)?.settled === true);
    pan.place(900);
    await live.until("a weighing", () => live.of("weighing").length === 1);
    for (const is of ["in", "out"]) await service.post(`/api/batches/${batch.id}/clock`, { is });
    await service.post("/api/weighings", { tray, kind: "dry", value: 480 });
    const [bag] = await service.post<Bag[]>(`/api/batches/${batch.id}/bags`, {
      trays: [{ tray }],
      divide: { count: 1 },
      container: "soft",
      volumeMl: 946,
      tareGrams: 8,
      absorbers: null,
      although: "a test",
    });
    // Drawn in a thread of its own, with fonts that it reads.
    const label = await service.ask("GET", `/api/labels.pdf?bags=${bag?.id}`);
    expect(label).toMatchObject({ status: 200, type: "application/pdf" });

    // Whoever looks after the service is root, and gives its files to the service.
    const asked = ["pair", "--data", data.path];
    const { stdout } = spawnSync(process.execPath, [program, ...asked], { encoding: "utf8" });
    const code = /[0-9]{4}-[0-9]{4}/.exec(stdout)?.[0];
    const pairing = await service.ask("POST", "/api/pairing", {
      code,
      name: "a program",
      for: "program",
    });
    expect(pairing).toMatchObject({ status: 200 });

    expect(await service.stop()).toBe(0);
    expect(recordIn(data.path).problems).toEqual([]);
  },
);
