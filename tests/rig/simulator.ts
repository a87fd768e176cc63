/**
 * A scale that does not exist, on a pseudo-terminal, worked by hand or by a script: `place 812.6`, `bump`,
 * `silence 5`. Loads ring as in `scale.ts`; what else can go wrong with a scale is a word each. It obeys the keys
 * that a program presses, where its form has them. For developers and tests; made up throughout.
 */
import { setTimeout as pause } from "node:timers/promises";
import type { BuiltInName } from "../../src/reading/form.ts";
import { formNamed } from "../../src/reading/forms.ts";
import { Pty } from "./pty.ts";
import { gramsPer, lineOf, overLineOf, seeded, type Script } from "./scale.ts";

type Unit = Script["unit"];

export type SimulatorSettings = {
  readonly form: BuiltInName;
  readonly unit: Unit;
  /** Step of the display, in the unit. */
  readonly step: number;
  readonly perSecond: number;
  readonly noiseGrams: number;
  readonly seed: number;
  /** Sends a line only when these bytes come, as a scale does that waits to be asked. */
  readonly askedBy: string | null;
};

export const usualSettings: SimulatorSettings = {
  form: "marked",
  unit: "g",
  step: 0.1,
  perSecond: 10,
  noiseGrams: 0.02,
  seed: 1,
  askedBy: null,
};

/** What may be said to it, with what each word means. */
export const words = {
  place: "place GRAMS: lays a load on the pan",
  lift: "lift: takes it off",
  bump: "bump: a knock on the bench that rings out",
  swing: "swing on|off: the load swings and does not come to rest",
  drift: "drift GRAMS_PER_S: the load gains or loses; 0 ends it",
  noise: "noise GRAMS: flicker, as a standard deviation",
  partial: "partial: the next line breaks off in the middle",
  damage: "damage: one character of the next line is another",
  silence: "silence SECONDS: sends nothing, the plug stays in",
  unplug: "unplug SECONDS: pulled, and plugged in again as another device behind the same link",
  overload: "overload on|off: shows more than it can weigh, where its form can say so",
  unit: "unit g|kg|oz|lb: somebody presses the unit key",
  key: "key tare|zero|unit: somebody presses a key of the scale",
  wait: "wait SECONDS: of a script",
} as const;
type Word = keyof typeof words;

/** What `--fault` of the program does: once, and again every so many seconds. */
export const faults: Readonly<Record<string, { readonly say: readonly string[]; everyS: number }>> =
  {
    swing: { say: ["swing on"], everyS: 0 },
    drift: { say: ["drift -0.05"], everyS: 0 },
    noise: { say: ["noise 0.3"], everyS: 0 },
    bump: { say: ["bump"], everyS: 5 },
    partial: { say: ["partial"], everyS: 1 },
    damage: { say: ["damage"], everyS: 1 },
    silence: { say: ["silence 5"], everyS: 15 },
    unplug: { say: ["unplug 2"], everyS: 15 },
    overload: { say: ["overload on", "wait 2", "overload off"], everyS: 15 },
    unit: { say: ["key unit"], everyS: 15 },
  };

const swingHz = 1.3;
const swingShare = 0.02;
const bumpHz = 4;
const bumpDecayMs = 300;
const ringHz = 3;
const ringDecayMs = 90;
const unitsInTurn: readonly Unit[] = ["g", "kg", "oz", "lb"];
const stepPer = { g: 1, kg: 0.001, oz: 0.05, lb: 0.002 } as const;

export class Simulator {
  readonly #pty: Pty;
  readonly #settings: SimulatorSettings;
  readonly #chance: () => number;
  readonly #timer: NodeJS.Timeout;
  readonly #startedMs = performance.now();
  #unit: Unit;
  #load = { grams: 0, before: 0, sinceMs: 0 };
  #driftGramsPerS = 0;
  #driftFromMs = 0;
  #noiseGrams: number;
  #bumpedMs = Number.NEGATIVE_INFINITY;
  #swings = false;
  #over = false;
  #next: "whole" | "partial" | "damaged" = "whole";
  #silentUntilMs = 0;
  #tareGrams = 0;
  #isNet = false;
  #shownBefore = Number.NaN;
  #heard = 0;
  #lastLineMs = Number.NEGATIVE_INFINITY;

  private constructor(pty: Pty, settings: SimulatorSettings) {
    this.#pty = pty;
    this.#settings = settings;
    this.#unit = settings.unit;
    this.#noiseGrams = settings.noiseGrams;
    this.#chance = seeded(settings.seed);
    const everyMs = 1000 / settings.perSecond;
    this.#timer = setInterval(() => this.#tick(everyMs), Math.min(everyMs, 20));
  }

  /** `rigFolder`: where pty.py lies, for a caller that was compiled to another place. */
  static async start(
    settings: Partial<SimulatorSettings> = {},
    rigFolder?: string,
  ): Promise<Simulator> {
    return new Simulator(await Pty.start(rigFolder), { ...usualSettings, ...settings });
  }

  /** The link that a program opens; it stays the same over an unplug. */
  get path(): string {
    return this.#pty.path;
  }

  get device(): string {
    return this.#pty.device;
  }

  /** Does what a word of `words` says. Throws with a sentence on what it does not know. */
  async say(text: string): Promise<void> {
    const [word = "", given = ""] = text.trim().split(/\s+/);
    const now = this.#now();
    switch (word) {
      case "place":
        return this.#lay(numberOf(given, word), now);
      case "lift":
        return this.#lay(0, now);
      case "bump":
        this.#bumpedMs = now;
        return;
      case "swing":
        this.#swings = isOn(given, word);
        return;
      case "drift":
        this.#load = { ...this.#load, grams: this.#rest(now) };
        this.#driftGramsPerS = numberOf(given, word);
        this.#driftFromMs = now;
        return;
      case "noise":
        this.#noiseGrams = numberOf(given, word);
        return;
      case "partial":
        this.#next = "partial";
        return;
      case "damage":
        this.#next = "damaged";
        return;
      case "silence":
        this.#silentUntilMs = now + 1000 * numberOf(given, word);
        return;
      case "unplug":
        await this.#pty.pull();
        await pause(1000 * numberOf(given, word));
        return this.#pty.plug();
      case "overload":
        if (overLineOf(this.#settings.form) === null)
          throw new Error(`the form ${this.#settings.form} has no way to say overload`);
        this.#over = isOn(given, word);
        return;
      case "unit": {
        const unit = unitsInTurn.find((one) => one === given);
        if (unit === undefined) throw new Error(`"${given}" is none of ${unitsInTurn.join(", ")}`);
        this.#unit = unit;
        return;
      }
      case "key":
        return this.#press(given);
      case "wait":
        await pause(1000 * numberOf(given, word));
        return;
      default:
        throw new Error(`"${word}" is not known: ${Object.keys(words).join(", ")}`);
    }
  }

  /** One word after the other, parted by semicolons or ends of line. */
  async play(script: string): Promise<void> {
    for (const text of script.split(/[;\n]/).filter((one) => one.trim() !== ""))
      await this.say(text);
  }

  async close(): Promise<void> {
    clearInterval(this.#timer);
    await this.#pty.close();
  }

  #now(): number {
    return performance.now() - this.#startedMs;
  }

  #lay(grams: number, now: number): void {
    this.#load = { grams, before: this.#rest(now), sinceMs: now };
    this.#driftFromMs = now;
  }

  /** What would be shown if all stood still. */
  #rest(now: number): number {
    return this.#load.grams + (this.#driftGramsPerS * (now - this.#driftFromMs)) / 1000;
  }

  #massAt(now: number): number {
    const wave = (hz: number, ms: number): number => Math.cos((2 * Math.PI * hz * ms) / 1000);
    const since = now - this.#load.sinceMs;
    const ring = (this.#load.before - this.#load.grams) * 0.3;
    const bumped = now - this.#bumpedMs;
    const bump = Number.isFinite(bumped)
      ? (5 + 0.05 * this.#load.grams) * Math.exp(-bumped / bumpDecayMs) * wave(bumpHz, bumped)
      : 0;
    const swing = this.#swings ? swingShare * (10 + this.#load.grams) * wave(swingHz, now) : 0;
    const noise = this.#noiseGrams * bell(this.#chance);
    return (
      this.#rest(now) +
      ring * Math.exp(-since / ringDecayMs) * wave(ringHz, since) +
      bump +
      swing +
      noise -
      this.#tareGrams
    );
  }

  #press(key: string): void {
    const now = this.#now();
    if (key === "unit") {
      const at = unitsInTurn.indexOf(this.#unit);
      this.#unit = unitsInTurn[(at + 1) % unitsInTurn.length] ?? "g";
    } else if (key === "tare" || key === "zero") {
      this.#tareGrams = this.#rest(now);
      this.#isNet = key === "tare" && this.#tareGrams !== 0;
    } else throw new Error(`a scale has no key "${key}": tare, zero or unit`);
  }

  #tick(everyMs: number): void {
    const asked = this.#obey();
    const now = this.#now();
    if (now < this.#silentUntilMs) return;
    if (this.#settings.askedBy !== null) {
      for (let count = 0; count < asked; count++) this.#send(now);
      return;
    }
    if (now - this.#lastLineMs < everyMs - 1) return;
    this.#lastLineMs = now;
    this.#send(now);
  }

  /** Does what the program has sent since the last look; answers how often it asked for a line. */
  #obey(): number {
    const got = this.#pty.got();
    const fresh = got.slice(this.#heard);
    if (fresh === "") return 0;
    const { keys = {} } = formNamed(this.#settings.form);
    for (const key of ["tare", "zero", "unit"] as const)
      if (keys[key] !== undefined && fresh.includes(keys[key])) this.#press(key);
    this.#heard = got.length;
    const { askedBy } = this.#settings;
    return askedBy === null ? 0 : fresh.split(askedBy).length - 1;
  }

  #send(now: number): void {
    const { form, step: own, unit: usual } = this.#settings;
    const step = this.#unit === usual ? own : stepPer[this.#unit];
    const counts = Math.round(this.#massAt(now) / gramsPer[this.#unit] / step);
    const shown = counts * step;
    const still = Math.abs(shown - this.#shownBefore) <= step * 1.01;
    this.#shownBefore = shown;
    const over = this.#over ? overLineOf(form) : null;
    const line = over ?? lineOf({ form, unit: this.#unit, step, net: this.#isNet }, shown, still);
    this.#pty.send(this.#spoilt(line));
  }

  #spoilt(line: string): string {
    const how = this.#next;
    this.#next = "whole";
    if (how === "partial") return line.slice(0, Math.floor(line.length / 2));
    if (how === "whole") return line;
    const at = Math.floor(this.#chance() * line.length);
    return `${line.slice(0, at)}?${line.slice(at + 1)}`;
  }
}

function numberOf(text: string, word: Word): number {
  const value = Number(text);
  if (text !== "" && Number.isFinite(value)) return value;
  throw new Error(`"${text}" is not a number: ${words[word]}`);
}

function isOn(text: string, word: Word): boolean {
  if (text !== "on" && text !== "off") throw new Error(words[word]);
  return text === "on";
}

/** A standard normal value, by Box and Muller. */
const bell = (chance: () => number): number =>
  Math.sqrt(-2 * Math.log(1 - chance())) * Math.cos(2 * Math.PI * chance());
