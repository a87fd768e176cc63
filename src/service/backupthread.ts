/** The thread that copies the record: answers null when the copy is whole and on the disk, else why not. */
import { parentPort, workerData } from "node:worker_threads";
import { backUp } from "../store/backup.ts";

const { dataFolder, file } = workerData as { readonly dataFolder: string; readonly file: string };
void backUp(dataFolder, file, new AbortController().signal).then(
  () => parentPort?.postMessage(null),
  (thrown: unknown) =>
    parentPort?.postMessage(thrown instanceof Error ? thrown.message : String(thrown)),
);
