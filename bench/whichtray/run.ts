/**
 * How often a load is asked about, and how often it is taken for another tray without a word.
 *   npm run bench:whichtray -- [--households N] [--from SEED]
 */
import { parseArgs } from "node:util";
import { loadings, orders, tryHousehold, type Outcome, type Tally } from "./households.ts";

const { values } = parseArgs({
  options: {
    households: { type: "string", default: "400" },
    from: { type: "string", default: "1" },
  },
});
const households = Number(values.households);
const from = Number(values.from);
if (!Number.isInteger(households) || households < 2 || !Number.isInteger(from)) {
  console.error("--households is a whole number from 2, --from a whole number");
  process.exit(2);
}

/** Share of the loads with its 95 % interval over households: those of one are not independent. */
function share(tallies: readonly Tally[], of: "asked" | "wrong"): string {
  const loads = tallies.reduce((sum, one) => sum + one.loads, 0);
  const found = tallies.reduce((sum, one) => sum + one[of], 0) / loads;
  const squares = tallies.reduce((sum, one) => sum + (one[of] - found * one.loads) ** 2, 0);
  const half = (1.96 * Math.sqrt(squares)) / loads;
  return `${(100 * found).toFixed(1)} ± ${(100 * half).toFixed(1)} %`;
}

console.log(
  `${households} households from seed ${from}; asked / silently wrong, of the loads: loading, rounds 1 to 3`,
);
for (const loading of loadings)
  for (const order of orders) {
    const outcomes: Outcome[] = Array.from({ length: households }, (_, n) =>
      tryHousehold(from + n, loading, order),
    );
    const cells = outcomes[0]!.map((_, round) => {
      const tallies = outcomes.map((one) => one[round]!);
      return `${share(tallies, "asked")} / ${share(tallies, "wrong")}`.padEnd(32);
    });
    console.log(`${loading.padEnd(8)}${order.padEnd(15)}${cells.join("")}`);
  }
