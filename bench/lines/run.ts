/**
 * A million lines, whole, damaged and nonsense, through every form and through the program's reader.
 *   npm run bench:lines -- [--lines N] [--seed S]
 */
import { parseArgs } from "node:util";
import { forms } from "../../src/reading/forms.ts";
import { noFacts, type BuiltIn } from "../../src/reading/form.ts";
import { said } from "../../src/reading/piece.ts";
import { seeded } from "../../tests/rig/scale.ts";
import {
  checked,
  checkShare,
  complaint,
  Mill,
  mostKept,
  mutated,
  nonsense,
  pieceOf,
  singleBytesTaken,
  wholeLine,
} from "./damage.ts";

const { values } = parseArgs({
  options: {
    lines: { type: "string", default: "1000000" },
    seed: { type: "string", default: "20261125" },
  },
});
const lines = Number(values.lines);
const seed = Number(values.seed);
if (!Number.isInteger(lines) || lines < 100 || !Number.isInteger(seed)) {
  console.error("--lines and --seed are whole numbers, at least a hundred lines");
  process.exit(2);
}
const chance = seeded(seed);
const faults: string[] = [];
const mills = [new Mill(null), ...forms.map(({ name }) => new Mill(name))];
let mostSeen = 0;
for (let count = 0; count < lines; count++) {
  const form = forms[count % forms.length]!;
  const kind = chance();
  const whole = wholeLine(form.name, chance);
  const text =
    kind < 0.2
      ? whole
      : kind < 0.8
        ? mutated(whole, 1 + Math.floor(chance() * 4), chance)
        : nonsense(chance);
  try {
    const why = complaint(pieceOf(form, text)) ?? complaint(text);
    if (why !== null) faults.push(why);
    const mill = mills[count % mills.length]!;
    mill.push(text);
    mostSeen = Math.max(mostSeen, mill.keptCharacters());
  } catch (thrown) {
    faults.push(`threw ${String(thrown)} on ${JSON.stringify(text)}`);
  }
}
if (mostSeen > mostKept) faults.push(`${mostSeen} characters kept, more than ${mostKept}`);
const readings = mills.reduce((sum, mill) => sum + mill.readings, 0);
console.log(
  `${lines} lines (seed ${seed}): 20 % whole, 60 % with one to four blows, 20 % nonsense`,
);
console.log(
  `readings by the program's reader ${readings}; most characters kept by one stream ${mostSeen} (limit ${mostKept})`,
);

console.log(
  `
${"with a checksum".padEnd(18)}${["single bytes", "taken", "3 bytes taken", "2 figures taken", "checksum alone"].map((text) => text.padStart(16)).join("")}`,
);
for (const form of checked) {
  let single = 0;
  let taken = 0;
  for (let at = 0; at < 40; at++) {
    const frame = wholeLine(form.name, chance);
    single += frame.length * 255;
    const takenIn = singleBytesTaken(form, frame);
    taken += takenIn.length;
    faults.push(...takenIn.map((one) => `${form.name} took ${JSON.stringify(one)}`));
  }
  const anywhere = shareTaken(form, threeBytes);
  const figures = shareTaken(form, twoFigures);
  const own = checkShare(form);
  if (anywhere > own)
    faults.push(`${form.name}: ${percent(anywhere)} of three-byte damage slips through`);
  console.log(
    form.name.padEnd(18) +
      [String(single), String(taken), percent(anywhere), percent(figures), percent(own)]
        .map((text) => text.padStart(16))
        .join(""),
  );
}

/** Of 200,000 damaged frames, the share that reads as a weight other than the one that was sent. */
function shareTaken(form: BuiltIn, damage: (frame: string) => string): number {
  const heavy = 200_000;
  let slipped = 0;
  for (let at = 0; at < heavy; at++) {
    const frame = wholeLine(form.name, chance);
    const before = said(form, noFacts, frame);
    const after = said(form, noFacts, damage(frame));
    if (after?.is === "weight" && before?.is === "weight" && after.mass !== before.mass)
      slipped += 1;
  }
  return slipped / heavy;
}

function threeBytes(frame: string): string {
  const letters = frame.split("");
  for (let blow = 0; blow < 3; blow++)
    letters[Math.floor(chance() * letters.length)] = String.fromCharCode(
      Math.floor(chance() * 256),
    );
  return letters.join("");
}

/** Damage that only the checksum can see, and an exclusive-or sees least of: figures for figures. */
function twoFigures(frame: string): string {
  const letters = frame.split("");
  const figures = letters.flatMap((letter, at) => (at < 12 && /\d/.test(letter) ? [at] : []));
  for (let blow = 0; blow < 2; blow++)
    letters[figures[Math.floor(chance() * figures.length)]!] = String(Math.floor(chance() * 10));
  return letters.join("");
}

function percent(share: number): string {
  return `${(share * 100).toFixed(3)} %`;
}

for (const fault of faults.slice(0, 20)) console.log(fault);
console.log(
  `\n${faults.length === 0 ? "met" : "NOT MET"}: nothing thrown, no impossible weight, no single damaged byte taken, memory bounded`,
);
process.exitCode = faults.length === 0 ? 0 : 1;
