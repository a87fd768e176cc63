/**
 * A line form that a person describes in the settings file, without code. In: one table of the file, as it was
 * parsed. Out: a form like those in forms/, or everything that is wrong with it. A form is a list of parts in the
 * order of the line; what the parts are, and which may stand beside which, is checked so that a line can be taken
 * apart in one way only.
 */
import { checkKinds, isRight, type Checksum } from "./checksum.ts";
import { nearest } from "../units/nearest.ts";
import type { Form, ScaleKey } from "./form.ts";
import { weigh } from "./weigh.ts";

/** `key` and `part` (from 1) say where in the table it is. */
export type OwnFormProblem = {
  readonly key: string | null;
  readonly part: number | null;
  readonly detail: string;
};

type ReadOwnForm = Form | { readonly is: "problems"; readonly problems: OwnFormProblem[] };

const units = ["g", "kg", "oz", "lb"] as const;
type Unit = (typeof units)[number];
/** What is shown for each meaning of a part, such as S for still. */
type Words<Meaning extends string> = Readonly<Record<Meaning, readonly string[]>>;

type Part =
  | { readonly is: "literal"; readonly text: string }
  | { readonly is: "padding"; readonly least: number; readonly most: number }
  | { readonly is: "skip"; readonly width: number }
  | { readonly is: "sign" }
  | {
      readonly is: "digits";
      readonly least: number;
      readonly most: number;
      readonly point: "." | "," | "none";
      /** null: as many as the line shows. */
      readonly decimals: number | null;
      readonly words: Words<"over" | "under">;
    }
  | { readonly is: "unit"; readonly words: Words<Unit> }
  | { readonly is: "mark"; readonly words: Words<"still" | "moving"> }
  | { readonly is: "mode"; readonly words: Words<"gross" | "net"> };

type PartName = Part["is"];

const settings: Readonly<Record<PartName, readonly string[]>> = {
  literal: ["text"],
  padding: ["least", "most"],
  skip: ["width"],
  sign: [],
  digits: ["least", "most", "point", "decimals", "over", "under"],
  unit: units,
  mark: ["still", "moving"],
  mode: ["gross", "net"],
};
const tableKeys = ["name", "title", "line", "length", "unit", "keys", "frame", "check"];
const frameKeys = ["start", "end"] as const;
const checkKeys = ["kind", "from", "place"];
const places = ["before-end", "after-end"] as const;
/** One of these ends a line of any scale; a frame without one would never be looked for. */
const lineEnds = ["\r", "\n", "\u0003", "\u0004"];
const scaleKeys = ["tare", "zero", "unit"] as const;
const partNames = Object.keys(settings) as PartName[];
const mostParts = 24;
const mostWidth = 64;
const mostFigures = 9;
const mostDecimals = 6;

type Table = Readonly<Record<string, unknown>>;

class Problems {
  readonly found: OwnFormProblem[] = [];

  say(detail: string, where: { key?: string; part?: number } = {}): void {
    this.found.push({ key: where.key ?? null, part: where.part ?? null, detail });
  }
}

const isTable = (value: unknown): value is Table =>
  typeof value === "object" && value !== null && !Array.isArray(value);

const shown = (value: unknown): string => JSON.stringify(value) ?? String(value);

export const isProblems = (
  read: ReadOwnForm,
): read is Extract<ReadOwnForm, { readonly is: "problems" }> => "is" in read;

export function readOwnForm(value: unknown): ReadOwnForm {
  const problems = new Problems();
  const form = isTable(value) ? formOf(value, problems) : null;
  if (!isTable(value)) problems.say(`${shown(value)} is not a table; begin a form with [[form]]`);
  if (form === null || problems.found.length > 0) {
    return { is: "problems", problems: problems.found };
  }
  return form;
}

function formOf(table: Table, problems: Problems): Form | null {
  for (const key of Object.keys(table))
    if (!tableKeys.includes(key))
      problems.say(`"${key}" is not known here; did you mean "${nearest(key, tableKeys)}"?`, {
        key,
      });
  const name = nameOf(table["name"], problems);
  const parts = partsOf(table["line"], problems);
  const length = wholeOf(table, "length", { least: 1, most: 255, usual: null }, problems);
  const frame = frameOf(table["frame"], length, problems);
  const check = checkOf(table["check"], frame, problems);
  const unit = unitOf(table["unit"], parts, problems);
  const keys = keysOf(table["keys"], problems);
  const title = titleOf(table["title"], name, problems);
  checkNeighbours(parts, problems);
  if (problems.found.length > 0) return null;
  const steps = framed(
    parts.map((part) => ({ name: part.is, source: sourceOf(part) })),
    frame,
    check,
  );
  const whole = steps.map(({ source }) => source).join("");
  const decode = decoderOf(parts, unit);
  return {
    name: `own:${name}`,
    title,
    cut: frame === null ? "line" : { start: frame.start.charCodeAt(0), length: frame.length },
    pattern: new RegExp(`^${length === null ? "" : `(?=[^]{${length}}$)`}${whole}$`),
    steps,
    ...(keys === null ? {} : { keys }),
    ...(check === null ? {} : { check }),
    decode:
      check === null
        ? decode
        : (said, facts, raw) => (isRight(raw, check) ? decode(said, facts, raw) : null),
  };
}

type Frame = { readonly start: string; readonly end: string; readonly length: number };
type Steps = NonNullable<Form["steps"]>;

/** The start before the parts; the end behind them, and the check byte before or after it. */
function framed(parts: Steps, frame: Frame | null, check: Checksum | null): Steps {
  if (frame === null) return parts;
  const bytes = (name: string, text: string) => ({ name, source: bytesOf(text) });
  const end = bytes("end", frame.end);
  // A sum counts seven bits, so that its byte has no eighth.
  const byte = { name: "check", source: check?.kind === "sum" ? "[\\x00-\\x7f]" : "[^]" };
  const isLast = check !== null && check.at === frame.length - 1;
  const tail = check === null ? [end] : isLast ? [end, byte] : [byte, end];
  return [bytes("start", frame.start), ...parts, ...tail];
}

const bytesOf = (text: string): string =>
  Array.from(text, (letter) => `\\x${letter.charCodeAt(0).toString(16).padStart(2, "0")}`).join("");

function frameOf(value: unknown, length: number | null, problems: Problems): Frame | null {
  if (value === undefined) return null;
  const say = (detail: string): void => problems.say(detail, { key: "frame" });
  if (!isTable(value)) {
    say('frame has to be a table, such as frame = { start = "\\u0002", end = "\\r" }');
    return null;
  }
  for (const key of Object.keys(value))
    if (!frameKeys.some((one) => one === key)) say(`frame takes no "${key}", but start and end`);
  const [start, end] = frameKeys.map((key) => {
    const text = value[key];
    if (isLatin1(text) && text.length <= 4) return text;
    say(`frame: ${key} = ${shown(text)} is not a text of 1 to 4 bytes`);
    return null;
  });
  if (typeof end === "string" && !lineEnds.some((byte) => end.includes(byte)))
    say("frame: the end needs one of \\r, \\n, \\u0003, \\u0004, by which frames are noticed");
  if (length === null) say("frame needs the length of a whole frame: length = 18");
  if (typeof start !== "string" || typeof end !== "string" || length === null) return null;
  return { start, end, length };
}

function checkOf(value: unknown, frame: Frame | null, problems: Problems): Checksum | null {
  if (value === undefined) return null;
  const say = (detail: string): void => problems.say(detail, { key: "check" });
  if (!isTable(value)) {
    say('check has to be a table, such as check = { kind = "xor", from = 1 }');
    return null;
  }
  if (frame === null) {
    say("check needs a frame: frame, and the length of it");
    return null;
  }
  for (const key of Object.keys(value))
    if (!checkKeys.includes(key)) say(`check takes no "${key}"; it takes ${checkKeys.join(", ")}`);
  const kind = checkKinds.find((one) => one === value["kind"]);
  if (kind === undefined)
    say(`check: kind = ${shown(value["kind"])} is none of ${checkKinds.join(", ")}`);
  const place = places.find((one) => one === (value["place"] ?? "before-end"));
  if (place === undefined)
    say(`check: place = ${shown(value["place"])} is none of ${places.join(", ")}`);
  // Nothing but the start itself may stand before what it covers: else damage there would pass.
  const most = frame.start.length;
  const from = value["from"] ?? 0;
  if (typeof from !== "number" || !Number.isInteger(from) || from < 0 || from > most) {
    say(
      `check: from = ${shown(from)} is not a whole number from 0 to ${most}, the first byte covered`,
    );
    return null;
  }
  if (kind === undefined || place === undefined) return null;
  return { kind, from, at: frame.length - 1 - (place === "after-end" ? 0 : frame.end.length) };
}

function nameOf(value: unknown, problems: Problems): string {
  if (typeof value === "string" && /^[a-z][a-z0-9-]{0,30}$/.test(value)) return value;
  const is = value === undefined ? "is missing" : `${shown(value)} cannot be a name`;
  problems.say(
    `name ${is}: give small letters, figures and hyphens, such as name = "bench-scale"`,
    { key: "name" },
  );
  return "";
}

function titleOf(value: unknown, name: string, problems: Problems): string {
  if (value === undefined) return `own form ${name}`;
  if (typeof value === "string" && value !== "" && value.length <= 200) return value;
  problems.say(`title = ${shown(value)} is not a text of 1 to 200 characters`, { key: "title" });
  return "";
}

function unitOf(value: unknown, parts: readonly Part[], problems: Problems): Unit | null {
  if (value === undefined) return null;
  const unit = units.find((one) => one === value);
  if (unit === undefined)
    problems.say(`unit = ${shown(value)} is none of ${units.join(", ")}`, { key: "unit" });
  else if (parts.some(({ is }) => is === "unit"))
    problems.say(`the line shows its unit already; leave unit = ${shown(value)} out`, {
      key: "unit",
    });
  return unit ?? null;
}

function keysOf(value: unknown, problems: Problems): NonNullable<Form["keys"]> | null {
  if (value === undefined) return null;
  if (!isTable(value)) {
    problems.say('keys has to be a table, such as keys = { tare = "T\\r\\n" }', { key: "keys" });
    return null;
  }
  for (const [key, text] of Object.entries(value)) {
    if (!scaleKeys.some((one) => one === key))
      problems.say(`keys has no "${key}"; a scale is told ${scaleKeys.join(", ")}`, {
        key: "keys",
      });
    // What is sent is latin1, and no command of a scale is long.
    else if (!isLatin1(text))
      problems.say(`keys: ${key} = ${shown(text)} is not a text of 1 to 32 bytes`, { key: "keys" });
  }
  return value as Partial<Record<ScaleKey, string>>;
}

function partsOf(value: unknown, problems: Problems): readonly Part[] {
  if (!Array.isArray(value) || value.length === 0 || value.length > mostParts) {
    problems.say(
      `line has to be a list of 1 to ${mostParts} parts, such as line = [{ part = "digits" }, { part = "unit" }]`,
      { key: "line" },
    );
    return [];
  }
  const parts = value
    .map((one: unknown, at) => partOf(one, at + 1, problems))
    .filter((one) => one !== null);
  for (const name of ["sign", "digits", "unit", "mark", "mode"] as const)
    if (parts.filter(({ is }) => is === name).length > 1)
      problems.say(`the line has more than one part "${name}"; only one can count`, {
        key: "line",
      });
  if (parts.length === value.length && !parts.some(({ is }) => is === "digits"))
    problems.say('the line has no part "digits", so it shows no weight', { key: "line" });
  return parts;
}

function partOf(value: unknown, part: number, all: Problems): Part | null {
  const own = new Problems();
  const read = isTable(value) ? readPart(value, own) : null;
  if (!isTable(value)) own.say(`${shown(value)} is no part; write { part = "digits" }`);
  for (const { detail } of own.found) all.say(detail, { part });
  return own.found.length > 0 ? null : read;
}

function readPart(table: Table, problems: Problems): Part | null {
  const name = partNames.find((one) => one === table["part"]);
  if (name === undefined) {
    const given = table["part"];
    problems.say(
      typeof given === "string"
        ? `${shown(given)} is no part; did you mean "${nearest(given, partNames)}"?`
        : `part is missing: one of ${partNames.join(", ")}`,
    );
    return null;
  }
  const known = settings[name];
  for (const key of Object.keys(table))
    if (key !== "part" && !known.includes(key))
      problems.say(
        known.length === 0
          ? `${name} takes no "${key}"`
          : `${name} takes no "${key}"; it takes ${known.join(", ")}`,
      );
  switch (name) {
    case "literal":
      return { is: name, text: textOf(table["text"], problems) };
    case "padding": {
      const range = { least: 0, most: mostWidth };
      const least = wholeOf(table, "least", { ...range, usual: 0 }, problems) ?? 0;
      const most = wholeOf(table, "most", { ...range, usual: mostWidth }, problems) ?? mostWidth;
      if (most < Math.max(least, 1)) problems.say(`most = ${most} leaves no room for a blank`);
      return { is: name, least, most };
    }
    case "skip": {
      const width = wholeOf(table, "width", { least: 1, most: mostWidth, usual: null }, problems);
      if (width === null) problems.say("skip needs its width, such as width = 4");
      return { is: name, width: width ?? 1 };
    }
    case "sign":
      return { is: name };
    case "digits":
      return digitsOf(table, problems);
    case "unit": {
      const given = units.some((unit) => table[unit] !== undefined);
      const words = wordsOf(table, units, problems, false);
      return { is: name, words: given ? words : { g: ["g"], kg: ["kg"], oz: ["oz"], lb: ["lb"] } };
    }
    case "mark":
      return { is: name, words: neededWords(table, ["still", "moving"], problems) };
    case "mode":
      return { is: name, words: neededWords(table, ["gross", "net"], problems) };
  }
}

function digitsOf(table: Table, problems: Problems): Part {
  const range = { least: 1, most: mostFigures };
  const least = wholeOf(table, "least", { ...range, usual: 1 }, problems) ?? 1;
  const most = wholeOf(table, "most", { ...range, usual: mostFigures }, problems) ?? mostFigures;
  const decimals = wholeOf(
    table,
    "decimals",
    { least: 0, most: mostDecimals, usual: null },
    problems,
  );
  const point = ([".", ",", "none"] as const).find((one) => one === (table["point"] ?? "."));
  if (point === undefined)
    problems.say(`point = ${shown(table["point"])} is none of ".", "," and "none"`);
  if (most < least) problems.say(`most = ${most} is less than least = ${least}`);
  if (point === "none" && decimals === null)
    problems.say('point = "none" needs decimals: how many of the figures stand behind the point?');
  if (point === "none" && decimals !== null && decimals > least)
    problems.say(
      `least = ${least} figures are fewer than the ${decimals} that stand behind the point`,
    );
  const words = wordsOf(table, ["over", "under"], problems, false);
  return { is: "digits", least, most, point: point ?? ".", decimals, words };
}

function neededWords<Meaning extends string>(
  table: Table,
  meanings: readonly Meaning[],
  problems: Problems,
): Words<Meaning> {
  if (meanings.every((one) => table[one] === undefined))
    problems.say(
      `${String(table["part"])} needs what it shows, such as ${meanings[0]} = ["${meanings[0]?.[0]?.toUpperCase()}"]`,
    );
  return wordsOf(table, meanings, problems, table["part"] === "mark");
}

function wordsOf<Meaning extends string>(
  table: Table,
  meanings: readonly Meaning[],
  problems: Problems,
  mayBeEmpty: boolean,
): Words<Meaning> {
  const seen = new Set<string>();
  const words: Partial<Record<Meaning, readonly string[]>> = {};
  for (const meaning of meanings) {
    const value = table[meaning] ?? [];
    const list: readonly unknown[] = Array.isArray(value) ? value : [value];
    for (const word of list) {
      if (!isWord(word, mayBeEmpty))
        problems.say(
          `${meaning}: ${shown(word)} is not a text of 1 to 32 printable characters (blank to ~)`,
        );
      else if (seen.has(word)) problems.say(`"${word}" cannot mean two things`);
      else seen.add(word);
    }
    words[meaning] = list.filter((word) => isWord(word, mayBeEmpty));
  }
  return words as Words<Meaning>;
}

const isLatin1 = (value: unknown): value is string =>
  typeof value === "string" &&
  value.length > 0 &&
  value.length <= 32 &&
  Array.from(value).every((letter) => letter.charCodeAt(0) <= 0xff);

const isWord = (value: unknown, mayBeEmpty: boolean): value is string =>
  typeof value === "string" && (mayBeEmpty ? /^[ -~]{0,32}$/ : /^[ -~]{1,32}$/).test(value);

function textOf(value: unknown, problems: Problems): string {
  if (isWord(value, false)) return value;
  problems.say(
    value === undefined
      ? 'literal needs its text, such as text = "W:"'
      : `text = ${shown(value)} is not a text of 1 to 32 printable characters (blank to ~)`,
  );
  return "";
}

function wholeOf(
  table: Table,
  key: string,
  { least, most, usual }: { readonly least: number; readonly most: number; usual: number | null },
  problems: Problems,
): number | null {
  const value = table[key];
  if (value === undefined) return usual;
  if (typeof value === "number" && Number.isInteger(value) && value >= least && value <= most) {
    return value;
  }
  problems.say(`${key} = ${shown(value)} is not a whole number from ${least} to ${most}`, { key });
  return usual;
}

/** Where a part may be as long as it likes, what stands beside it must not look like more of it. */
function checkNeighbours(parts: readonly Part[], problems: Problems): void {
  parts.forEach((one, at) => {
    const before = parts[at - 1];
    const after = parts[at + 1];
    const say = (detail: string): void => problems.say(detail, { part: at + 1 });
    if (one.is === "padding" && before?.is === "padding")
      say("padding follows padding; make one of the two");
    if (one.is === "padding" && [before, after].some((near) => beginsOrEnds(near, " ")))
      say(
        "what stands beside padding begins or ends with a blank; leave that blank to the padding",
      );
    if (one.is === "skip" && [before, after].some((near) => near && near.is !== "literal"))
      say("skip may only stand at an end of the line or beside a literal");
    if (one.is === "digits" && after && wordsIn(after).some((word) => /^[\d.,]/.test(word)))
      say("what follows the digits begins with a figure, a point or a comma");
    if (one.is === "digits" && before && before.is !== "literal" && endsInFigure(before))
      say("what stands before the digits ends with a figure");
    if (one.is === "digits" && wordsIn(one).some((word) => /^[\d.,]/.test(word)))
      say("over and under may not begin with a figure, a point or a comma");
    if (one.is === "mark" && after && wordsIn(one).includes(""))
      say('a mark may be empty ("") only at the end of the line');
  });
}

const wordsIn = (part: Part): readonly string[] => {
  if (part.is === "literal") return [part.text];
  return "words" in part ? Object.values(part.words).flat() : [];
};

const beginsOrEnds = (part: Part | undefined, letter: string): boolean =>
  part !== undefined &&
  wordsIn(part).some((word) => word.startsWith(letter) || word.endsWith(letter));

const endsInFigure = (part: Part): boolean => wordsIn(part).some((word) => /\d$/.test(word));

const escaped = (text: string): string => text.replaceAll(/[.*+?^${}()|[\]\\/-]/g, "\\$&");

/** The longest word first, so that a short one cannot hide it. */
const anyOf = (words: readonly string[]): string =>
  words
    .toSorted((a, b) => b.length - a.length)
    .map(escaped)
    .join("|");

function sourceOf(part: Part): string {
  switch (part.is) {
    case "literal":
      return escaped(part.text);
    case "padding":
      return ` {${part.least},${part.most}}`;
    case "skip":
      return `[ -~]{${part.width}}`;
    case "sign":
      return "(?<sign>[+-]?)";
    case "digits": {
      const { over, under } = part.words;
      const ways = [
        `(?<number>${figuresOf(part)})`,
        ...(over.length > 0 ? [`(?<over>${anyOf(over)})`] : []),
        ...(under.length > 0 ? [`(?<under>${anyOf(under)})`] : []),
      ];
      return `(?:${ways.join("|")})`;
    }
    case "unit":
    case "mark":
    case "mode":
      return `(?<${part.is}>${anyOf(wordsIn(part))})`;
  }
}

function figuresOf({ least, most, point, decimals }: Extract<Part, { is: "digits" }>): string {
  const figures = `\\d{${least},${most}}`;
  if (point === "none" || decimals === 0) return figures;
  const mark = point === "." ? "\\." : ",";
  return decimals === null
    ? `${figures}(?:${mark}\\d{1,${mostDecimals}})?`
    : `${figures}${mark}\\d{${decimals}}`;
}

function decoderOf(parts: readonly Part[], fixed: Unit | null): Form["decode"] {
  const find = <Name extends PartName>(name: Name) =>
    parts.find((part): part is Extract<Part, { is: Name }> => part.is === name);
  const digits = find("digits");
  const meaning = <Word extends string>(
    words: Words<Word> | undefined,
    text: string | undefined,
  ) =>
    words === undefined || text === undefined
      ? undefined
      : (Object.keys(words) as Word[]).find((one) => words[one].includes(text));
  return (line, facts) => {
    if (line["under"] !== undefined) return { is: "under" };
    const unit = meaning(find("unit")?.words, line["unit"]) ?? fixed;
    const number = numberOf(line["number"], digits);
    const signed = `${line["sign"] === "-" ? "-" : ""}${number ?? ""}`;
    const seen = {
      ...(line["over"] === undefined ? {} : { over: line["over"] }),
      ...(number === undefined ? {} : { number: signed }),
      ...(unit === null ? {} : { unit }),
    };
    const still = meaning(find("mark")?.words, line["mark"]);
    return weigh(
      seen,
      { ...facts, comma: "decimal" },
      {
        basis: meaning(find("mode")?.words, line["mode"]) ?? "unknown",
        scaleSaysStill: still === undefined ? null : still === "still",
      },
    );
  };
}

function numberOf(
  text: string | undefined,
  digits: Extract<Part, { is: "digits" }> | undefined,
): string | undefined {
  if (text === undefined || digits?.point !== "none") return text;
  const decimals = digits.decimals ?? 0;
  if (decimals === 0) return text;
  const end = text.length - decimals;
  return `${text.slice(0, end)}.${text.slice(end)}`;
}
