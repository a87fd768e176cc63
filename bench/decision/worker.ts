import { parentPort, workerData } from "node:worker_threads";
import { simulateBatch } from "./batch.ts";
import { scoreBatch, type BatchScores } from "./score.ts";

export type Task = {
  readonly seeds: readonly number[];
  readonly thickPieces: boolean;
  readonly told: boolean;
  readonly limit: number;
};

const { seeds, thickPieces, told, limit } = workerData as Task;
let ready: BatchScores[] = [];
for (const seed of seeds) {
  ready.push(scoreBatch(simulateBatch(seed, { thickPieces, told }), limit));
  if (ready.length < 20) continue;
  parentPort?.postMessage(ready);
  ready = [];
}
parentPort?.postMessage(ready);
