/** Small files of our own beside the record. */
import { readFileSync, renameSync, rmSync, writeFileSync } from "node:fs";
import { flush, flushName } from "./database.ts";
import { createPrivate } from "./lock.ts";
import { onDisk } from "./trouble.ts";

/** All or nothing, private, on the disk when it returns. Throws store.full and store.unwritable. */
export function replaceJson(file: string, content: unknown): void {
  const arriving = `${file}.arriving`;
  onDisk(file, () => {
    rmSync(arriving, { force: true });
    createPrivate(arriving);
    writeFileSync(arriving, `${JSON.stringify(content, null, 1)}\n`);
    flush(arriving);
    renameSync(arriving, file);
    flushName(file);
  });
}

/** null: it is no JSON. */
export function readJson(file: string): unknown {
  const text = onDisk(file, () => readFileSync(file, "utf8"));
  try {
    return JSON.parse(text);
  } catch {
    return null;
  }
}
