/**
 * The table of recognition: every form, three rates, six kinds of stream.
 *   npm run bench:recognise -- [--each N]
 */
import { parseArgs } from "node:util";
import { formNames, rates, spoils, tryCase, type Outcome, type Tried } from "./matrix.ts";

const { values } = parseArgs({ options: { each: { type: "string", default: "40" } } });
const each = Number(values.each);
if (!Number.isInteger(each) || each < 1) {
  console.error("--each is a whole number of streams for each cell, at least one");
  process.exit(2);
}

const outcomes: readonly Outcome[] = ["right", "asks", "refuses", "wrong"];
const totals = new Map<string, number>();
const wrongs: string[] = [];
const waits: number[] = [];
let slipped = 0;
let streams = 0;

function cell(tries: readonly Tried[]): string {
  return outcomes
    .map((outcome) => tries.filter((one) => one.outcome === outcome).length)
    .map((count) => String(count).padStart(3))
    .join("/");
}

console.log(`right/asks/refuses/wrong of ${each} streams of 120 lines in each cell`);
console.log(
  `${"form".padEnd(17)}${"lines/s".padEnd(8)}${spoils.map((one) => one.padStart(17)).join("")}`,
);
for (const form of formNames) {
  for (const linesPerS of rates) {
    const cells = spoils.map((spoil) => {
      const tries = Array.from({ length: each }, (_, seed) =>
        tryCase({ form, linesPerS, spoil, seed }),
      );
      tries.forEach((one, seed) => {
        streams += 1;
        slipped += one.slipped;
        const key = `${spoil} ${one.outcome}`;
        totals.set(key, (totals.get(key) ?? 0) + 1);
        if (one.outcome === "wrong")
          wrongs.push(`${form} ${linesPerS}/s ${spoil} seed ${seed}: ${one.why}`);
        if (one.linesBefore !== null && spoil === "clean") waits.push(one.linesBefore);
      });
      return cell(tries).padStart(17);
    });
    console.log(`${form.padEnd(17)}${String(linesPerS).padEnd(8)}${cells.join("")}`);
  }
}
console.log("\nall forms and rates");
for (const spoil of spoils) {
  const counts = outcomes.map((outcome) => `${outcome} ${totals.get(`${spoil} ${outcome}`) ?? 0}`);
  console.log(`${spoil.padEnd(17)}${counts.join(", ")}`);
}
waits.sort((a, b) => a - b);
console.log(
  `\nlines before the form was known or asked for, clean: median ${waits[Math.floor(waits.length / 2)]}, most ${waits.at(-1)}`,
);
console.log(
  `damaged lines that read as some weight: ${slipped} (a form without a checksum cannot tell)`,
);
for (const line of wrongs.slice(0, 20)) console.log(line);
console.log(
  `\n${wrongs.length === 0 ? "met" : "NOT MET"}: wrong never, in ${streams} streams (seeds 0 to ${each - 1})`,
);
process.exitCode = wrongs.length === 0 ? 0 : 1;
