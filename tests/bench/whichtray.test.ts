import { expect, test } from "vitest";
import { loadings, tryHousehold, type Order } from "../../bench/whichtray/households.ts";

const households = 60;

function shares(order: Order) {
  const outcomes = loadings.flatMap((loading) =>
    Array.from({ length: households }, (_, seed) => tryHousehold(seed, loading, order)),
  );
  const sum = (round: number, of: "loads" | "asked" | "wrong"): number =>
    outcomes.reduce((all, one) => all + one[round]![of], 0);
  return [0, 1, 2].map((round) => ({
    asked: sum(round, "asked") / sum(round, "loads"),
    wrong: sum(round, "wrong") / sum(round, "loads"),
  }));
}

test("who follows the order is never taken at a wrong tray, and is asked less from round to round", () => {
  const rounds = shares("asked");
  expect(rounds.map(({ wrong }) => wrong)).toEqual([0, 0, 0]);
  expect(rounds[0]!.asked).toBeLessThan(0.15);
  expect(rounds[2]!.asked).toBeLessThan(0.06);
});

test("who brings the trays in any order is taken at a wrong one less from round to round", () => {
  const rounds = shares("any");
  // With the order believed anew at every load it was as much in the third round as in the first.
  expect(rounds[2]!.wrong).toBeLessThan(0.8 * rounds[0]!.wrong);
  expect(rounds[2]!.asked).toBeGreaterThan(rounds[0]!.asked * 0.9);
});
