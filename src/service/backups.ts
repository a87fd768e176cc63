/** Copies of the record made by the clock, into a folder that only the program's start can name. */
import { existsSync, mkdirSync, readdirSync, rmSync, statfsSync, statSync } from "node:fs";
import { join } from "node:path";
import { Worker } from "node:worker_threads";
import { isoOf } from "../clock.ts";
import { copyName, newestCopy, surplusCopies } from "../store/rotation.ts";
import type { UtcMs } from "../units/quantity.ts";
import type { Bench } from "../wire/bench.ts";

export type BackupPlan = {
  /** null: a folder of their own inside the data folder. */
  readonly folder: string | null;
  readonly everyHours: number;
  /** The newest so many stay, and one for each of twelve months before. */
  readonly keep: number;
};

export type BackupSetting = BackupPlan & {
  readonly dataFolder: string;
  readonly now: () => UtcMs;
  /** Nothing is copied before there is something to lose. */
  readonly isWorthIt: () => boolean;
  /** Throws when no whole copy could be made. */
  readonly copy: (dataFolder: string, file: string) => Promise<void>;
  readonly changed: () => void;
  readonly log: (event: string, more: Record<string, unknown>) => void;
};

/** The service is at work first: a restart in the middle of a round is not slowed down. */
const firstLookMs = 5000;
const lookEveryMs = 60_000;
const againAfterMs = 10 * 60_000;
/** Room that stays free beside a copy, so that copies never take the place of weighings. */
const spareBytes = 100_000_000;

export class Backups {
  private readonly timers: NodeJS.Timeout[] = [];
  private readonly folder: string;
  private at: UtcMs | null = null;
  private failed: string | null = null;
  private triedAt: UtcMs | null = null;
  private copying: Promise<void> | null = null;

  constructor(private readonly set: BackupSetting) {
    this.folder = set.folder ?? join(set.dataFolder, "backups");
  }

  begin(): void {
    const look = (): void => void this.look();
    this.timers.push(setTimeout(look, firstLookMs), setInterval(look, lookEveryMs));
  }

  async close(): Promise<void> {
    for (const timer of this.timers) clearTimeout(timer);
    await this.copying;
  }

  state(): Bench["backup"] {
    const { folder, at, failed, set } = this;
    return { folder, everyHours: set.everyHours, at: at === null ? null : isoOf(at), failed };
  }

  /** Makes a copy if one is due. Never rejects: what went wrong is part of the state. */
  look(): Promise<void> {
    this.copying ??= this.copyIfDue().finally(() => {
      this.copying = null;
    });
    return this.copying;
  }

  private async copyIfDue(): Promise<void> {
    const now = this.set.now();
    const before = JSON.stringify(this.state());
    try {
      this.at = newestCopy(this.names(), now);
      const isDue = this.at === null || now - this.at >= this.set.everyHours * 3_600_000;
      const isTooSoon = this.triedAt !== null && Math.abs(now - this.triedAt) < againAfterMs;
      if (!isDue || (this.failed !== null && isTooSoon) || !this.set.isWorthIt()) return;
      this.triedAt = now;
      await this.copyNow(now);
      this.at = now;
      this.failed = null;
      this.set.log("backed-up", { folder: this.folder });
    } catch (thrown) {
      this.failed = thrown instanceof Error ? thrown.message : String(thrown);
      this.set.log("backup-failed", { why: this.failed });
    } finally {
      if (JSON.stringify(this.state()) !== before) this.set.changed();
    }
  }

  private async copyNow(now: UtcMs): Promise<void> {
    // A folder elsewhere is not made: where a disk is not mounted, it would be made on the wrong one.
    if (this.set.folder === null) mkdirSync(this.folder, { recursive: true, mode: 0o700 });
    if (!existsSync(this.folder))
      throw new Error(`there is no folder ${this.folder}: is its disk attached?`);
    this.refuseNoRoom();
    await this.set.copy(this.set.dataFolder, join(this.folder, copyName(now)));
    for (const name of surplusCopies(this.names(), this.set.keep, now))
      rmSync(join(this.folder, name), { force: true });
  }

  private refuseNoRoom(): void {
    const { bavail, bsize } = statfsSync(this.folder);
    const free = bavail * bsize;
    const needed = statSync(join(this.set.dataFolder, "stillweight.db")).size + spareBytes;
    if (free >= needed) return;
    const inMb = (bytes: number): number => Math.round(bytes / 1_000_000);
    throw new Error(
      `${inMb(free)} MB are free on the disk of ${this.folder}, a copy with room beside it takes ${inMb(needed)} MB`,
    );
  }

  private names(): string[] {
    return existsSync(this.folder) ? readdirSync(this.folder) : [];
  }
}

/** A copy is made and verified in a thread of its own: reading a season's rows takes longer than a scale may wait. */
export function copyInThread(dataFolder: string, file: string): Promise<void> {
  return new Promise((resolve, reject) => {
    const worker = new Worker(new URL("./backupthread.js", import.meta.url), {
      workerData: { dataFolder, file },
    });
    worker.on("message", (failed: string | null) =>
      failed === null ? resolve() : reject(new Error(failed)),
    );
    worker.on("error", reject);
    worker.on("exit", () => reject(new Error("the thread that copies ended")));
  });
}
