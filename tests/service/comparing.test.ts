import { expect, test } from "vitest";
import * as acts from "../../src/service/acts.ts";
import { chooseComparing, offsetsOf, takeBackComparison } from "../../src/service/comparing.ts";
import { logsOf } from "../../src/service/given.ts";
import { replay } from "../../src/service/replay.ts";
import { isFact } from "../../src/service/step.ts";
import { databaseIn } from "../../src/store/database.ts";
import { inspectStore } from "../../src/store/inspect.ts";
import { openStore } from "../../src/store/store.ts";
import { judgeBatch } from "../../src/verdict/judge.ts";
import { real, tempFolder } from "../store/folder.ts";
import { dried, Played } from "./given.ts";

/** A second scale beside the first. */
function withSecond(played: Played): Played {
  const scale = { ...played.scale, id: "scale-2", uri: "/dev/ttyUSB1", load: null };
  played.act(() => [{ is: "scale-came", scale }]);
  return played;
}

const putOn = (played: Played, id: string, mass: number, more = {}): void =>
  played.put(
    mass,
    more,
    played.bench.scales.find((one) => one.id === id),
  );
const compare = (played: Played): void =>
  played.act((bench) => chooseComparing(bench, ["scale-1", "scale-2"]));

function compared(played: Played, one = 850, other = 851.7): Played {
  compare(played);
  putOn(played, "scale-1", one);
  played.lift("scale-1");
  putOn(played, "scale-2", other);
  played.lift("scale-2");
  return played;
}

/** The last round of a tray weighed on another scale, which shows 2 g in 1000 more. */
function dryOnOther(played: Played, net = 102): void {
  played.clock("in");
  played.hour += 6;
  played.clock("out");
  putOn(played, "scale-2", (400 + net) * 1.002);
  played.lift("scale-2");
}

test("one load on two scales, one after the other, is their offset, and no tray is weighed by it", () => {
  const played = withSecond(new Played());
  played.startBatch(["A"]);
  compared(played);
  expect(played.bench.comparing).toBeNull();
  expect(played.batch.weighings).toEqual([]);
  const [offset] = offsetsOf(played.bench.kitchen.comparisons);
  expect(offset).toMatchObject({ from: "scale-2", to: "scale-1", count: 1, atLoad: 850 });
  expect(offset?.offset).toBeCloseTo(1.7, 9);
});

test.each([
  ["zero-not-seen", (p: Played) => putOn(p, "scale-2", 851.7, { zeroSeen: false })],
  ["too-light", (p: Played) => putOn(p, "scale-2", 4)],
  ["not-one-load", (p: Played) => putOn(p, "scale-2", 600)],
  [
    "too-late",
    (p: Played) => {
      p.hour += 0.3;
      putOn(p, "scale-2", 851.7);
    },
  ],
])("a load that cannot be the same is not compared: %s", (why, second) => {
  const played = withSecond(new Played());
  compare(played);
  putOn(played, "scale-1", 850);
  played.lift("scale-1");
  second(played);
  expect(played.bench.comparing?.why).toBe(why);
  expect(played.bench.kitchen.comparisons).toEqual([]);
});

test("a load that still lies on the first scale is not the one on the second", () => {
  const played = withSecond(new Played());
  compare(played);
  putOn(played, "scale-1", 850);
  putOn(played, "scale-2", 851.7);
  expect(played.bench.comparing).toMatchObject({ why: "still-on-first", first: { shown: 850 } });
  played.lift("scale-1");
  putOn(played, "scale-2", 851.7);
  expect(played.bench.kitchen.comparisons).toHaveLength(1);
});

test("a scale is not compared with itself, and what does not count cannot be taken back", () => {
  const played = withSecond(new Played());
  expect(() => played.act((bench) => chooseComparing(bench, ["scale-1", "scale-1"]))).toThrow(
    "with itself",
  );
  expect(() => played.act((bench) => chooseComparing(bench, ["scale-1", "scale-9"]))).toThrow(
    "no scale",
  );
  compared(played);
  played.act((bench) => takeBackComparison(bench, 1, played.at()));
  expect(offsetsOf(played.bench.kitchen.comparisons)).toEqual([]);
  expect(played.bench.kitchen.comparisons).toHaveLength(2);
  expect(() => played.act((bench) => takeBackComparison(bench, 1, played.at()))).toThrow("counts");
});

test("a tray weighed on one scale alone is judged to the last bit as if no scales were told apart", () => {
  const played = compared(withSecond(dried()));
  const { limit } = played.bench.settings;
  const plain = logsOf(played.batch, { timeFactor: 1, comparisons: null });
  expect(logsOf(played.batch, { timeFactor: 1, comparisons: [] })).toEqual(plain);
  const { comparisons } = played.bench.kitchen;
  expect(JSON.stringify(logsOf(played.batch, { timeFactor: 1, comparisons }))).toBe(
    JSON.stringify(plain),
  );
  expect(JSON.stringify(played.batch.judged)).toBe(JSON.stringify(judgeBatch(plain, { limit })));
});

test("with the offset known, a tray's masses are brought to the scale of its last weighing", () => {
  const played = compared(withSecond(dried()), 1000, 1002);
  dryOnOther(played);
  const { comparisons } = played.bench.kitchen;
  const [log] = logsOf(played.batch, { timeFactor: 1, comparisons });
  const rows = log!.weighings;
  expect(rows.at(-1)?.otherScale).toBeUndefined();
  expect(rows.at(-2)?.otherScale).toMatchObject({ scale: "scale-1", to: "scale-2", isKnown: true });
  // All is shown as scale 2 would: 102 g of food weigh 102.2 g there, before and now.
  expect(rows.at(-1)!.net - rows.at(-2)!.net).toBeCloseTo(0, 1);
  const verdict = played.batch.judged?.trays[0];
  expect(verdict?.verdict).toBe("stable");
  expect(verdict?.reasons.at(-1)?.text).toMatch(/weighed on two scales: .* taken off/);
});

test("with no offset known, the tray's last pair proves less, and the reason says why", () => {
  const known = compared(withSecond(dried()), 1000, 1002);
  const unknown = withSecond(dried());
  for (const played of [known, unknown]) dryOnOther(played);
  const provable = (played: Played) => played.batch.judged!.trays[0]!.provable!;
  expect(provable(unknown)).toBeGreaterThan(2 * provable(known));
  expect(unknown.batch.judged?.trays[0]?.reasons.at(-1)?.text).toContain("offset is unknown");
  // A gain of 1 g that only the other scale shows is not called one.
  expect(unknown.batch.judged?.trays[0]?.verdict).not.toBe("gaining");
});

test("a comparison made later judges an open batch anew", () => {
  const played = withSecond(dried());
  dryOnOther(played);
  const before = played.batch.judged;
  compared(played, 1000, 1002);
  expect(played.batch.judged).not.toEqual(before);
});

/** Everything that a bench was told, in a closed store. */
function keptFile(played: Played): string {
  const folder = tempFolder();
  const store = openStore(folder, { ...real, at: played.at(0) });
  for (const fact of played.told.filter(isFact)) store.record([fact]);
  expect(store.load().kitchen.comparisons).toEqual(played.bench.kitchen.comparisons);
  store.close();
  return databaseIn(folder);
}

test.each(["before", "after", "never", "taken back"] as const)(
  "verdicts on two scales follow from what is kept, compared %s",
  (when) => {
    const played = withSecond(dried());
    if (when === "before" || when === "taken back") compared(played, 1000, 1002);
    dryOnOther(played);
    dryOnOther(played);
    if (when === "after") compared(played, 1000, 1002);
    if (when === "taken back") played.act((bench) => takeBackComparison(bench, 1, played.at()));
    const { problems, holds } = inspectStore(keptFile(played), replay);
    expect(problems).toEqual([]);
    expect(holds?.replayed?.checked).toBeGreaterThan(6);
  },
);

test("a verdict kept before scales were told apart is not accused", () => {
  const played = withSecond(dried());
  played.act((bench) => acts.checkCore(bench, 1, "dry", played.at()));
  dryOnOther(played);
  const older = played.batch.verdicts.map((one) => {
    const basis = JSON.parse(one.basis) as { standing?: { comparison?: number } };
    if (basis.standing !== undefined) delete basis.standing.comparison;
    return { ...one, basis: JSON.stringify(basis) };
  });
  // On one scale, nothing but the mark differs; on two, the word may rest on figures taken as they were.
  const oneScale = older.filter(({ round }) => round < 4);
  const batch = { ...played.batch, verdicts: oneScale };
  expect(replay(batch, () => batch.trays, []).problems).toEqual([]);
});

test("what a batch teaches of its food rests on the masses that it was judged by", () => {
  const played = withSecond(dried());
  compared(played);
  dryOnOther(played);
  played.act((bench) => acts.checkCore(bench, 1, "dry", played.at()));
  expect(played.batch.judged?.verdict).toBe("stable");
  played.act((bench) => acts.endBatch(bench, 1, played.at()));
  const [lesson] = played.bench.lessons;
  // Fresh on the first scale, dry on the second: both as the second shows them. The tare was typed.
  expect(lesson!.fresh).toBeCloseTo(1.002 * (400 + 907.2) - 400, 3);
  expect(lesson!.end).toBeCloseTo(1.002 * (400 + 102) - 400, 9);
});
