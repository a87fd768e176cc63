import { expect, test } from "vitest";
import { newsBetween } from "../../web/src/news.ts";
import { nothingKnown, type State } from "../../web/src/state.ts";
import { bagTaken, bagTask } from "./bags.ts";
import { batch, bench, next, taken, task, whichTray } from "./scenes.ts";

const stateOf = (known: State["bench"], grams = 0): State => ({
  ...nothingKnown,
  connection: { is: "live" },
  bench: known,
  readings: {
    "scale-1": {
      state: "weight",
      grams,
      settled: true,
      divisionGrams: 1,
      atLocalMs: 0,
      pauseMs: 100,
    },
  },
});
const waiting = bench({ tasks: [task({ next: next(2) })] });
const kinds = (before: State, after: State): string[] =>
  newsBetween(before, after).map((news) => news.is);

test("a page that has just been opened makes no noise about what stands there already", () => {
  const shown = stateOf(bench({ tasks: [task({ taken: taken(), question: whichTray })] }), 812);
  expect(newsBetween(nothingKnown, shown)).toEqual([]);
});

test("a load that comes while a batch waits is news once, not at every reading", () => {
  const empty = stateOf(waiting, 1);
  expect(kinds(empty, stateOf(waiting, 640))).toEqual(["load"]);
  expect(kinds(stateOf(waiting, 640), stateOf(waiting, 812))).toEqual([]);
});

test("a load that nothing waits for is no news", () => {
  expect(kinds(stateOf(bench(), 0), stateOf(bench(), 812))).toEqual([]);
});

test("each weighing is told as taken once", () => {
  const first = stateOf(bench({ tasks: [task({ taken: taken() })] }));
  const same = stateOf(bench({ tasks: [task({ taken: taken() })] }));
  const second = stateOf(bench({ tasks: [task({ taken: taken({ weighing: 901 }) })] }));
  expect(kinds(stateOf(bench()), first)).toEqual(["taken"]);
  expect(kinds(first, same)).toEqual([]);
  expect(kinds(first, second)).toEqual(["taken"]);
});

test("a load on a scale where a bag was chosen is the bag's, whatever batch waits", () => {
  const chosen = (kind: "filled" | "shelf") =>
    bench({ tasks: [task({ next: next(2), bag: bagTask({ kind }) })] });
  const waits = (known: State["bench"]) =>
    newsBetween(stateOf(known, 0), stateOf(known, 60)).map((news) => "waits" in news && news.waits);
  expect(waits(chosen("filled"))).toEqual(["packing"]);
  expect(waits(chosen("shelf"))).toEqual(["shelf"]);
  expect(waits(waiting)).toEqual(["batch"]);
});

test("each weighing of a bag is told as taken once", () => {
  const first = stateOf(bench({ tasks: [task({ bagTaken: bagTaken() })] }));
  const second = stateOf(bench({ tasks: [task({ bagTaken: bagTaken({ weighing: 911 }) })] }));
  expect(kinds(stateOf(bench()), first)).toEqual(["bag-taken"]);
  expect(kinds(first, first)).toEqual([]);
  expect(kinds(first, second)).toEqual(["bag-taken"]);
});

test("a question is told once for each load", () => {
  const asked = stateOf(bench({ tasks: [task({ question: whichTray })] }));
  const again = stateOf(bench({ tasks: [task({ question: { ...whichTray, load: 8 } })] }));
  expect(kinds(stateOf(bench()), asked)).toEqual(["question"]);
  expect(kinds(asked, stateOf(bench({ tasks: [task({ question: whichTray })] })))).toEqual([]);
  expect(kinds(asked, again)).toEqual(["question"]);
});

test("a verdict is told when its word changes", () => {
  const losing = stateOf(bench({ batches: [batch([], { verdict: "losing" })] }));
  const stable = stateOf(bench({ batches: [batch([], { verdict: "stable" })] }));
  expect(newsBetween(losing, stable)).toEqual([{ is: "verdict", batch: 1, verdict: "stable" }]);
  expect(kinds(stable, stateOf(bench({ batches: [batch([], { verdict: "stable" })] })))).toEqual(
    [],
  );
});
