/** The thread that looks after the copies of the record: answers when they are whole and on the disk, else why not. */
import { parentPort, workerData } from "node:worker_threads";
import { keepCopies, type CopiesAsked } from "../store/copies.ts";
import type { CopiesAnswer } from "./backups.ts";

const answer = (said: CopiesAnswer): void => parentPort?.postMessage(said);
void keepCopies(workerData as CopiesAsked).then(answer, (thrown: unknown) =>
  answer({ failed: thrown instanceof Error ? thrown.message : String(thrown) }),
);
