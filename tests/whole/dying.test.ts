// The record of a killed service on a disk that can no longer be written: a copy of it is what a person wants then.
//
// The disk is a read-only mount of the folder, or a small file system in memory that is filled to the last byte,
// each in a mount namespace of the command alone. Linux, with root or user namespaces.
import { spawn, spawnSync } from "node:child_process";
import { once } from "node:events";
import { copyFileSync, existsSync, mkdirSync, readdirSync, rmSync, truncateSync } from "node:fs";
import { join } from "node:path";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { inspectStore } from "../../src/store/inspect.ts";
import { compileProgram } from "../store/compiled.ts";
import { dataFolder } from "./service.ts";

const program = join(import.meta.dirname, "..", "..", "dist", "main.js");
const namespace = process.getuid?.() === 0 ? "-m" : "-Urm";
const canMount =
  spawnSync("unshare", [namespace, "mount", "-t", "tmpfs", "x", "/mnt"]).status === 0;
if (!canMount) console.warn("not tried: disks that cannot be written (no right to mount one)");

const place = dataFolder();
const killed = join(place.path, "killed");
let kept = 0;

beforeAll(async () => {
  if (!canMount) return;
  mkdirSync(killed);
  const writer = compileProgram("writer");
  const child = spawn(process.execPath, [writer.file, killed], {
    stdio: ["ignore", "pipe", "inherit"],
  });
  child.stdout.setEncoding("utf8").on("data", (text: string) => {
    kept = Number(/(\d+)\n[^\n]*$/.exec(text)?.[1] ?? kept);
    if (kept >= 50) child.kill("SIGKILL");
  });
  await once(child, "close");
  writer.remove();
  expect(readdirSync(killed)).toEqual(expect.arrayContaining(["stillweight.db-wal"]));
});
afterAll(() => place.remove());

/** How SQLite's file of indexes may be found: it is no part of what a power cut leaves whole, nor of a rescued copy. */
const indexes = {
  there: () => undefined,
  empty: (file: string) => truncateSync(file, 0),
  gone: (file: string) => rmSync(file),
} as const;

/** Puts a disk at $1 with the files of $2 on it, which can be written no more. */
const disks = {
  "read-only":
    'mount --bind "$2" "$1" && mount -o remount,bind,ro "$1" && ! touch "$1/x" 2>/dev/null',
  full: 'mount -t tmpfs -o size=16m x "$1" && cp -p "$2"/* "$1" && ! cat /dev/zero >"$1/filled" 2>/dev/null && [ "$(stat -f -c %a "$1")" = 0 ]',
} as const;
/** SQLite may leave its indexes, which hold no rows, where there is a name free for them. */
const bytesAndTimes =
  'for file in "$1"/*; do case "$file" in *-shm) ;; *) stat -c "%n %s %.Y" "$file"; sha256sum <"$file";; esac; done';

describe.each(Object.entries(disks))("a disk that is %s", (disk, mount) => {
  test.runIf(canMount).each(Object.entries(indexes))(
    "with the file of indexes %s: the copy has every row that was kept, the record on the disk stays as it was",
    (index, prepare) => {
      const source = join(place.path, `${disk}-${index}`);
      const target = join(place.path, `copies-${disk}-${index}`);
      for (const folder of [source, `${source}-mounted`, target]) mkdirSync(folder);
      for (const name of readdirSync(killed)) copyFileSync(join(killed, name), join(source, name));
      prepare(join(source, "stillweight.db-shm"));
      const script = `${mount} && ${bytesAndTimes} && "$4" "$5" backup "$3" --data "$1" >&2; said=$?; ${bytesAndTimes}; exit $said`;
      const file = join(target, "copy.db");
      const given = [`${source}-mounted`, source, file, process.execPath, program];
      const done = spawnSync("unshare", [namespace, "sh", "-c", script, "sh", ...given], {
        encoding: "utf8",
      });
      expect(done.stderr).toContain("found the copy whole");
      expect(done.status).toBe(0);
      const lines = done.stdout.split("\n").filter((line) => line !== "");
      expect(lines.length).toBeGreaterThan(4);
      expect(lines.slice(lines.length / 2)).toEqual(lines.slice(0, lines.length / 2));
      expect(readdirSync(target)).toEqual(["copy.db"]);
      expect(existsSync(`${file}-wal`)).toBe(false);
      const report = inspectStore(file);
      expect(report.problems).toEqual([]);
      // One more may have been kept than the killed program came to say.
      expect([kept, kept + 1]).toContain(report.holds?.weighings.rows);
    },
  );
});

test.runIf(canMount)("a start on a disk that is full says so, and leaves the record alone", () => {
  const source = join(place.path, "full-at-start");
  for (const folder of [source, `${source}-mounted`]) mkdirSync(folder);
  for (const name of readdirSync(killed).filter((one) => !one.endsWith("-shm")))
    copyFileSync(join(killed, name), join(source, name));
  const script = `${disks.full} && ${bytesAndTimes} && "$3" "$4" run --data "$1" --port 0 --scale /dev/none >&2; said=$?; ${bytesAndTimes}; exit $said`;
  const given = [`${source}-mounted`, source, process.execPath, program];
  const done = spawnSync("unshare", [namespace, "sh", "-c", script, "sh", ...given], {
    encoding: "utf8",
  });
  expect(done.stderr).toMatch(/the disk that holds \S+ is full .*Make room on the disk/);
  expect(done.status).toBe(1);
  const lines = done.stdout.split("\n").filter((line) => line !== "");
  expect(lines.length).toBeGreaterThan(4);
  expect(lines.slice(lines.length / 2)).toEqual(lines.slice(0, lines.length / 2));
});
