/** Drying hours across, food mass down to what it can weigh when dry. The only file that knows the plotting library. */
import { useSignal } from "@preact/signals";
import { useEffect, useRef } from "preact/hooks";
import uPlot from "uplot";
import "uplot/dist/uPlot.min.css";
import type { Curve } from "../../../src/wire/batch.ts";
import { gramsPer, type MassUnit } from "../../../src/units/mass.ts";
import { barsAt, breaksIn, columnsOf, massRange } from "../columns.ts";
import { say, speech } from "../page.ts";
import { showDryingHour, showMass, showMassRange, showNumber, trayName } from "../show.ts";

type Props = { readonly curve: Curve; readonly divisionGrams: number | null };

/** Pounds and ounces make no axis; whole ounces do. */
const axisUnit = (unit: MassUnit): Exclude<MassUnit, "lb"> => (unit === "lb" ? "oz" : unit);

export function DryingCurve({ curve, divisionGrams }: Props) {
  const texts = say().batch.curve;
  const place = useRef<HTMLDivElement>(null);
  const plot = useRef<uPlot | null>(null);
  const chosen = useSignal<number | null>(null);
  const unit = axisUnit(speech.value.unit);
  const { locale } = speech.value;

  useEffect(() => {
    const into = place.current;
    if (into === null) return;
    const draw = (): void => {
      plot.current?.destroy();
      plot.current = drawPlot(into, curve, unit);
    };
    draw();
    const sized = new ResizeObserver(() => plot.current?.setSize(sizeIn(into)));
    sized.observe(into);
    const scheme = window.matchMedia("(prefers-color-scheme: dark)");
    scheme.addEventListener("change", draw);
    return () => {
      sized.disconnect();
      scheme.removeEventListener("change", draw);
      plot.current?.destroy();
      plot.current = null;
    };
  }, [curve, unit, locale]);

  if (curve.points.length === 0) return <p class="quiet">{texts.none}</p>;
  const name = trayName(speech.value, curve.name);

  const choose = (event: KeyboardEvent): void => {
    const step = event.key === "ArrowRight" ? 1 : event.key === "ArrowLeft" ? -1 : 0;
    if (step === 0) return;
    event.preventDefault();
    const last = curve.points.length - 1;
    const from = chosen.peek() ?? (step > 0 ? -1 : last + 1);
    const index = Math.min(last, Math.max(0, from + step));
    chosen.value = index;
    const point = curve.points[index];
    if (point === undefined || plot.current === null) return;
    plot.current.setCursor({
      left: plot.current.valToPos(point.dryingHours, "x"),
      top: plot.current.valToPos(point.netGrams / gramsPer[unit], "y"),
    });
  };

  return (
    <figure class="curve">
      <div
        ref={place}
        class="plot"
        role="application"
        tabIndex={0}
        aria-label={texts.label(name)}
        onKeyDown={choose}
      />
      <p class="readout" role="status">
        <Readout curve={curve} chosen={chosen.value} divisionGrams={divisionGrams} />
      </p>
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
        {curve.expectedDryGrams !== null && (
          <p>
            {texts.expected(showMassRange(speech.value, curve.expectedDryGrams, divisionGrams))}
          </p>
        )}
        <p>{texts.gaps}</p>
        {breaksIn(curve.points).length > 0 && <p>{texts.breaks}</p>}
      </figcaption>
      <CurveTable curve={curve} divisionGrams={divisionGrams} />
    </figure>
  );
}

function Readout({ curve, chosen, divisionGrams }: Props & { readonly chosen: number | null }) {
  const point = chosen === null ? undefined : curve.points[chosen];
  if (point === undefined) return null;
  return (
    <>
      {say().batch.curve.at(
        showDryingHour(speech.value, point.dryingHours),
        showMass(speech.value, point.netGrams, divisionGrams),
        showMass(speech.value, barsAt * point.uncertaintyGrams, null),
      )}
    </>
  );
}

function CurveTable({ curve, divisionGrams }: Props) {
  const texts = say().batch.curve;
  const lineAt = (hour: number, values: readonly number[] | undefined): number | null =>
    between(curve.fit?.dryingHours ?? [], values ?? [], hour);
  return (
    <details class="fold">
      <summary>{texts.table}</summary>
      <div class="folded scrolls">
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
              const mass = (value: number): string => showMass(speech.value, value, divisionGrams);
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

function sizeIn(place: HTMLElement): { width: number; height: number } {
  const width = place.clientWidth;
  return { width, height: Math.round(Math.min(380, Math.max(250, width * 0.52))) };
}

type Inks = {
  ink: string;
  grey: string;
  hair: string;
  tint: string;
  accent: string;
  paper: string;
};

function inksAt(element: Element): Inks {
  const style = getComputedStyle(element);
  const ink = (name: string): string => style.getPropertyValue(`--${name}`).trim();
  return {
    ink: ink("ink"),
    grey: ink("grey"),
    hair: ink("hair"),
    tint: ink("tint"),
    accent: ink("accent"),
    paper: ink("paper"),
  };
}

const right = 26;

function drawPlot(into: HTMLElement, curve: Curve, unit: Exclude<MassUnit, "lb">): uPlot {
  const inks = inksAt(into);
  const per = gramsPer[unit];
  const columns = columnsOf(curve, per);
  const range = massRange(curve);
  const font = `13px ${getComputedStyle(into).fontFamily}`;
  const hour = (value: number): string => showNumber(speech.peek(), value, value % 1 === 0 ? 0 : 1);
  const lastHour = Math.max(1, ...columns.dryingHours);
  const axis = { stroke: inks.grey, font, labelFont: font, ticks: { stroke: inks.hair, width: 1 } };
  const options: uPlot.Options = {
    ...sizeIn(into),
    padding: [12, right, 0, 0],
    legend: { show: false },
    cursor: { drag: { x: false, y: false }, points: { show: false } },
    scales: {
      x: { time: false, range: [-lastHour * 0.02, lastHour * 1.03] },
      y: { range: [range.low / per, range.high / per] },
    },
    axes: [
      {
        ...axis,
        grid: { show: false },
        label: say().batch.curve.hours,
        size: 30,
        labelSize: 20,
        labelGap: 0,
        values: (_, splits) => splits.map(hour),
      },
      {
        ...axis,
        grid: { stroke: inks.hair, width: 1 },
        label: unit,
        labelSize: 20,
        size: 56,
        values: (_, splits, __, ___, step) =>
          splits.map((value) =>
            showNumber(speech.peek(), value, step >= 1 ? 0 : step >= 0.1 ? 1 : 2),
          ),
      },
    ],
    series: [
      {},
      { stroke: inks.accent, width: 2, points: { show: false } },
      { stroke: "transparent", points: { show: false } },
      { stroke: "transparent", points: { show: false } },
      { show: true, stroke: "transparent", points: { show: false } },
    ],
    bands: [{ series: [3, 2], fill: inks.tint }],
    hooks: {
      draw: [
        (plot) => {
          clearGaps(plot, curve);
          drawBreaks(plot, curve, inks);
          drawExpected(plot, curve, per, inks);
          drawPoints(plot, curve, per, inks);
        },
      ],
    },
  };
  const data = [
    [...columns.dryingHours],
    [...columns.line],
    [...columns.low],
    [...columns.high],
    [...columns.points],
  ] as uPlot.AlignedData;
  return new uPlot(options, data, into);
}

const pixels = (): number => window.devicePixelRatio;

/** The trays were out at each weighing: the curve is cut there, so that no hour seems to pass on the bench. */
function clearGaps(plot: uPlot, curve: Curve): void {
  const width = 5 * pixels();
  const { top, height, left } = plot.bbox;
  for (const hours of new Set(curve.points.map((point) => point.dryingHours))) {
    const x = plot.valToPos(hours, "x", true);
    if (x > left + width) plot.ctx.clearRect(x - width / 2, top, width, height);
  }
}

function drawBreaks(plot: uPlot, curve: Curve, inks: Inks): void {
  const { ctx, bbox } = plot;
  ctx.save();
  ctx.strokeStyle = inks.grey;
  ctx.lineWidth = 1.5 * pixels();
  ctx.setLineDash([6 * pixels(), 5 * pixels()]);
  for (const hours of breaksIn(curve.points)) {
    const x = plot.valToPos(hours, "x", true);
    ctx.beginPath();
    ctx.moveTo(x, bbox.top);
    ctx.lineTo(x, bbox.top + bbox.height);
    ctx.stroke();
  }
  ctx.restore();
}

/** A bracket in the margin: a range, never a line that would look exact. */
function drawExpected(plot: uPlot, curve: Curve, per: number, inks: Inks): void {
  if (curve.expectedDryGrams === null) return;
  const { ctx, bbox } = plot;
  const x = bbox.left + bbox.width + 14 * pixels();
  const low = plot.valToPos(curve.expectedDryGrams.low / per, "y", true);
  const high = plot.valToPos(curve.expectedDryGrams.high / per, "y", true);
  ctx.save();
  ctx.strokeStyle = inks.ink;
  ctx.lineWidth = 2.5 * pixels();
  ctx.beginPath();
  ctx.moveTo(x - 8 * pixels(), high);
  ctx.lineTo(x, high);
  ctx.lineTo(x, low);
  ctx.lineTo(x - 8 * pixels(), low);
  ctx.stroke();
  ctx.restore();
}

function drawPoints(plot: uPlot, curve: Curve, per: number, inks: Inks): void {
  const { ctx } = plot;
  ctx.save();
  ctx.strokeStyle = inks.ink;
  ctx.fillStyle = inks.ink;
  ctx.lineWidth = 1.5 * pixels();
  for (const { dryingHours, netGrams, uncertaintyGrams } of curve.points) {
    const x = plot.valToPos(dryingHours, "x", true);
    const y = (mass: number): number => plot.valToPos(mass / per, "y", true);
    ctx.beginPath();
    ctx.moveTo(x, y(netGrams - barsAt * uncertaintyGrams));
    ctx.lineTo(x, y(netGrams + barsAt * uncertaintyGrams));
    ctx.stroke();
    ctx.beginPath();
    ctx.arc(x, y(netGrams), 3.5 * pixels(), 0, 2 * Math.PI);
    ctx.fill();
  }
  ctx.restore();
}
