/** A picture over drying hours that can be read and zoomed by pointer, touch and keyboard. The only file that knows the plotting library. */
import { useSignal } from "@preact/signals";
import { useEffect, useRef } from "preact/hooks";
import uPlot from "uplot";
import "uplot/dist/uPlot.min.css";
import { broughtIn, zoomed } from "../columns.ts";
import { say, speech } from "../page.ts";
import { showNumber } from "../show.ts";

type Inks = Readonly<Record<"ink" | "grey" | "hair" | "tint" | "accent" | "paper", string>>;
type Range = { readonly low: number; readonly high: number };

export type Line = {
  readonly ink: keyof Inks | null;
  readonly width?: number;
  readonly dash?: readonly number[];
  readonly isWithPoints?: boolean;
};

/** What is drawn. Columns over one ascending axis of hours; `undefined` where a line goes on, `null` where it breaks. */
export type Picture = {
  readonly columns: readonly (readonly (number | null | undefined)[])[];
  readonly lines: readonly Line[];
  /** Two columns with a tint between them. */
  readonly band: readonly [high: number, low: number] | null;
  readonly hours: Range;
  /** Where the level axis is not of hours. */
  readonly levelLabel?: string;
  readonly upright: (from: number, to: number) => Range;
  readonly uprightLabel: string;
  readonly uprightFigure: (value: number, step: number) => string;
  readonly marginRight: number;
  readonly paint: (brush: Brush) => void;
};

/** Draws in hours and in the picture's own upright unit. */
export type Brush = {
  readonly ctx: CanvasRenderingContext2D;
  readonly inks: Inks;
  readonly px: number;
  readonly box: uPlot.BBox;
  readonly x: (hours: number) => number;
  readonly y: (value: number) => number;
  /** Within the field of the plot alone. */
  readonly inside: (draw: () => void) => void;
};

type Props = {
  readonly label: string;
  /** Drawn anew when it is another one. */
  readonly picture: Picture;
  /** What the arrow keys go through. */
  readonly stops: readonly { readonly hours: number; readonly value: number }[];
  readonly stopText: (index: number) => string;
  /** What the picture says at a column under the pointer. */
  readonly columnText: (index: number) => string;
};

const zoomStep = 0.5;

export function Plot({ label, picture, stops, stopText, columnText }: Props) {
  const texts = say().batch.curve;
  const place = useRef<HTMLDivElement>(null);
  const plot = useRef<uPlot | null>(null);
  const stop = useSignal<number | null>(null);
  const pointed = useSignal<number | null>(null);
  const whole = picture.hours;
  const seen = useSignal(whole);
  const isZoomed = seen.value.high - seen.value.low < (whole.high - whole.low) * (1 - 1e-6);

  const turnTo = (hours: Range): void => {
    seen.value = hours;
    // At once, so that places asked for next are those of the new range.
    plot.current?.batch(() => plot.current?.setScale("x", { min: hours.low, max: hours.high }));
  };

  useEffect(() => {
    const into = place.current;
    if (into === null) return;
    const draw = (): void => {
      plot.current?.destroy();
      seen.value = whole;
      plot.current = drawn(into, picture, {
        pointedAt: (index) => (pointed.value = index),
        seen: () => seen.peek(),
        turnTo,
      });
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
  }, [picture]);

  /** About the weighing that was stepped to, else about the end: that is where the question lies. */
  const zoom = (factor: number): void => {
    const now = seen.peek();
    const at = stops[stop.peek() ?? stops.length - 1]?.hours ?? now.high;
    turnTo(zoomed(now, whole, factor, Math.min(now.high, Math.max(now.low, at))));
  };
  const stepTo = (index: number): void => {
    const to = stops[index];
    if (to === undefined || plot.current === null) return;
    pointed.value = null;
    stop.value = index;
    turnTo(broughtIn(seen.peek(), whole, to.hours));
    plot.current.setCursor(
      {
        left: plot.current.valToPos(to.hours, "x"),
        top: plot.current.valToPos(to.value, "y"),
      },
      false,
    );
  };
  const onKey = (event: KeyboardEvent): void => {
    if (event.ctrlKey || event.altKey || event.metaKey) return;
    const last = stops.length - 1;
    const before = stop.peek();
    const acts: Readonly<Record<string, () => void>> = {
      ArrowRight: () => stepTo(before === null ? 0 : Math.min(last, before + 1)),
      ArrowLeft: () => stepTo(before === null ? last : Math.max(0, before - 1)),
      Home: () => stepTo(0),
      End: () => stepTo(last),
      "+": () => zoom(zoomStep),
      "-": () => zoom(1 / zoomStep),
      "0": () => turnTo(whole),
    };
    const act = acts[event.key];
    if (act === undefined) return;
    event.preventDefault();
    act();
  };

  const stepped = stop.value === null ? "" : stopText(stop.value);
  return (
    <>
      <div
        ref={place}
        class="plot"
        role="application"
        tabIndex={0}
        aria-label={label}
        onKeyDown={onKey}
      />
      <div class="under-plot">
        <p class="readout" aria-hidden="true">
          {pointed.value === null ? stepped : columnText(pointed.value)}
        </p>
        {/* A pointer that moves is seen, and would only chatter here. */}
        <p class="unseen" role="status">
          {stepped}
        </p>
        <div class="zooms">
          <button type="button" onClick={() => zoom(zoomStep)}>
            {texts.zoomIn}
          </button>
          <button type="button" aria-disabled={!isZoomed} onClick={() => zoom(1 / zoomStep)}>
            {texts.zoomOut}
          </button>
          <button type="button" aria-disabled={!isZoomed} onClick={() => turnTo(whole)}>
            {texts.zoomWhole}
          </button>
        </div>
      </div>
    </>
  );
}

function sizeIn(place: HTMLElement): { width: number; height: number } {
  const width = place.clientWidth;
  return { width, height: Math.round(Math.min(380, Math.max(250, width * 0.52))) };
}

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

/** As many as the marks of an axis differ in: 2.5 hours apart have one. */
export const decimalsOfStep = (step: number): number =>
  [0, 1, 2].find((decimals) => Math.abs(step - Number(step.toFixed(decimals))) < 1e-9) ?? 3;

type Heard = {
  readonly pointedAt: (index: number | null) => void;
  /** The hours in view; the library tells its own only after the upright axis is ranged. */
  readonly seen: () => Range;
  readonly turnTo: (hours: Range) => void;
};

const smooth = uPlot.paths.spline?.();

function drawn(into: HTMLElement, picture: Picture, heard: Heard): uPlot {
  const inks = inksAt(into);
  const font = `13px ${getComputedStyle(into).fontFamily}`;
  const axis = { stroke: inks.grey, font, labelFont: font, ticks: { stroke: inks.hair, width: 1 } };
  const { hours, band } = picture;
  const options: uPlot.Options = {
    ...sizeIn(into),
    padding: [12, picture.marginRight, 0, 0],
    legend: { show: false },
    cursor: {
      // Dragging along the hours zooms to what was dragged over.
      drag: { x: true, y: false, dist: 6, setScale: false },
      points: { show: false },
      bind: {
        dblclick: () => () => {
          heard.turnTo(hours);
          return null;
        },
      },
    },
    scales: {
      x: { time: false, auto: false, min: hours.low, max: hours.high },
      y: {
        range: () => {
          const { low, high } = heard.seen();
          const range = picture.upright(low, high);
          return [range.low, range.high];
        },
      },
    },
    axes: [
      {
        ...axis,
        grid: { show: false },
        label: picture.levelLabel ?? say().batch.curve.hours,
        size: 30,
        labelSize: 20,
        labelGap: 0,
        values: (_, splits, __, ___, step) =>
          splits.map((value) => showNumber(speech.peek(), value, decimalsOfStep(step))),
      },
      {
        ...axis,
        grid: { stroke: inks.hair, width: 1 },
        label: picture.uprightLabel,
        labelSize: 20,
        size: 56,
        values: (_, splits, __, ___, step) =>
          splits.map((value) => picture.uprightFigure(value, step)),
      },
    ],
    series: [
      {},
      ...picture.lines.map((line) => ({
        stroke: line.ink === null ? "transparent" : inks[line.ink],
        width: line.width ?? 2,
        // A fitted curve comes as a few points; through them, never beyond them (monotone cubic).
        ...(line.isWithPoints === true || smooth === undefined ? {} : { paths: smooth }),
        ...(line.dash === undefined ? {} : { dash: [...line.dash] }),
        points: {
          show: line.isWithPoints ?? false,
          size: 6,
          ...(line.ink === null ? {} : { fill: inks[line.ink] }),
        },
      })),
    ],
    ...(band === null ? {} : { bands: [{ series: [...band], fill: inks.tint }] }),
    hooks: {
      draw: [(plot) => picture.paint(brushOf(plot, inks))],
      setCursor: [
        (plot) => {
          const isOver = (plot.cursor.left ?? -1) >= 0;
          heard.pointedAt(isOver ? (plot.cursor.idx ?? null) : null);
        },
      ],
      setSelect: [
        (plot) => {
          const { left, width } = plot.select;
          if (width <= 0) return;
          const low = plot.posToVal(left, "x");
          const high = plot.posToVal(left + width, "x");
          plot.setSelect({ left: 0, top: 0, width: 0, height: 0 }, false);
          heard.turnTo({ low, high });
        },
      ],
    },
  };
  return new uPlot(
    options,
    picture.columns.map((column) => [...column]) as uPlot.AlignedData,
    into,
  );
}

function brushOf(plot: uPlot, inks: Inks): Brush {
  const { ctx, bbox: box } = plot;
  return {
    ctx,
    inks,
    px: window.devicePixelRatio,
    box,
    x: (hours) => plot.valToPos(hours, "x", true),
    y: (value) => plot.valToPos(value, "y", true),
    inside: (draw) => {
      ctx.save();
      ctx.beginPath();
      ctx.rect(box.left, box.top, box.width, box.height);
      ctx.clip();
      draw();
      ctx.restore();
    },
  };
}
