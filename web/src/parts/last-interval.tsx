/** The two weighings on which the question rests, large: what was lost, and what could still hide in the error. */
import type { Curve } from "../../../src/wire/batch.ts";
import { barsAt, lastInterval, type Point } from "../columns.ts";
import { say, speech } from "../page.ts";
import { showDryingHour, showDuration, showMass } from "../show.ts";

type Props = {
  readonly curve: Curve;
  readonly provableGrams: number | null;
  readonly divisionGrams: number | null;
};

const frame = { width: 400, height: 260, left: 90, right: 300, top: 44, bottom: 178 } as const;

export function LastInterval({ curve, provableGrams, divisionGrams }: Props) {
  const texts = say().batch.last;
  const pair = lastInterval(curve.points);
  if (pair === null) return <p class="quiet">{texts.none}</p>;
  const [before, last] = pair;
  const mass = (value: number): string => showMass(speech.value, value, divisionGrams);
  return (
    <figure class="last-interval">
      <p class="big-words">{changeIn(before, last, divisionGrams)}</p>
      <Drawing before={before} last={last} provableGrams={provableGrams} mass={mass} />
      <figcaption>
        {provableGrams !== null && (
          <p>{texts.hides(showMass(speech.value, provableGrams, finer(divisionGrams)))}</p>
        )}
        <p>{texts.bars}</p>
      </figcaption>
    </figure>
  );
}

/** A computed limit below one division is still said, one decimal finer than the scale. */
const finer = (division: number | null): number => (division ?? 1) / 10;

function changeIn(before: Point, last: Point, divisionGrams: number | null): string {
  const texts = say().batch.last;
  const hours = showDuration(speech.value, last.dryingHours - before.dryingHours);
  // Of the two masses as they stand beside it, not of what lies behind them.
  const division = divisionGrams ?? 1;
  const shown = ({ netGrams }: Point): number => Math.round(netGrams / division) * division;
  const change = shown(before) - shown(last);
  const isNothing = Math.abs(change) < division / 2;
  if (isNothing) return texts.same(hours);
  const mass = showMass(speech.value, Math.abs(change), divisionGrams);
  return change > 0 ? texts.lost(mass, hours) : texts.gained(mass, hours);
}

type DrawingProps = {
  readonly before: Point;
  readonly last: Point;
  readonly provableGrams: number | null;
  readonly mass: (grams: number) => string;
};

function Drawing({ before, last, provableGrams, mass }: DrawingProps) {
  const { left, right, top, bottom, width, height } = frame;
  const ends = [before, last].flatMap(({ netGrams, uncertaintyGrams }) => [
    netGrams - barsAt * uncertaintyGrams,
    netGrams + barsAt * uncertaintyGrams,
  ]);
  const hidden = before.netGrams - (provableGrams ?? 0);
  const high = Math.max(...ends, before.netGrams);
  const low = Math.min(...ends, hidden);
  const y = (grams: number): number =>
    bottom - ((grams - low) / Math.max(1e-6, high - low)) * (bottom - top);
  const hours = (point: Point): string => showDryingHour(speech.value, point.dryingHours);
  return (
    <svg
      viewBox={`0 0 ${width} ${height}`}
      role="img"
      aria-label={say().batch.last.label(
        `${mass(before.netGrams)} (${hours(before)})`,
        `${mass(last.netGrams)} (${hours(last)})`,
      )}
    >
      {provableGrams !== null && (
        <>
          <rect
            class="hides"
            x={left}
            width={right - left + 40}
            y={y(before.netGrams)}
            height={Math.max(1, y(hidden) - y(before.netGrams))}
          />
          <line class="hides-edge" x1={left} x2={right + 40} y1={y(hidden)} y2={y(hidden)} />
        </>
      )}
      <line
        class="level"
        x1={left}
        x2={right + 40}
        y1={y(before.netGrams)}
        y2={y(before.netGrams)}
      />
      <line class="joins" x1={left} y1={y(before.netGrams)} x2={right} y2={y(last.netGrams)} />
      {(
        [
          [before, left],
          [last, right],
        ] as const
      ).map(([point, x]) => (
        <g key={point.weighing}>
          <path class="bar" d={barPath(x, y, point)} />
          <circle class="dot" cx={x} cy={y(point.netGrams)} r="6" />
          <text class="hour" x={x} y={height - 12} text-anchor="middle">
            {hours(point)}
          </text>
        </g>
      ))}
      <text
        class="mass"
        x={left}
        y={y(before.netGrams + barsAt * before.uncertaintyGrams) - 10}
        text-anchor="middle"
      >
        {mass(before.netGrams)}
      </text>
      <text
        class="mass"
        x={right}
        y={y(last.netGrams - barsAt * last.uncertaintyGrams) + 26}
        text-anchor="middle"
      >
        {mass(last.netGrams)}
      </text>
    </svg>
  );
}

function barPath(x: number, y: (grams: number) => number, point: Point): string {
  const from = y(point.netGrams - barsAt * point.uncertaintyGrams);
  const to = y(point.netGrams + barsAt * point.uncertaintyGrams);
  return `M${x - 9} ${from}h18M${x - 9} ${to}h18M${x} ${from}V${to}`;
}
