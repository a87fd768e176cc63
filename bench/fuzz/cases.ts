/** What is sent: values that fit a schema, the same with something wrong in them, and rubbish; all by a seed. */
export type Chance = () => number;
export type Json = null | boolean | number | string | Json[] | { [name: string]: Json };

type Schema = {
  readonly $ref?: string;
  readonly type?: string;
  readonly enum?: readonly Json[];
  readonly const?: Json;
  readonly anyOf?: readonly Schema[];
  readonly items?: Schema;
  readonly properties?: Readonly<Record<string, Schema>>;
  readonly required?: readonly string[];
  readonly format?: string;
  readonly minimum?: number;
  readonly maximum?: number;
  readonly exclusiveMinimum?: number;
  readonly minItems?: number;
  readonly minLength?: number;
};
export type Schemas = Readonly<Record<string, Schema>>;
export type { Schema };

export const below = (most: number, chance: Chance): number => Math.floor(chance() * most);
export function pick<T>(list: readonly T[], chance: Chance): T {
  const one = list[below(list.length, chance)];
  if (one === undefined) throw new Error("nothing to pick from");
  return one;
}

const nasty = [
  "",
  " ",
  "\0",
  "__proto__",
  "constructor",
  "../../../../etc/passwd",
  "..%2f..%2fetc%2fpasswd",
  "%00",
  "<img src=x onerror=alert(1)>",
  "=1+1",
  "@SUM(A1)",
  "'; DROP TABLE weighing; --",
  "\ud800",
  "\u202e",
  "é".repeat(40),
  "x".repeat(79),
  "x".repeat(5000),
  "NaN",
  "1e400",
  "-0",
  "0x10",
  "2026-02-30T25:61:00Z",
  "2026-03-29T02:30:00+01:00",
  "9999-12-31T23:59:59Z",
  "\n\r\t",
] as const;
const extremes = [
  0,
  -0,
  -1,
  1,
  0.1,
  1e-9,
  1e9,
  2 ** 31,
  2 ** 53,
  -(2 ** 53),
  1e308,
  5e-324,
] as const;

export function rubbish(chance: Chance, depth = 3): Json {
  switch (below(depth > 0 ? 7 : 5, chance)) {
    case 0:
      return null;
    case 1:
      return chance() < 0.5;
    case 2:
      return pick(extremes, chance);
    case 3:
      return pick(nasty, chance);
    case 4:
      return letters(below(30, chance), chance);
    case 5:
      return Array.from({ length: below(4, chance) }, () => rubbish(chance, depth - 1));
    default:
      return Object.fromEntries(
        Array.from({ length: below(4, chance) }, () => [
          chance() < 0.3 ? pick(nasty, chance) : letters(1 + below(6, chance), chance),
          rubbish(chance, depth - 1),
        ]),
      );
  }
}

/** Any of the first 512 characters, control characters among them. */
export const letters = (length: number, chance: Chance): string =>
  String.fromCharCode(...Array.from({ length }, () => below(512, chance)));

/** Moments about `nowMs`, so that some lie in the past of a batch and some in its future. */
const moment = (nowMs: number, chance: Chance): string =>
  new Date(nowMs + (chance() - 0.8) * 200 * 3_600_000).toISOString();

export type Making = {
  readonly schemas: Schemas;
  readonly chance: Chance;
  readonly nowMs: number;
  /** Numbers of things that are there. */
  readonly known: readonly number[];
};

/** A value that fits the schema, but for limits that the schema words in ways not known here. */
export function fitting(schema: Schema, making: Making, name = ""): Json {
  const { schemas, chance } = making;
  if (schema.$ref !== undefined) {
    const named = schemas[schema.$ref.split("/").at(-1) ?? ""];
    return named === undefined ? null : fitting(named, making, name);
  }
  if (schema.const !== undefined) return schema.const;
  if (schema.enum !== undefined) return pick(schema.enum, chance);
  if (schema.anyOf !== undefined) return fitting(pick(schema.anyOf, chance), making, name);
  switch (schema.type) {
    case "null":
      return null;
    case "boolean":
      return chance() < 0.5;
    case "integer":
      if (making.known.length > 0 && chance() < 0.6) return pick(making.known, chance);
      return Math.max(schema.minimum ?? 0, 1 + below(chance() < 0.8 ? 6 : 300, chance));
    case "number":
      return number(schema, chance);
    case "string":
      return text(schema, making, name);
    case "array":
      return Array.from({ length: (schema.minItems ?? 0) + below(4, chance) }, () =>
        fitting(schema.items ?? {}, making),
      );
    default:
      return record(schema, making);
  }
}

function number({ minimum, maximum, exclusiveMinimum }: Schema, chance: Chance): number {
  const low = minimum ?? exclusiveMinimum ?? 0;
  const high = Math.min(maximum ?? 2000, pick([10, 100, 2000], chance));
  const value = low + chance() * Math.max(0, high - low);
  return chance() < 0.5 ? Math.round(value * 10) / 10 : value;
}

function text(schema: Schema, { chance, nowMs }: Making, name: string): string {
  if (schema.format === "date-time") return moment(nowMs, chance);
  if (name === "csv" || name === "log") return logText(chance);
  if (chance() < 0.1) return pick(nasty, chance);
  const known = ["A", "B", "C", "Tray 1", "strawberries, raw", "Cellar", "1-1", "bare", "g", "x"];
  return pick(known, chance);
}

function record(schema: Schema, making: Making): Json {
  const needed = new Set(schema.required ?? []);
  return Object.fromEntries(
    Object.entries(schema.properties ?? {})
      .filter(([name]) => needed.has(name) || making.chance() < 0.5)
      .map(([name, part]) => [name, fitting(part, making, name)]),
  );
}

/** One part anywhere in it replaced, doubled, taken away or joined by another that is not known. */
export function mutated(value: Json, chance: Chance): Json {
  if (typeof value !== "object" || value === null || chance() < 0.15) return rubbish(chance);
  if (Array.isArray(value)) {
    if (value.length === 0) return [rubbish(chance)];
    const at = below(value.length, chance);
    const one = value[at] ?? null;
    const put = chance() < 0.2 ? [one, one] : chance() < 0.2 ? [] : [mutated(one, chance)];
    return [...value.slice(0, at), ...put, ...value.slice(at + 1)];
  }
  const names = Object.keys(value);
  if (names.length === 0 || chance() < 0.1)
    return { ...value, [chance() < 0.5 ? pick(nasty, chance) : "more"]: rubbish(chance) };
  const name = pick(names, chance);
  if (chance() < 0.15) return Object.fromEntries(Object.entries(value).filter(([n]) => n !== name));
  return { ...value, [name]: mutated(value[name] ?? null, chance) };
}

const columns = ["hours", "grams", "unit", "tray", "batch", "tare_g", "resolution_g", "fresh_g"];
const moreColumns = ["food", "water_pct", "minutes_out", "at", "mine"];

/** A log kept by hand, with or without something wrong in it. */
export function logText(chance: Chance): string {
  const separator = pick([",", ";", "\t"], chance);
  const names = [...columns, ...moreColumns].filter((_, n) => n < 2 || chance() < 0.3);
  if (chance() < 0.05) names.splice(below(names.length, chance), 1);
  const cell = (name: string, row: number): string => {
    if (chance() < 0.03) return pick(nasty, chance);
    if (name === "hours") return String(row * 4);
    if (name === "grams") return String(Math.round(8000 * (0.2 + 0.8 * Math.exp(-row / 3))) / 10);
    if (name === "unit") return pick(["", "g", "kg", "oz", "lb", "stone"], chance);
    if (name === "tray" || name === "batch") return pick(["1", "2", ""], chance);
    if (name === "at") return new Date(Date.UTC(2026, 0, 1, row * 4)).toISOString();
    if (name === "food") return pick(["strawberries, raw", "soup", ""], chance);
    return pick(["", "0.1", "80", "400", "-1", "1e9"], chance);
  };
  const rows = Array.from({ length: below(7, chance) }, (_, row) =>
    names.map((name) => cell(name, row)).join(separator),
  );
  const whole = [names.join(separator), ...rows].join(pick(["\n", "\r\n"], chance));
  return chance() < 0.2 ? damaged(whole, chance) : whole;
}

/** Characters changed, lost, doubled or put in. */
export function damaged(whole: string, chance: Chance): string {
  let left = whole;
  for (let blow = 0; blow < 1 + below(5, chance); blow++) {
    const at = below(left.length + 1, chance);
    const put = chance() < 0.3 ? "" : chance() < 0.2 ? pick(nasty, chance) : letters(1, chance);
    left = left.slice(0, at) + put + left.slice(at + (chance() < 0.5 ? 1 : 0));
  }
  return left;
}
