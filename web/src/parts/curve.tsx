/** Drying hours across, food mass down to what it can weigh when dry. */
import { useMemo } from "preact/hooks";
import type { Curve, TrayVerdict } from "../../../src/wire/batch.ts";
import type { Span } from "../../../src/wire/words.ts";
import { gramsPer, type MassUnit } from "../../../src/units/mass.ts";
import {
  barsAt,
  breaksIn,
  columnsOf,
  drynessForeseen,
  hoursRange,
  limitLine,
  massRange,
} from "../columns.ts";
import { bench, say, speech } from "../page.ts";
import {
  showDryingHour,
  showMass,
  showMassRange,
  showMassWithin,
  showNumber,
  trayName,
} from "../show.ts";
import { decimalsOfStep, Plot, type Brush, type Picture } from "./plot.tsx";
import { Wide } from "./wide.tsx";

type Props = {
  readonly curve: Curve;
  readonly verdict: TrayVerdict | null;
  readonly divisionGrams: number | null;
};

/** Pounds and ounces make no axis; whole ounces do. */
const axisUnit = (unit: MassUnit): Exclude<MassUnit, "lb"> => (unit === "lb" ? "oz" : unit);

export function DryingCurve({ curve, verdict, divisionGrams }: Props) {
  const texts = say().batch.curve;
  const unit = axisUnit(speech.value.unit);
  const { locale } = speech.value;
  const limitPct = bench.value?.settings.limitPct ?? null;
  const limit = limitPct === null ? null : limitLine(curve, verdict, limitPct);
  const foreseen = drynessForeseen(curve, verdict);
  const key = JSON.stringify([limit, foreseen]);
  const picture = useMemo(
    () => pictureOf(curve, unit, limit, foreseen),
    [curve, unit, locale, texts, key],
  );

  if (curve.points.length === 0) return <p class="quiet">{texts.none}</p>;
  const mass = (value: number): string => showMass(speech.value, value, divisionGrams);
  const stopText = (index: number): string => {
    const point = curve.points[index];
    if (point === undefined) return "";
    return texts.at(
      showDryingHour(speech.value, point.dryingHours),
      mass(point.netGrams),
      showMass(speech.value, barsAt * point.uncertaintyGrams, 0.1),
    );
  };
  const columnText = (index: number): string => {
    const hour = picture.columns[0]?.[index];
    const weighed = curve.points.findIndex((point) => point.dryingHours === hour);
    if (weighed >= 0) return stopText(weighed);
    const [line, low, high] = [1, 2, 3].map((column) => picture.columns[column]?.[index]);
    if (typeof hour !== "number" || typeof line !== "number") return "";
    const said = showDryingHour(speech.value, hour);
    if (typeof low !== "number" || typeof high !== "number") return "";
    const per = gramsPer[unit];
    const tint = showMassRange(speech.value, { low: low * per, high: high * per }, divisionGrams);
    return texts.lineAt(said, mass(line * per), tint);
  };

  return (
    <figure class="curve">
      <Plot
        label={texts.label(trayName(speech.value, curve.name))}
        picture={picture}
        stops={curve.points.map(({ dryingHours, netGrams }) => ({
          hours: dryingHours,
          value: netGrams / gramsPer[unit],
        }))}
        stopText={stopText}
        columnText={columnText}
      />
      <figcaption>
        <p>{texts.points}</p>
        {curve.fit === null ? (
          <p>{texts.noFit}</p>
        ) : (
          <>
            <p>{texts.fit}</p>
            <p>{texts.band}</p>
          </>
        )}
        {limit !== null && (
          <p>
            {texts.limit(
              showMassWithin(speech.value, limit, divisionGrams),
              `${showNumber(speech.value, limitPct ?? 0, (limitPct ?? 0) % 1 === 0 ? 0 : 1)}\u00a0%`,
            )}
          </p>
        )}
        {foreseen !== null && (
          <p>
            {texts.foreseen(
              showDryingHour(speech.value, foreseen.estimate),
              showDryingHour(speech.value, foreseen.low),
              showDryingHour(speech.value, foreseen.high),
            )}
          </p>
        )}
        {curve.expectedDryGrams !== null && (
          <p>
            {texts.expected(showMassRange(speech.value, curve.expectedDryGrams, divisionGrams))}
          </p>
        )}
        <p>{texts.gaps}</p>
        {breaksIn(curve.points).length > 0 && <p>{texts.breaks}</p>}
        <p>{texts.howToZoom}</p>
      </figcaption>
      <CurveTable curve={curve} divisionGrams={divisionGrams} />
    </figure>
  );
}

function CurveTable({ curve, divisionGrams }: Omit<Props, "verdict">) {
  const texts = say().batch.curve;
  const lineAt = (hour: number, values: readonly number[] | undefined): number | null =>
    between(curve.fit?.dryingHours ?? [], values ?? [], hour);
  return (
    <details class="fold">
      <summary>{texts.table}</summary>
      <div class="folded">
        <Wide label={texts.tableFor(trayName(speech.value, curve.name))}>
          <table>
            <caption>{texts.tableFor(trayName(speech.value, curve.name))}</caption>
            <thead>
              <tr>
                {[
                  texts.columnHours,
                  texts.columnMass,
                  texts.columnError,
                  texts.columnFit,
                  texts.columnBand,
                ].map((column) => (
                  <th key={column} scope="col">
                    {column}
                  </th>
                ))}
              </tr>
            </thead>
            <tbody>
              {curve.points.map((point) => {
                const line = lineAt(point.dryingHours, curve.fit?.netGrams);
                const low = lineAt(point.dryingHours, curve.fit?.lowGrams);
                const high = lineAt(point.dryingHours, curve.fit?.highGrams);
                const mass = (value: number): string =>
                  showMass(speech.value, value, divisionGrams);
                return (
                  <tr key={point.weighing}>
                    <th scope="row">{showNumber(speech.value, point.dryingHours, 2)}</th>
                    <td>{mass(point.netGrams)}</td>
                    <td>{showMass(speech.value, barsAt * point.uncertaintyGrams, 0.1)}</td>
                    <td>{line === null ? say().none : mass(line)}</td>
                    <td>
                      {low === null || high === null
                        ? say().none
                        : showMassRange(speech.value, { low, high }, divisionGrams)}
                    </td>
                  </tr>
                );
              })}
            </tbody>
          </table>
        </Wide>
      </div>
    </details>
  );
}

/** On the straight line between two neighbours; null outside. */
function between(xs: readonly number[], ys: readonly number[], x: number): number | null {
  const after = xs.findIndex((one) => one >= x - 1e-9);
  const [x1, y1] = [xs[after], ys[after]];
  if (after < 0 || x1 === undefined || y1 === undefined) return null;
  const [x0, y0] = [xs[after - 1], ys[after - 1]];
  if (x0 === undefined || y0 === undefined) return Math.abs(x1 - x) < 1e-6 ? y1 : null;
  return y0 + ((y1 - y0) * (x - x0)) / (x1 - x0);
}

const marginRight = 26;

function pictureOf(
  curve: Curve,
  unit: Exclude<MassUnit, "lb">,
  limit: Span | null,
  foreseen: Span | null,
): Picture {
  const per = gramsPer[unit];
  const columns = columnsOf(curve, per);
  const hours = hoursRange(curve, foreseen);
  const hidden = { ink: null } as const;
  return {
    columns: [columns.dryingHours, columns.line, columns.low, columns.high, columns.points],
    lines: [{ ink: "accent" }, hidden, hidden, hidden],
    band: [3, 2],
    hours,
    upright: (from, to) => {
      const isWhole = from <= hours.low + 1e-9 && to >= hours.high - 1e-9;
      const levels = limit === null ? [] : [limit.estimate];
      const range = isWhole ? massRange(curve, levels) : massRange(curve, [], from, to);
      return { low: range.low / per, high: range.high / per };
    },
    uprightLabel: unit,
    uprightFigure: (value, step) => showNumber(speech.peek(), value, decimalsOfStep(step)),
    marginRight,
    paint: (brush) => {
      brush.inside(() => {
        clearGaps(brush, curve);
        drawBreaks(brush, curve);
        drawLimit(brush, limit, per);
        drawForeseen(brush, foreseen);
        drawPoints(brush, curve, per);
      });
      drawExpected(brush, curve, per);
    },
  };
}

/** The trays were out at each weighing: the curve is cut there, so that no hour seems to pass on the bench. */
function clearGaps({ ctx, box, px, x }: Brush, curve: Curve): void {
  const width = 5 * px;
  for (const hours of new Set(curve.points.map((point) => point.dryingHours))) {
    const at = x(hours);
    if (hours > 0) ctx.clearRect(at - width / 2, box.top, width, box.height);
  }
}

function drawBreaks({ ctx, box, px, x, inks }: Brush, curve: Curve): void {
  ctx.strokeStyle = inks.grey;
  ctx.lineWidth = 1.5 * px;
  ctx.setLineDash([6 * px, 5 * px]);
  for (const hours of breaksIn(curve.points)) {
    ctx.beginPath();
    ctx.moveTo(x(hours), box.top);
    ctx.lineTo(x(hours), box.top + box.height);
    ctx.stroke();
  }
  ctx.setLineDash([]);
}

/** Dash and dot, level: below it the tray counts as dry. */
function drawLimit({ ctx, box, px, y, inks }: Brush, limit: Span | null, per: number): void {
  if (limit === null) return;
  const at = y(limit.estimate / per);
  ctx.strokeStyle = inks.ink;
  ctx.lineWidth = 1.5 * px;
  ctx.setLineDash([10 * px, 4 * px, 2 * px, 4 * px]);
  ctx.beginPath();
  ctx.moveTo(box.left, at);
  ctx.lineTo(box.left + box.width, at);
  ctx.stroke();
  ctx.setLineDash([]);
}

/** A wedge on the axis of hours at the likeliest moment, and a bar from the earliest to the latest. */
function drawForeseen({ ctx, box, px, x, inks }: Brush, foreseen: Span | null): void {
  if (foreseen === null) return;
  const foot = box.top + box.height - 3 * px;
  const at = x(foreseen.estimate);
  ctx.strokeStyle = inks.ink;
  ctx.fillStyle = inks.ink;
  ctx.lineWidth = 3 * px;
  ctx.beginPath();
  ctx.moveTo(x(foreseen.low), foot);
  ctx.lineTo(x(foreseen.high), foot);
  ctx.stroke();
  ctx.beginPath();
  ctx.moveTo(at, foot);
  ctx.lineTo(at - 8 * px, foot - 14 * px);
  ctx.lineTo(at + 8 * px, foot - 14 * px);
  ctx.fill();
}

/** A bracket in the margin: a range, never a line that would look exact. */
function drawExpected({ ctx, box, px, y, inks }: Brush, curve: Curve, per: number): void {
  if (curve.expectedDryGrams === null) return;
  const at = box.left + box.width + 14 * px;
  const within = (value: number): number =>
    Math.min(box.top + box.height, Math.max(box.top, y(value / per)));
  const low = within(curve.expectedDryGrams.low);
  const high = within(curve.expectedDryGrams.high);
  if (low === high) return;
  ctx.save();
  ctx.strokeStyle = inks.ink;
  ctx.lineWidth = 2.5 * px;
  ctx.beginPath();
  ctx.moveTo(at - 8 * px, high);
  ctx.lineTo(at, high);
  ctx.lineTo(at, low);
  ctx.lineTo(at - 8 * px, low);
  ctx.stroke();
  ctx.restore();
}

function drawPoints({ ctx, px, x, y, inks }: Brush, curve: Curve, per: number): void {
  ctx.strokeStyle = inks.ink;
  ctx.fillStyle = inks.ink;
  ctx.lineWidth = 1.5 * px;
  for (const { dryingHours, netGrams, uncertaintyGrams } of curve.points) {
    const at = x(dryingHours);
    ctx.beginPath();
    ctx.moveTo(at, y((netGrams - barsAt * uncertaintyGrams) / per));
    ctx.lineTo(at, y((netGrams + barsAt * uncertaintyGrams) / per));
    ctx.stroke();
    ctx.beginPath();
    ctx.arc(at, y(netGrams / per), 3.5 * px, 0, 2 * Math.PI);
    ctx.fill();
  }
}
