/**
 * `npm run scale`: a simulated scale on a pseudo-terminal, to develop against. Prints the device; takes words on
 * standard input, from a script, or as faults that come again and again, until it is interrupted.
 */
import { join } from "node:path";
import { createInterface } from "node:readline";
import { parseArgs } from "node:util";
import { forms } from "../../src/reading/forms.ts";
import { faults, Simulator, usualSettings, words } from "../../tests/rig/simulator.ts";

/** Every form but the one of a scale without a serial line. */
const played = forms.filter(({ name }) => name !== "usb-report");

const usage = `usage: npm run scale -- [options]
  --form NAME         ${played.map(({ name }) => name).join(", ")}
  --unit U            g, kg, oz, lb (default g)
  --step S            step of the display, in that unit (default 0.1)
  --rate N            lines a second (default 10)
  --noise GRAMS       flicker, a standard deviation (default 0.02)
  --seed N            of the flicker (default 1)
  --ask TEXT          sends a line only when asked with these bytes, percent-encoded: SI%0D%0A
  --fault NAME        ${Object.keys(faults).join(", ")}; may be given again
  --script "A; B"     words to go through once; then it goes on
words, also on standard input:
${Object.values(words)
  .map((says) => `  ${says}`)
  .join("\n")}
  quit`;

function asked() {
  const { values } = parseArgs({
    options: {
      form: { type: "string", default: usualSettings.form },
      unit: { type: "string", default: usualSettings.unit },
      step: { type: "string", default: String(usualSettings.step) },
      rate: { type: "string", default: String(usualSettings.perSecond) },
      noise: { type: "string", default: String(usualSettings.noiseGrams) },
      seed: { type: "string", default: String(usualSettings.seed) },
      ask: { type: "string" },
      fault: { type: "string", multiple: true, default: [] },
      script: { type: "string" },
      help: { type: "boolean", short: "h" },
    },
  });
  if (values.help) return null;
  const form = played.find(({ name }) => name === values.form);
  if (form === undefined) throw new Error(`--form ${values.form} is none of those below`);
  const unit = (["g", "kg", "oz", "lb"] as const).find((one) => one === values.unit);
  if (unit === undefined) throw new Error(`--unit ${values.unit} is none of g, kg, oz, lb`);
  const unknown = values.fault.find((name) => faults[name] === undefined);
  if (unknown !== undefined) throw new Error(`--fault ${unknown} is none of those below`);
  return {
    settings: {
      form: form.name,
      unit,
      step: positive(values.step, "--step"),
      perSecond: positive(values.rate, "--rate"),
      noiseGrams: Math.abs(number(values.noise, "--noise")),
      seed: number(values.seed, "--seed"),
      askedBy: values.ask === undefined ? null : decodeURIComponent(values.ask),
    },
    faults: values.fault,
    script: values.script ?? "",
  };
}

function number(text: string, name: string): number {
  const value = Number(text);
  if (text === "" || !Number.isFinite(value)) throw new Error(`${name} ${text} is not a number`);
  return value;
}

function positive(text: string, name: string): number {
  const value = number(text, name);
  if (value <= 0) throw new Error(`${name} has to be more than 0`);
  return value;
}

function read(): ReturnType<typeof asked> {
  try {
    return asked();
  } catch (thrown) {
    console.error(`${thrown instanceof Error ? thrown.message : String(thrown)}\n${usage}`);
    process.exit(2);
  }
}

const given = read();
if (given === null) {
  console.log(usage);
  process.exit(0);
}
// The program runs from .build/bench/bench/scale/.
const rigFolder = join(import.meta.dirname, "..", "..", "..", "..", "tests", "rig");
const scale = await Simulator.start(given.settings, rigFolder);
console.log(scale.path);
console.error(`now ${scale.device}; try: npm start -- --scale ${scale.path}`);

const tell = (thrown: unknown): void =>
  console.error(thrown instanceof Error ? thrown.message : String(thrown));
let ended = false;
const end = (): void => {
  if (ended) return;
  ended = true;
  void scale.close().then(() => process.exit(0));
};
process.once("SIGINT", end);
process.once("SIGTERM", end);

for (const name of given.faults) {
  const { say = [], everyS = 0 } = faults[name] ?? {};
  const play = (): void => void scale.play(say.join(";")).catch(tell);
  if (everyS === 0) play();
  else setInterval(play, everyS * 1000);
}
const input = createInterface({ input: process.stdin });
input.on("line", (line) => {
  if (line.trim() === "quit") end();
  else if (line.trim() !== "") void scale.play(line).catch(tell);
});
await scale.play(given.script).catch(tell);
