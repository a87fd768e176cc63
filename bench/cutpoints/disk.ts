/** A disk that keeps what was synced, and of the rest what chance leaves: all, some sectors, rubbish or nothing. */
import { closeSync, mkdirSync, openSync, rmSync, writeSync } from "node:fs";
import { join } from "node:path";
import type { Event } from "./trace.ts";

type Change = Extract<Event, { is: "write" | "truncate" | "unlink" }>;
type File = { durable: Buffer | null; pending: Change[] };

const sectorBytes = 512;

export class Disk {
  readonly #files = new Map<string, File>();

  take(event: Event): void {
    if (event.is === "said") return;
    if (event.is === "sync-names") {
      for (const file of this.#files.values()) {
        const gone = file.pending.findLastIndex(({ is }) => is === "unlink");
        if (gone >= 0) [file.durable, file.pending] = [null, file.pending.slice(gone + 1)];
      }
      return;
    }
    const file = this.#files.get(event.file) ?? { durable: null, pending: [] };
    this.#files.set(event.file, file);
    if (event.is !== "sync") return void file.pending.push(event);
    for (const change of file.pending) file.durable = changed(file.durable, change);
    file.pending = [];
  }

  unsynced(): number {
    return [...this.#files.values()].reduce((sum, { pending }) => sum + pending.length, 0);
  }

  /** The folder as it may be found after a power cut now. */
  cut(folder: string, chance: () => number): void {
    rmSync(folder, { recursive: true, force: true });
    mkdirSync(folder);
    for (const [name, { durable, pending }] of this.#files) {
      const left = pending.reduce((content, change) => damaged(content, change, chance), durable);
      if (left === null) continue;
      const handle = openSync(join(folder, name), "w");
      writeSync(handle, left);
      closeSync(handle);
    }
  }
}

function changed(content: Buffer | null, change: Change): Buffer | null {
  if (change.is === "unlink") return null;
  const before = content ?? Buffer.alloc(0);
  if (change.is === "truncate") {
    const after = Buffer.alloc(change.length);
    before.copy(after, 0, 0, Math.min(before.length, change.length));
    return after;
  }
  const end = change.at + change.bytes.length;
  const after =
    end > before.length ? Buffer.concat([before, Buffer.alloc(end - before.length)]) : before;
  if (after === before) {
    const copy = Buffer.from(before);
    change.bytes.copy(copy, change.at);
    return copy;
  }
  change.bytes.copy(after, change.at);
  return after;
}

function damaged(content: Buffer | null, change: Change, chance: () => number): Buffer | null {
  const luck = chance();
  if (luck < 0.35) return changed(content, change);
  if (luck < 0.65 || change.is !== "write") return content;
  const bytes = Buffer.from(change.bytes);
  const old = Buffer.alloc(bytes.length);
  if (content !== null && change.at < content.length)
    content.copy(old, 0, change.at, change.at + bytes.length);
  for (let from = 0; from < bytes.length; from += sectorBytes) {
    const to = Math.min(bytes.length, from + sectorBytes);
    const fate = chance();
    if (fate < 0.4) old.copy(bytes, from, from, to);
    else if (fate < 0.6) for (let at = from; at < to; at++) bytes[at] = Math.floor(chance() * 256);
  }
  return changed(content, { ...change, bytes });
}
