/** When the record is copied by itself, and what is told of it. The folder is touched by a thread alone: its disk may not answer. */
import { Worker } from "node:worker_threads";
import { isoOf } from "../clock.ts";
import { copiesFolder, type CopiesAsked, type CopiesKept } from "../store/copies.ts";
import type { UtcMs } from "../units/quantity.ts";
import type { Bench } from "../wire/bench.ts";

/** The folder can only be named by the program's start. */
export type BackupPlan = Pick<CopiesAsked, "folder" | "everyHours" | "keep">;

export type BackupSetting = BackupPlan & {
  readonly dataFolder: string;
  readonly now: () => UtcMs;
  /** Nothing is copied before there is something to lose. */
  readonly isWorthIt: () => boolean;
  /** Throws when copies cannot be looked at, or no whole one could be made. */
  readonly keepCopies: (asked: CopiesAsked) => Promise<CopiesKept>;
  readonly changed: () => void;
  readonly log: (event: string, more: Record<string, unknown>) => void;
};

/** The service is at work first: a restart in the middle of a round is not slowed down. */
const firstLookMs = 5000;
const lookEveryMs = 60_000;
const againAfterMs = 10 * 60_000;
/** Copies that somebody removed are noticed that late. */
const lookIntoFolderEveryMs = 3_600_000;
const noAnswerMinutes = 15;
const closeWaitsMs = 5000;

export class Backups {
  private readonly timers: NodeJS.Timeout[] = [];
  private readonly folder: string;
  private at: UtcMs | null = null;
  private failed: string | null = null;
  private askedAt: UtcMs | null = null;
  private asking: Promise<void> | null = null;
  private isClosed = false;

  constructor(private readonly set: BackupSetting) {
    this.folder = copiesFolder(set);
  }

  begin(): void {
    const look = (): void => void this.look();
    this.timers.push(setTimeout(look, firstLookMs), setInterval(look, lookEveryMs));
  }

  /** Waits for a copy that is being made, but not for a disk that does not answer. */
  async close(): Promise<void> {
    this.isClosed = true;
    for (const timer of this.timers) clearTimeout(timer);
    if (this.asking === null) return;
    let timer: NodeJS.Timeout | undefined;
    const waited = new Promise<void>((resolve) => (timer = setTimeout(resolve, closeWaitsMs)));
    await Promise.race([this.asking, waited]);
    clearTimeout(timer);
  }

  state(): Bench["backup"] {
    const { folder, at, failed, set } = this;
    return { folder, everyHours: set.everyHours, at: at === null ? null : isoOf(at), failed };
  }

  /** Has a copy made if one is due. Never rejects: what went wrong is part of the state. */
  look(): Promise<void> {
    const now = this.set.now();
    if (this.asking !== null) {
      const since = this.askedAt === null ? 0 : now - this.askedAt;
      if (since >= noAnswerMinutes * 60_000)
        this.tell({
          failed: `${this.folder} has not answered for ${noAnswerMinutes} minutes: is its disk attached?`,
        });
      return this.asking;
    }
    if (!this.isTime(now) || !this.set.isWorthIt()) return Promise.resolve();
    this.askedAt = now;
    this.asking = this.ask(now).finally(() => {
      this.asking = null;
    });
    return this.asking;
  }

  /** By what is known without touching the folder. */
  private isTime(now: UtcMs): boolean {
    const { askedAt, at, failed, set } = this;
    if (askedAt === null) return true;
    const since = Math.abs(now - askedAt);
    if (failed !== null) return since >= againAfterMs;
    const isDue = at !== null && now - at >= set.everyHours * 3_600_000;
    return isDue || since >= lookIntoFolderEveryMs;
  }

  private async ask(now: UtcMs): Promise<void> {
    const { dataFolder, folder, everyHours, keep } = this.set;
    try {
      const asked = { dataFolder, folder, everyHours, keep, now };
      const { at, isNew } = await this.set.keepCopies(asked);
      if (isNew) this.set.log("backed-up", { folder: this.folder });
      this.tell({ at, failed: null });
    } catch (thrown) {
      this.tell({ failed: thrown instanceof Error ? thrown.message : String(thrown) });
    }
  }

  private tell(news: { readonly at?: UtcMs; readonly failed: string | null }): void {
    const { at = this.at, failed } = news;
    if (at === this.at && failed === this.failed) return;
    if (failed !== null) this.set.log("backup-failed", { why: failed });
    this.at = at;
    this.failed = failed;
    if (!this.isClosed) this.set.changed();
  }
}

/** Reading a season's rows takes longer than a scale may wait, and a disk of the network may never answer. */
export function keepCopiesInThread(asked: CopiesAsked): Promise<CopiesKept> {
  return new Promise((resolve, reject) => {
    const worker = new Worker(new URL("./backupthread.js", import.meta.url), { workerData: asked });
    worker.on("message", (answer: CopiesAnswer) =>
      "failed" in answer ? reject(new Error(answer.failed)) : resolve(answer),
    );
    worker.on("error", reject);
    worker.on("exit", () => reject(new Error("the thread that copies ended")));
  });
}

export type CopiesAnswer = CopiesKept | { readonly failed: string };
