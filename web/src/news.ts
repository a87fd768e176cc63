/** What happened between two states that a person elsewhere in the room, or on another page, has to notice. */
import type { BagTaken } from "../../src/wire/bag.ts";
import type { Alert, Question, ScaleTask, Taken } from "../../src/wire/bench.ts";
import type { VerdictWord } from "../../src/wire/words.ts";
import { isLoaded, taskOf, type State } from "./state.ts";

export type News =
  | { readonly is: "taken"; readonly taken: Taken; readonly scale: string }
  | { readonly is: "bag-taken"; readonly taken: BagTaken; readonly scale: string }
  | { readonly is: "question"; readonly question: Question; readonly scale: string }
  | { readonly is: "alert"; readonly alert: Alert }
  | { readonly is: "verdict"; readonly batch: number; readonly verdict: VerdictWord }
  /** A load came onto a scale for which a batch waits, or a bag. */
  | { readonly is: "load"; readonly scale: string; readonly waits: "batch" | "packing" | "shelf" };

/** Nothing is news to a page that has just been opened: it shows how things stand. */
export function newsBetween(before: State, after: State): readonly News[] {
  if (before.bench === null || after.bench === null) return [];
  return [...loads(before, after), ...onScales(before, after), ...told(before, after)];
}

function loads(before: State, after: State): News[] {
  if (before.readings === after.readings) return [];
  const bench = after.bench;
  if (bench === null) return [];
  return Object.keys(after.readings)
    .filter((id) => before.readings[id] !== undefined && !isLoaded(before.readings[id]))
    .filter((id) => isLoaded(after.readings[id]))
    .flatMap((scale) => {
      const waits = whatWaits(taskOf(bench, scale));
      return waits === null ? [] : [{ is: "load", scale, waits } as const];
    });
}

/** A bag that was chosen goes before trays: the service takes the load for it. */
function whatWaits(task: ScaleTask | null): Extract<News, { is: "load" }>["waits"] | null {
  if (task === null) return null;
  if (task.bag !== null) return task.bag.kind === "shelf" ? "shelf" : "packing";
  return task.next === null ? null : "batch";
}

function onScales(before: State, after: State): News[] {
  if (before.bench === after.bench || before.bench === null || after.bench === null) return [];
  const news: News[] = [];
  for (const task of after.bench.tasks) {
    const was = taskOf(before.bench, task.scale);
    const { scale, taken, bagTaken, question } = task;
    if (taken !== null && taken.weighing !== was?.taken?.weighing)
      news.push({ is: "taken", taken, scale });
    if (bagTaken !== null && bagTaken.weighing !== was?.bagTaken?.weighing)
      news.push({ is: "bag-taken", taken: bagTaken, scale });
    if (question !== null && question.load !== was?.question?.load)
      news.push({ is: "question", question, scale });
  }
  return news;
}

function told(before: State, after: State): News[] {
  if (before.bench === after.bench || before.bench === null || after.bench === null) return [];
  const known = new Set(before.bench.alerts.map((alert) => alert.id));
  const words = new Map(before.bench.batches.map((batch) => [batch.id, batch.verdict]));
  return [
    ...after.bench.alerts
      .filter((alert) => !known.has(alert.id))
      .map((alert): News => ({ is: "alert", alert })),
    ...after.bench.batches.flatMap((batch): News[] =>
      batch.verdict !== null && words.get(batch.id) !== batch.verdict
        ? [{ is: "verdict", batch: batch.id, verdict: batch.verdict }]
        : [],
    ),
  ];
}
