import type { Estimate, Pooled } from "./bootstrap.ts";
import { divisions } from "./batch.ts";
import { faultKinds } from "./faults.ts";
import { ruleNames, type RuleName } from "./rules.ts";
import { bins } from "./score.ts";

type Show = (estimate: Estimate | null) => string;
const percent = (value: number) =>
  (100 * value).toFixed(value !== 0 && Math.abs(value) < 0.1 ? 2 : 1);
const asShare: Show = (found) =>
  found ? `${percent(found.value)} % [${percent(found.low)}, ${percent(found.high)}]` : "–";
const asHours: Show = (found) =>
  found ? `${found.value.toFixed(2)} [${found.low.toFixed(2)}, ${found.high.toFixed(2)}]` : "–";
const asNumber: Show = (found) =>
  found ? `${found.value.toFixed(4)} [${found.low.toFixed(4)}, ${found.high.toFixed(4)}]` : "–";

/** The columns of the comparison, each the smaller the better. */
const columns: readonly (readonly [score: string, title: string, show: Show])[] = [
  ["false", "false-dry", asShare],
  ["false, stalled", "of which stalled", asShare],
  ["false, no fault", "false-dry, no fault", asShare],
  ["stalled called", "stalled called dry", asShare],
  ["false among calls", "false among calls", asShare],
  ["extra hours", "extra hours", asHours],
  ["missed", "missed", asShare],
  ["missed, fine", "missed, d ≤ 0.3 % of S", asShare],
  ["missed, fine, no fault", "… and no fault", asShare],
  ["missed, fine, at the stated limit", "… dry at p_dry's limit", asShare],
  ["never", "never called", asShare],
  ["never, dry at the end", "never, though dry", asShare],
];
const thickColumns = [...columns, ["wet piece only", "a wet piece only", asShare]] as const;

function table(rows: readonly (readonly string[])[]): string {
  const widths = rows[0]!.map((_, column) =>
    Math.max(...rows.map((row) => (row[column] ?? "").length)),
  );
  const line = (row: readonly string[]) =>
    row.map((cell, column) => cell + " ".repeat(widths[column]! - cell.length)).join("  ");
  return rows.map((row) => `  ${line(row).trimEnd()}`).join("\n");
}

const groups = [
  "pooled",
  ...divisions.map((division) => `d ${division}`),
  "until-called",
  "short",
  "no fault",
  "with a fault",
];

function comparison(pooled: Pooled, group: string, isThick: boolean): string {
  const shown = isThick ? thickColumns : columns;
  const rows = shown.map(([score, title, show]) => [
    title,
    ...ruleNames.map((rule) => show(pooled.estimate(`${group}|${rule}|${score}`))),
  ]);
  return table([[group, ...ruleNames], ...rows]);
}

function pairs(pooled: Pooled): string {
  const rows = groups.flatMap((group) =>
    ruleNames
      .filter((rule) => rule !== "ours")
      .map((rule) => {
        const its = `${group}|${rule}|both, its hours`;
        const our = `${group}|${rule}|both, our hours`;
        return [
          group,
          rule,
          String(pooled.estimate(its)?.count ?? 0),
          asHours(pooled.estimate(its)),
          asHours(pooled.estimate(our)),
          asHours(pooled.difference(our, its)),
        ];
      }),
  );
  return table([["", "rule", "trays", "its", "ours", "ours − its"], ...rows]);
}

function naming(pooled: Pooled): string {
  const rows = [...faultKinds, "all"].map((kind) => {
    const all = pooled.estimate(`pooled|named|${kind}`);
    return [
      kind,
      String(all?.count ?? 0),
      asShare(all),
      asShare(pooled.estimate(`pooled|named|${kind}, visible`)),
      asShare(pooled.estimate(`pooled|named|${kind}, another name`)),
    ];
  });
  const alarms = ["contradiction", "stalled", "gaining"].map(
    (kind) => `${kind} ${asShare(pooled.estimate(`pooled|named|alarm: ${kind}`))}`,
  );
  const head = ["fault", "trays", "named rightly", "… if ≥ 3 d and ≥ 2 % of S", "… another name"];
  return `${table([head, ...rows])}\n  trays of batches without a fault that got: ${alarms.join("; ")}`;
}

/** How well the hours to go were told, of trays that were called later. */
function hoursToGo(pooled: Pooled): string {
  const rows = groups.map((group) => {
    const right = pooled.estimate(`${group}|hours to go|right`);
    return [
      group,
      String(right?.count ?? 0),
      asShare(right),
      asHours(pooled.estimate(`${group}|hours to go|late`)),
    ];
  });
  const head = ["hours to go", "told", "call within 5 % to 95 %", "call − estimate, h"];
  return table([head, ...rows]);
}

const mostReasons = 12;

function whyTable(pooled: Pooled, score: string, [counted, title]: [string, string]): string {
  const start = `pooled|${score}|`;
  const rows = pooled
    .namesFrom(start)
    .map((name) => [name.slice(start.length), pooled.estimate(name)?.count ?? 0] as const)
    .toSorted(([, a], [, b]) => b - a)
    .slice(0, mostReasons)
    .map(([why, count]) => [String(count), why]);
  return table([[counted, title], ...rows]);
}

type Bin = {
  readonly from: string;
  readonly verdicts: number;
  readonly stated: number;
  readonly seen: Estimate;
  /** How far the stated mean lies outside the interval of what was seen, in points of 100. */
  readonly pointsOutside: number;
};

export function reliability(pooled: Pooled, group: string): Bin[] {
  const names = [...Array.from({ length: bins }, (_, bin) => String(bin)), "top"];
  return names.flatMap((bin) => {
    const stated = pooled.estimate(`${group}|p_dry|stated ${bin}`);
    const seen = pooled.estimate(`${group}|p_dry|seen ${bin}`);
    if (!stated || !seen) return [];
    const outside = Math.max(0, seen.low - stated.value, stated.value - seen.high);
    const from = bin === "top" ? "≥ 0.95" : `${Number(bin) / bins}–${(Number(bin) + 1) / bins}`;
    const pointsOutside = 100 * outside;
    return [{ from, verdicts: stated.count, stated: stated.value, seen, pointsOutside }];
  });
}

function reliabilityTable(pooled: Pooled, group: string): string {
  const rows = reliability(pooled, group).map(({ from, verdicts, stated, seen, pointsOutside }) => [
    from,
    String(verdicts),
    `${percent(stated)} %`,
    asShare(seen),
    pointsOutside.toFixed(1),
  ]);
  return table([
    [`p_dry, ${group}`, "verdicts", "stated", "dry in truth", "points outside"],
    ...rows,
  ]);
}

function brier(pooled: Pooled): string {
  const rows = groups.map((group) => {
    const dry = pooled.estimate(`${group}|p_dry|dry`);
    const guess = dry ? dry.value * (1 - dry.value) : 0;
    return [
      group,
      String(dry?.count ?? 0),
      asNumber(pooled.estimate(`${group}|p_dry|brier`)),
      guess.toFixed(4),
    ];
  });
  return table([["Brier score", "verdicts", "ours", "always the mean"], ...rows]);
}

type Bound = {
  readonly bound: string;
  readonly met: boolean;
  readonly figure: string;
};

const enoughVerdicts = 1000;

/** What the judgment has to keep, all together. */
export function boundsOf(pooled: Pooled): Bound[] {
  const factor = (score: string) =>
    pooled.factor(`pooled|ours|${score}`, `pooled|practice|${score}`);
  const asFactor: Show = (found) =>
    found
      ? `${found.value.toFixed(2)} [${found.low.toFixed(2)}, ${found.high.toFixed(2)}] times`
      : "nothing to compare";
  const most = (bound: string, found: Estimate | null, limit: number, show: Show): Bound => ({
    bound,
    met: found !== null && found.value <= limit,
    figure: show(found),
  });
  const counted: Show = (found) =>
    found ? `${asShare(found)} (${found.total} of ${found.count})` : "nothing to count";
  const wide = reliability(pooled, "pooled").filter(
    ({ from, verdicts }) => from !== "≥ 0.95" && verdicts >= enoughVerdicts,
  );
  const off = wide.filter(({ pointsOutside }) => pointsOutside > 5);
  const worst = Math.max(0, ...wide.map(({ pointsOutside }) => pointsOutside));
  return [
    most("false-dry at most half of common practice's", factor("false"), 0.5, asFactor),
    ...[0.1, 1].map((division) =>
      most(
        `false-dry at most 1 % with no fault, d ${division} g`,
        pooled.estimate(`d ${division}|ours|false, no fault`),
        0.01,
        counted,
      ),
    ),
    most(
      "stalled dryers called dry at most a quarter of common practice's",
      factor("stalled called"),
      0.25,
      asFactor,
    ),
    most(
      "missed at most 5 % where d is at most 0.3 % of the dry mass",
      pooled.estimate("pooled|ours|missed, fine"),
      0.05,
      counted,
    ),
    most(
      "extra hours no more than common practice's, where both call a dry tray",
      pooled.difference("pooled|practice|both, our hours", "pooled|practice|both, its hours"),
      0,
      (found) => (found ? `${asHours(found)} h` : "nothing to compare"),
    ),
    {
      bound: `p_dry within 5 points beyond the bin's interval, bins of ≥ ${enoughVerdicts} verdicts`,
      met: wide.length > 0 && off.length === 0,
      figure:
        wide.length === 0
          ? `no bin with ${enoughVerdicts} verdicts: run more batches`
          : `worst ${worst.toFixed(1)} points; ${off.length} of ${wide.length} bins off`,
    },
  ];
}

/** The columns in which some rule does better than ours. */
function notYetBest(pooled: Pooled): string {
  const lines = groups.flatMap((group) => {
    const beaten = columns.flatMap(([score, title]) => {
      const found = (rule: RuleName) => pooled.estimate(`${group}|${rule}|${score}`)?.value;
      const ours = found("ours");
      const better = ruleNames.filter((rule) => (found(rule) ?? Infinity) < (ours ?? -Infinity));
      return better.length > 0 ? [`${title} (${better.join(", ")})`] : [];
    });
    return beaten.length > 0 ? [`  ${group}: ${beaten.join("; ")}`] : [];
  });
  return lines.length > 0 ? lines.join("\n") : "  nowhere";
}

export type Run = {
  readonly title: string;
  /** Of the excess water, as a share of the dry mass, for which `p_dry` was asked. */
  readonly limit: number;
  readonly pooled: Pooled;
  readonly bounded: boolean;
  readonly batches: number;
  readonly millisecondsPerTray: number;
  readonly threw: readonly string[];
};

const askedFor = ({ limit }: Run): string => `p_dry for at most ${100 * limit} %`;

export function reportOf(run: Run): string {
  const { title, pooled, bounded, batches } = run;
  const parts = [
    `== ${title}, ${askedFor(run)}: ${batches} batches, ${pooled.trays} trays, ${run.millisecondsPerTray.toFixed(1)} ms on the wall for a verdict`,
  ];
  if (run.threw.length > 0)
    parts.push(`THE JUDGMENT THREW in ${run.threw.length} batches, first: ${run.threw[0]}`);
  parts.push(...groups.map((group) => comparison(pooled, group, !bounded)));
  parts.push(`extra hours of trays that both rules call when they are dry\n${pairs(pooled)}`);
  parts.push(hoursToGo(pooled), naming(pooled));
  const missed = "last verdict of a missed tray (d ≤ 0.3 % of S)";
  parts.push(whyTable(pooled, "why missed", ["trays", missed]));
  const low = "verdict with p_dry < 0.1 on a tray that was dry";
  parts.push(whyTable(pooled, "why low", ["verdicts", low]), brier(pooled));
  for (const group of ["pooled", "no fault", "with a fault"])
    parts.push(reliabilityTable(pooled, group));
  parts.push(`where another rule does better\n${notYetBest(pooled)}`);
  return parts.join("\n\n");
}

/** The runs beside one another, and each bound on each range of seeds. */
export function summaryOf(runs: readonly Run[]): string {
  const shown = ["practice", "ours"] as const;
  const head = runs.flatMap(({ title, limit }) =>
    shown.map(
      (rule) => `${title.split(",")[0]}: ${rule === "ours" ? `ours ≤ ${100 * limit} %` : rule}`,
    ),
  );
  const rows = thickColumns.map(([score, title, show]) => [
    title,
    ...runs.flatMap(({ pooled }) =>
      shown.map((rule) => show(pooled.estimate(`pooled|${rule}|${score}`))),
    ),
  ]);
  const bounds = runs
    .filter(({ bounded }) => bounded)
    .map((run) => {
      const { title, pooled, threw } = run;
      const answers: Bound = {
        bound: "every batch is answered",
        met: threw.length === 0,
        figure: threw.length === 0 ? "none threw" : `${threw.length} threw, first: ${threw[0]}`,
      };
      const lines = [...boundsOf(pooled), answers].map(
        ({ bound, met, figure }) => `  ${met ? "met    " : "NOT MET"}  ${bound}: ${figure}`,
      );
      return `bounds, ${title}, ${askedFor(run)}\n${lines.join("\n")}`;
    });
  return [`== side by side, pooled\n\n${table([["", ...head], ...rows])}`, ...bounds].join("\n\n");
}

/** Everything printed, for a program that compares two runs. */
export const asData = (run: Run) => ({
  title: run.title,
  limit: run.limit,
  batches: run.batches,
  trays: run.pooled.trays,
  millisecondsPerTray: run.millisecondsPerTray,
  threw: run.threw,
  rules: groups.flatMap((group) =>
    ruleNames.flatMap((rule) =>
      thickColumns.map(([score]) => ({
        group,
        rule,
        score,
        ...run.pooled.estimate(`${group}|${rule}|${score}`),
      })),
    ),
  ),
  named: [...faultKinds, "all"].map((fault) => ({
    fault,
    ...run.pooled.estimate(`pooled|named|${fault}`),
  })),
  brier: groups.map((group) => ({ group, ...run.pooled.estimate(`${group}|p_dry|brier`) })),
  reliability: groups.map((group) => ({ group, bins: reliability(run.pooled, group) })),
  bounds: run.bounded ? boundsOf(run.pooled) : [],
});
