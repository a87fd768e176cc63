import type { TrayLog } from "../tray/weighing.ts";
import { grams } from "../units/quantity.ts";
import { isolated } from "../units/written.ts";
import { byCriteria, type CriterionAnswer } from "../verdict/criteria.ts";
import { ofFoodLeft } from "../verdict/foodtaken.ts";
import { freshGramsOf } from "../verdict/load.ts";
import { inHours, inMass } from "../verdict/phrase.ts";
import { provableBefore } from "../verdict/provable.ts";
import type { Interval, TrayVerdict } from "../verdict/verdict.ts";
import type { JudgedBatch } from "./judgejson.ts";
import { aligned, folded, type Columns } from "./layout.ts";
import { plain } from "./plain.ts";

const statement =
  "A verdict speaks of weight alone. Break the thickest piece of each tray before you pack; raw food stays raw.";
/** With more trays than this, plots would bury the table. */
const mostPlots = 8;

/** The answer for people: a table, the reasons, and for few trays a small plot. */
export function reportOf(judged: readonly JudgedBatch[], columns: Columns): string {
  const trays = judged.reduce((sum, { logs }) => sum + logs.length, 0);
  const parts = judged.map(({ batch, logs: given, verdict }) => {
    const logs = given.map(ofFoodLeft);
    const head = `${batch === "" ? "batch" : `batch ${named(batch)}`}: ${verdict.verdict}${waiting(verdict.moreHours, verdict.behind)}`;
    const rows = verdict.trays.map(cellsOf);
    const plots = trays > mostPlots ? "" : logs.map((log) => plotOf(log, columns)).join("");
    const said = [...verdict.trays.flatMap(reasonsOf), ...beforeDrying(logs), ...criteriaOf(logs)];
    const text = said.map((one) => folded(one, columns)).join("");
    return `${folded(head, columns)}\n${aligned([titles, ...rows], columns)}\n${text}${plots}`;
  });
  return `${parts.join("\n")}\n${folded(statement, columns)}`;
}

/** A name on one line, with nothing in it that a terminal obeys. */
const named = (name: string): string => isolated(plain(name.replaceAll(/\s+/g, " ").trim()));

const titles = ["tray", "verdict", "sure", "dry", "left to lose", "more hours", "weigh again in"];

function waiting(more: Interval<number> | null, behind: readonly string[]): string {
  const names = behind.filter((name) => name !== "");
  const hoursText =
    more === null || more.high === 0
      ? ""
      : `, ${span(more)} more ${span(more) === "1" ? "hour" : "hours"}`;
  return `${hoursText}${names.length === 0 ? "" : `, waiting for ${names.map(named).join(", ")}`}`;
}

const cellsOf = (tray: TrayVerdict): readonly string[] => [
  named(tray.tray) || "-",
  tray.verdict,
  percent(tray.confidence),
  percent(tray.pDry),
  tray.remaining === null ? "" : `${span(tray.remaining)} g`,
  tray.moreHours === null ? "" : span(tray.moreHours),
  tray.nextWeighingHours === null ? "" : `${tray.nextWeighingHours} h`,
];

const percent = (share: number): string => `${Math.round(share * 100)} %`;

const short = (value: number): string =>
  value >= 100 ? value.toFixed(0) : String(Number(value.toFixed(1)));
const span = ({ low, high }: Interval<number>): string =>
  short(low) === short(high) ? short(low) : `${short(low)} to ${short(high)}`;

const reasonsOf = ({ tray, reasons, contradiction }: TrayVerdict): readonly string[] =>
  reasons.map(
    ({ code, text }) =>
      `${tray === "" ? "" : `tray ${named(tray)}: `}${text} (${code}${contradiction === null ? "" : `, line ${contradiction.ref}`})`,
  );

/** What the scale can prove of a load that was not weighed since drying began. */
function beforeDrying(logs: readonly TrayLog[]): readonly string[] {
  if (logs.some((log) => log.weighings.some(({ dryingHours }) => dryingHours > 0))) return [];
  const loads = logs.flatMap((log) => {
    const fresh = freshGramsOf(log);
    return fresh === null ? [] : [{ fresh: grams(fresh), food: log.food }];
  });
  if (loads.length === 0) return [];
  const rows = logs.flatMap((log) => [
    ...(log.fresh === null ? [] : [log.fresh]),
    ...log.weighings,
  ]);
  const division = grams(Math.max(...rows.map((row) => row.division)));
  return [`before drying: ${provableBefore(loads, division).text}`];
}

/** Published criteria of constant weight, by the last two weighings of each tray; for few trays only. */
function criteriaOf(logs: readonly TrayLog[]): readonly string[] {
  if (logs.length > mostPlots) return [];
  // Trays that are answered alike are answered together.
  const alike = new Map<string, readonly string[]>();
  for (const { tray, weighings } of logs) {
    const said = byCriteria(weighings)
      .map(({ criterion, answer }) => `${criterion.name}: ${answerText(answer)}`)
      .join("\n");
    alike.set(said, [...(alike.get(said) ?? []), named(tray)]);
  }
  const rows = [...alike].flatMap(([said, trays]) => {
    if (said === "") return [];
    const names = trays.filter((name) => name !== "");
    if (names.length === 0) return said.split("\n").map((line) => `  ${line}`);
    const who = `  ${names.length === 1 ? "tray" : "trays"} ${names.join(", ")}`;
    return [who, ...said.split("\n").map((line) => `    ${line}`)];
  });
  return rows.length === 0
    ? []
    : ["by published criteria of constant weight, which cannot see a dryer that stopped:", ...rows];
}

function answerText(answer: CriterionAnswer): string {
  switch (answer.is) {
    case "met":
    case "not-met":
      return `${answer.is === "met" ? "met" : "not met"}, ${inMass(answer.changeGrams)} of ${inMass(answer.allowedGrams)} allowed`;
    case "too-soon":
      return `not applicable yet: ${inHours(answer.waitHours)} more between the weighings`;
    case "too-coarse": {
      const finer = `not applicable: needs a division of ${fine(answer.divisionNeededGrams)} g`;
      return answer.massNeededGrams === null
        ? finer
        : `${finer}, or ${inMass(answer.massNeededGrams)} of dry food on this scale`;
    }
  }
}

const fine = (value: number): string => String(Number(value.toPrecision(2)));

const plotWidth = 56;
const plotHeight = 9;

/** Net grams over drying hours. */
function plotOf({ tray, weighings, fresh }: TrayLog, columns: Columns): string {
  const points = [
    ...(fresh === null ? [] : [{ hour: 0, net: fresh.net as number }]),
    ...weighings.map(({ dryingHours, net }) => ({
      hour: dryingHours as number,
      net: net as number,
    })),
  ];
  if (points.length < 2) return "";
  const lastHour = Math.max(...points.map(({ hour }) => hour));
  const most = Math.max(...points.map(({ net }) => net));
  if (lastHour === 0) return "";
  const grid = Array.from({ length: plotHeight }, () =>
    Array.from({ length: plotWidth }, () => " "),
  );
  for (const { hour, net } of points) {
    const column = Math.round((hour / lastHour) * (plotWidth - 1));
    const row = Math.round((1 - net / most) * (plotHeight - 1));
    grid[row]![column] = "o";
  }
  const label = (row: number): string =>
    row === 0 ? `${short(most)} g` : row === plotHeight - 1 ? "0 g" : "";
  const lines = grid.map((row, i) => `${label(i).padStart(10)} |${row.join("").trimEnd()}\n`);
  const axis = `${" ".repeat(11)}+${"-".repeat(plotWidth)}\n${" ".repeat(12)}0${`${short(lastHour)} h`.padStart(plotWidth - 1)}\n`;
  return `\n${tray === "" ? "" : folded(`tray ${named(tray)}`, columns)}${lines.join("")}${axis}`;
}
