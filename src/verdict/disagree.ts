/**
 * What the rows of one tray cannot mean together. A column that is left empty in some rows, or says another thing in
 * each, would otherwise be read as whatever stands there first.
 */
import { nothingTaken } from "./foodtaken.ts";
import type { LogProblem } from "./log.ts";

/** A row's figures as they were given; null where its cell is empty. */
type GivenInRow = {
  readonly line: number;
  readonly tare: number | null;
  readonly division: number | null;
  /** The food under one name for all ways to write it. */
  readonly foodKey: string | null;
  readonly food: string;
  readonly water: number | null;
  readonly thickness: number | null;
  readonly hours: number;
  readonly stretch: number;
  readonly net: number;
  readonly foodTaken: boolean;
};

export function disagreements(rows: readonly GivenInRow[]): readonly LogProblem[] {
  return [
    ...mixedTare(rows),
    ...mixedDivision(rows),
    ...changes(rows),
    ...lostBreaks(rows),
    ...notTaken(rows),
  ];
}

/** Without its tare a row is net, beside others it may as well be gross: only who weighed knows. */
function mixedTare(rows: readonly GivenInRow[]): readonly LogProblem[] {
  if (rows.every(({ tare }) => tare === null)) return [];
  const text =
    "tare_g is missing here and given in other rows of the tray: give it in every row, 0 where grams is net";
  return rows.filter(({ tare }) => tare === null).map(({ line }) => ({ line, text }));
}

/** One division stands for the rows that name none; of two nobody can tell which. */
function mixedDivision(rows: readonly GivenInRow[]): readonly LogProblem[] {
  const named = new Set(rows.flatMap(({ division }) => division ?? []));
  if (named.size < 2) return [];
  const text =
    "resolution_g is missing here and given in other rows of the tray: give it in all or in none";
  return rows.filter(({ division }) => division === null).map(({ line }) => ({ line, text }));
}

/** Breaks are counted from the start: after more hours there are no fewer. */
function lostBreaks(rows: readonly GivenInRow[]): readonly LogProblem[] {
  if (rows.every(({ stretch }) => stretch === 0)) return [];
  const inOrder = rows.toSorted((a, b) => a.hours - b.hours || a.stretch - b.stretch);
  return inOrder.flatMap(({ line, stretch }, place) => {
    const before = inOrder[place - 1];
    if (before === undefined || stretch >= before.stretch) return [];
    const text = `stretch is ${stretch} here and ${before.stretch} in line ${before.line}, after fewer hours`;
    return [{ line, text }];
  });
}

/** Food that was taken leaves a lighter tray. */
function notTaken(rows: readonly GivenInRow[]): readonly LogProblem[] {
  const dried = rows
    .filter(({ hours }) => hours > 0)
    .toSorted((a, b) => a.stretch - b.stretch || a.hours - b.hours || a.line - b.line);
  const isLighter = (row: GivenInRow, place: number): boolean =>
    row.net < (dried[place - 1]?.net ?? 0);
  const isWrong = (row: GivenInRow, place: number): boolean =>
    row.foodTaken && !isLighter(row, place);
  return [
    ...rows.filter(({ hours, foodTaken }) => hours === 0 && foodTaken),
    ...dried.filter(isWrong),
  ].map(({ line, net }) => ({ line, text: nothingTaken(net) }));
}

type OfFood = {
  readonly column: string;
  readonly key: (row: GivenInRow) => string | number | null;
  readonly said: (row: GivenInRow) => string | number;
};

const ofFood: readonly OfFood[] = [
  { column: "food", key: ({ foodKey }) => foodKey, said: ({ food }) => food },
  {
    column: "water_pct",
    key: ({ water }) => water,
    said: ({ water }) => Number(((water ?? 0) * 100).toPrecision(6)),
  },
  {
    column: "thickness_mm",
    key: ({ thickness }) => thickness,
    said: ({ thickness }) => thickness ?? 0,
  },
];

function changes(rows: readonly GivenInRow[]): readonly LogProblem[] {
  return ofFood.flatMap(({ column, key, said }) => {
    const [first, ...others] = rows.filter((row) => key(row) !== null);
    if (first === undefined) return [];
    return others
      .filter((row) => key(row) !== key(first))
      .map((row) => ({
        line: row.line,
        text: `${column} is "${said(row)}" here and "${said(first)}" in line ${first.line}: a tray holds one food in a batch`,
      }));
  });
}

/** For a person to know: the empty mass of one tray is not always the same. Each row keeps its own. */
export function tareNotes(rows: readonly GivenInRow[]): readonly string[] {
  const [first, ...others] = rows;
  return others
    .filter(({ tare }) => tare !== first?.tare)
    .map(
      ({ line, tare }) =>
        `line ${line}: tare_g is ${tare} g here and ${first?.tare} g in line ${first?.line}; each is taken off its own row`,
    );
}
