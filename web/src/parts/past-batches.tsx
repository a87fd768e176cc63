/** How earlier batches of the same food went, laid over this one: share of the fresh mass over drying hours. */
import { useSignal } from "@preact/signals";
import { useMemo } from "preact/hooks";
import type { Batch, BatchSummary, Curve, Tray } from "../../../src/wire/batch.ts";
import { service } from "../ask.ts";
import { sharesOf } from "../columns.ts";
import { foodCalled, say, speech } from "../page.ts";
import { batchName, showDate, showDryingHour, showPercent, trayName } from "../show.ts";
import { Refused } from "./act.tsx";
import { useFetched } from "./fetched.ts";
import { Fold } from "./field.tsx";
import { decimalsOfStep, Plot, type Line, type Picture } from "./plot.tsx";
import { Wide } from "./wide.tsx";

/** One drying, as it is laid over the others. */
type Course = {
  readonly name: string;
  readonly line: Line;
  readonly shares: readonly (readonly [hours: number, share: number])[];
};

/** Told apart by their dashes; the batch at hand is the full stroke. */
const dashes: readonly (readonly number[])[] = [
  [12, 5],
  [3, 4],
  [12, 4, 3, 4],
  [20, 6],
];

type Props = { readonly batch: Batch; readonly tray: Tray; readonly curve: Curve };

export function PastBatches({ batch, tray, curve }: Props) {
  const texts = say().batch.past;
  const isOpen = useSignal(false);
  const food = tray.food;
  if (food === null) return null;
  return (
    <Fold summary={texts.open} onToggle={(open) => (isOpen.value = open)}>
      {isOpen.value && <Past batch={batch} tray={tray} curve={curve} food={food} />}
    </Fold>
  );
}

function Past({ batch, tray, curve, food }: Props & { readonly food: string }) {
  const texts = say().batch.past;
  const { body, why } = useFetched(food, () => service.batches("ended"));
  const chosen = useSignal<readonly number[] | null>(null);
  if (why !== null) return <Refused why={why} />;
  if (body === null) return <p class="quiet">{say().connection.connecting}</p>;
  const alike = body
    .filter((one) => one.id !== batch.id && one.foods.includes(food))
    .sort((a, b) => b.number - a.number);
  if (alike.length === 0) return <p>{texts.none(foodCalled(food))}</p>;
  const ids = chosen.value ?? alike.slice(0, 1).map((one) => one.id);
  const choose = (id: number, isWanted: boolean): void => {
    const others = ids.filter((one) => one !== id);
    chosen.value = isWanted ? [...others, id].slice(-dashes.length) : others;
  };
  return (
    <>
      <fieldset class="choices">
        <legend>{texts.choose(dashes.length)}</legend>
        {alike.map((one) => (
          <label key={one.id} class="tick">
            <input
              type="checkbox"
              checked={ids.includes(one.id)}
              onChange={(event) => choose(one.id, event.currentTarget.checked)}
            />
            <span>
              {batchName(speech.value, one)}, {say().batch.number(one.number)},{" "}
              {showDate(speech.value, one.startedAt)}
            </span>
          </label>
        ))}
      </fieldset>
      <Overlay
        tray={tray}
        curve={curve}
        food={food}
        past={alike.filter((one) => ids.includes(one.id))}
      />
    </>
  );
}

type OverlayProps = {
  readonly tray: Tray;
  readonly curve: Curve;
  readonly food: string;
  readonly past: readonly BatchSummary[];
};

function Overlay({ tray, curve, food, past }: OverlayProps) {
  const texts = say().batch.past;
  const { body, why } = useFetched(past.map(({ id }) => id).join(" "), () => coursesOf(past, food));
  const isRelative = useSignal(false);
  const own = sharesOf(curve);
  const name = trayName(speech.value, tray.name);
  const courses: readonly Course[] = [
    ...(own === null
      ? []
      : [
          {
            name: texts.this(name),
            line: { ink: "ink", isWithPoints: true } as const,
            shares: own,
          },
        ]),
    ...(body ?? []),
  ];
  const { locale } = speech.value;
  const drawn = isRelative.value ? courses.map(asShareOfTime) : courses;
  const picture = useMemo(
    () => pictureOf(drawn, isRelative.value),
    [curve, body, locale, texts, isRelative.value],
  );
  if (why !== null) return <Refused why={why} />;
  if (own === null) return <p class="quiet">{texts.noFresh}</p>;
  const at = (index: number, column: number): string => {
    const hours = picture.columns[0]?.[index];
    const share = picture.columns[column]?.[index];
    if (typeof hours !== "number" || typeof share !== "number") return "";
    return texts.at(
      courses[column - 1]?.name ?? "",
      isRelative.value
        ? showPercent(speech.value, hours / 100)
        : showDryingHour(speech.value, hours),
      showPercent(speech.value, share, 1),
    );
  };
  const ownDrawn = drawn[0]?.shares ?? own;
  return (
    <figure class="curve">
      <label class="tick">
        <input
          type="checkbox"
          checked={isRelative.value}
          onChange={(event) => (isRelative.value = event.currentTarget.checked)}
        />
        <span>{texts.relative}</span>
      </label>
      <Plot
        key={String(isRelative.value)}
        label={texts.label(name)}
        picture={picture}
        stops={ownDrawn.map(([hours, value]) => ({ hours, value }))}
        stopText={(index) => at(picture.columns[0]?.indexOf(ownDrawn[index]?.[0] ?? 0) ?? 0, 1)}
        columnText={(index) =>
          courses
            .map((_, column) => at(index, column + 1))
            .filter((text) => text !== "")
            .join("; ")
        }
      />
      <figcaption>
        <p>{isRelative.value ? texts.relativeAxes : texts.axes}</p>
      </figcaption>
      <Wide label={texts.table}>
        <table class="words">
          <caption>{texts.table}</caption>
          <thead>
            <tr>
              <th scope="col">{texts.columns.course}</th>
              <th scope="col">{texts.columns.hours}</th>
              <th scope="col">{texts.columns.share}</th>
            </tr>
          </thead>
          <tbody>
            {courses.map((course) => {
              const [hours, share] = course.shares.at(-1) ?? [0, 1];
              return (
                <tr key={course.name}>
                  <th scope="row">
                    <Sample line={course.line} /> {course.name}
                  </th>
                  <td>{showDryingHour(speech.value, hours)}</td>
                  <td>{showPercent(speech.value, share, 1)}</td>
                </tr>
              );
            })}
          </tbody>
        </table>
      </Wide>
    </figure>
  );
}

function Sample({ line }: { readonly line: Line }) {
  return (
    <svg class="sample" viewBox="0 0 48 12" aria-hidden="true">
      <path
        d="M0 6H48"
        stroke-width={line.width ?? 2}
        {...(line.dash === undefined ? {} : { "stroke-dasharray": line.dash.join(" ") })}
      />
    </svg>
  );
}

/** Every tray of the chosen batches that bore this food. */
async function coursesOf(past: readonly BatchSummary[], food: string) {
  const courses: Course[] = [];
  for (const [place, one] of past.entries()) {
    const [batch, curves] = await Promise.all([service.batch(one.id), service.curves(one.id)]);
    if (batch.is === "not-done") return batch;
    if (curves.is === "not-done") return curves;
    for (const curve of curves.body) {
      const tray = batch.body.trays.find(({ id }) => id === curve.tray);
      const shares = sharesOf(curve);
      if (tray?.food !== food || shares === null) continue;
      courses.push({
        name: say().batch.past.other(
          batchName(speech.value, one),
          trayName(speech.value, curve.name),
        ),
        line: { ink: "grey", width: 1.5, dash: dashes[place % dashes.length] ?? [] },
        shares,
      });
    }
  }
  return { is: "done", body: courses } as const;
}

/** Each course over its own time to the last weighing, in per cent of it: quick and slow ones lie on one another. */
function asShareOfTime(course: Course): Course {
  const last = course.shares.at(-1)?.[0] ?? 0;
  const part = (hours: number): number => (last > 0 ? (100 * hours) / last : 0);
  return {
    ...course,
    shares: course.shares.map(([hours, share]) => [part(hours), share] as const),
  };
}

function pictureOf(courses: readonly Course[], isRelative: boolean): Picture {
  const hours = [...new Set(courses.flatMap((course) => course.shares.map(([hour]) => hour)))].sort(
    (a, b) => a - b,
  );
  const last = Math.max(1, ...hours);
  const shares = courses.flatMap((course) => course.shares.map(([, share]) => share));
  const least = Math.min(1, ...shares);
  return {
    columns: [
      hours,
      ...courses.map((course) => {
        const byHour = new Map(course.shares);
        return hours.map((hour) => byHour.get(hour));
      }),
    ],
    lines: courses.map((course) => course.line),
    band: null,
    hours: { low: -0.02 * last, high: 1.03 * last },
    ...(isRelative ? { levelLabel: say().batch.past.relativeLevel } : {}),
    upright: (from, to) => {
      const seen = courses.flatMap((course) =>
        course.shares.filter(([hour]) => hour >= from && hour <= to).map(([, share]) => share),
      );
      const low = Math.min(...seen, seen.length === 0 ? least : 1);
      const high = Math.max(...seen, seen.length === 0 ? 1 : 0);
      const air = Math.max(0.01, 0.06 * (high - low));
      return { low: low - air, high: high + air };
    },
    uprightLabel: say().batch.past.share,
    uprightFigure: (value, step) => showPercent(speech.peek(), value, decimalsOfStep(100 * step)),
    marginRight: 12,
    paint: () => undefined,
  };
}
