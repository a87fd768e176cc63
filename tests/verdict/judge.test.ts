import { expect, test } from "vitest";
import { judgeBatch } from "../../src/verdict/judge.ts";
import { fraction, hours } from "../../src/units/quantity.ts";
import { judgeTray, logOf, potatoes, settings, strawberries } from "./logs.ts";

const codes = (verdict: ReturnType<typeof judgeTray>) => verdict.reasons.map(({ code }) => code);
/** An excess of 11.3 g that halves about every 3 h. */
const slowlyDry = [
  [24, 104],
  [28, 97.5],
  [32, 94.7],
  [36, 93.5],
  [40, 93.0],
  [44, 92.9],
] as const;
const berries = { fresh: 1000, food: strawberries };

test("a tray that stands still at the mass of its dry food is stable", () => {
  const verdict = judgeTray(logOf(slowlyDry, berries), settings);
  expect(verdict.verdict).toBe("stable");
  expect(verdict.pDry).toBeGreaterThanOrEqual(0.95);
  expect(verdict.moreHours).toEqual({ estimate: 0, low: 0, high: 0 });
});

test("of the same figures thin pieces are likelier dry, and thick ones take longer", () => {
  const log = logOf(slowlyDry.slice(0, 3), { ...berries, division: 1 });
  const [thin, untold, thick] = [5, undefined, 20].map((thicknessMm) =>
    judgeTray(thicknessMm === undefined ? log : { ...log, thicknessMm }, settings),
  );
  expect(thin!.pDry).toBeGreaterThan(untold!.pDry);
  expect(untold!.pDry).toBeGreaterThan(thick!.pDry);
  expect(thin!.moreHours!.high).toBeLessThan(thick!.moreHours!.high);
});

test("a thickness, and what own batches showed of the rate, count beside another tray of the food too", () => {
  const log = logOf(slowlyDry.slice(0, 3), { ...berries, division: 1 });
  const pDry = (more: Partial<typeof log>): number => {
    const trays = ["A", "B"].map((tray) => ({ ...log, ...more, tray }));
    return judgeBatch(trays, settings).trays[0]!.pDry;
  };
  const untold = pDry({});
  expect(pDry({ thicknessMm: 5 })).toBeGreaterThan(untold + 0.02);
  expect(pDry({ thicknessMm: 20 })).toBeLessThan(untold - 0.02);
  const seen = (rate: number) =>
    Array.from({ length: 5 }, () => ({ lnRate: Math.log(rate), u: 0.1 }));
  expect(pDry({ ratesSeen: seen(0.8) })).toBeGreaterThan(untold + 0.02);
  expect(pDry({ ratesSeen: seen(0.08) })).toBeLessThan(untold - 0.02);
});

test("a tray in full drying is losing, with hours to go", () => {
  const verdict = judgeTray(
    logOf(
      [
        [8, 600],
        [11, 480],
      ],
      berries,
    ),
    settings,
  );
  expect(verdict.verdict).toBe("losing");
  expect(codes(verdict)).toEqual(["above-tolerance"]);
  expect(verdict.moreHours!.low).toBeGreaterThan(1);
  expect(verdict.pDry).toBeLessThan(0.01);
});

test("a weight that stands still far above the dry food is stalled and heavy", () => {
  const verdict = judgeTray(
    logOf(
      [
        [12, 400],
        [15, 300],
        [18, 299.9],
        [21, 299.9],
      ],
      berries,
    ),
    settings,
  );
  expect(verdict.verdict).toBe("stalled");
  expect(codes(verdict)).toEqual(["heavy"]);
});

test("a rise beyond the scale's error is gaining", () => {
  const verdict = judgeTray(
    logOf(
      [
        [24, 93.2],
        [28, 93.1],
        [38, 95.5],
      ],
      berries,
    ),
    settings,
  );
  expect(verdict.verdict).toBe("gaining");
  expect(codes(verdict)).toEqual(["rose"]);
});

test("one weighing of a tray near its dry mass proves nothing", () => {
  const verdict = judgeTray(logOf([[30, 93]], berries), settings);
  expect(verdict.verdict).toBe("unsure");
  expect(codes(verdict)).toEqual(["too-few"]);
  expect(verdict.nextWeighingHours).toBeGreaterThanOrEqual(1);
});

test("the same figure on a 5 g scale is too coarse to prove a 100 g tray dry", () => {
  const verdict = judgeTray(
    logOf(
      [
        [28, 95],
        [31, 95],
      ],
      { ...berries, division: 5 },
    ),
    settings,
  );
  expect(verdict.verdict).toBe("unsure");
  expect(codes(verdict)).toContain("too-coarse");
});

test("nothing weighed since drying began is unsure", () => {
  const verdict = judgeTray(logOf([[0, 1000]], { food: potatoes }), settings);
  expect(verdict.verdict).toBe("unsure");
  expect(codes(verdict)).toEqual(["too-few"]);
});

test("a soft core keeps a steady tray losing until a later one is found dry", () => {
  const log = logOf(slowlyDry, berries);
  const soft = { dryingHours: hours(44), finding: "soft" } as const;
  const held = judgeTray({ ...log, coreChecks: [soft] }, settings);
  expect(held.verdict).toBe("losing");
  expect(codes(held)).toEqual(["soft-core"]);
  const sameHour = { dryingHours: hours(44), finding: "dry" } as const;
  expect(judgeTray({ ...log, coreChecks: [soft, sameHour] }, settings).verdict).toBe("losing");
  const later = { dryingHours: hours(46), finding: "dry" } as const;
  expect(judgeTray({ ...log, coreChecks: [soft, later] }, settings).verdict).toBe("stable");
});

test("weighings before a break of the curve are not paired with those after it", () => {
  const log = logOf(
    [
      [24, 93.6],
      [28, 93.0],
      [32, 93.0],
    ],
    berries,
  );
  const broken = {
    ...log,
    weighings: log.weighings.map((one, i) => ({ ...one, stretch: i === 2 ? 1 : 0 })),
  };
  expect(judgeTray(log, settings).verdict).toBe("stable");
  const verdict = judgeTray(broken, settings);
  expect(verdict.verdict).toBe("unsure");
  expect(codes(verdict)).toEqual(["too-few"]);
});

test("a batch has the worst word of its trays and names those it waits for", () => {
  const ready = logOf(slowlyDry, { ...berries, tray: "A" });
  const slow = logOf(
    [
      [24, 180],
      [28, 140],
      [32, 118],
      [36, 107],
    ],
    { ...berries, tray: "B" },
  );
  const batch = judgeBatch([ready, slow], settings);
  expect(batch.trays.map(({ verdict }) => verdict)).toEqual(["stable", "losing"]);
  expect(batch.verdict).toBe("losing");
  expect(batch.behind).toEqual(["B"]);
  expect(batch.moreHours).toEqual(batch.trays[1]!.moreHours);
});

test("a looser limit is easier to reach", () => {
  const log = logOf(
    [
      [24, 96],
      [28, 94],
    ],
    berries,
  );
  const strict = judgeTray(log, settings).pDry;
  expect(judgeTray(log, { limit: fraction(0.03) }).pDry).toBeGreaterThan(strict);
});

/** A tray of a food whose dry mass nobody knows within a third, steady since its first weighing. */
const mangos = {
  name: "Mangos, raw",
  water: fraction(0.8346),
  waterSd: fraction(0.0827),
  source: "USDA SR28 09176",
};
const steadyMangos = logOf(
  [
    [22, 112.4],
    [24, 112],
    [26.2, 111.8],
  ],
  { fresh: 670, food: mangos },
);

test("a core found dry speaks for a steady tray, the more so where a stopped dryer would look the same", () => {
  const found = { dryingHours: hours(26.2), finding: "dry" } as const;
  const before = judgeTray(steadyMangos, settings);
  const after = judgeTray({ ...steadyMangos, coreChecks: [found] }, settings);
  expect(after.pDry).toBeGreaterThan(before.pDry + 0.01);
  expect(after.pDry).toBeLessThan(1);
  // Of the same odds for and against, a finding that is at most 0.95/0.15 as likely when dry moves no more than that.
  const odds = (p: number): number => p / (1 - p);
  expect(odds(after.pDry) / odds(before.pDry)).toBeLessThan(0.95 / 0.15);
});

test("a core found dry does not outvote a tray that goes on losing, nor a rise since", () => {
  const wet = logOf(
    [
      [12, 300],
      [15, 250],
    ],
    berries,
  );
  const found = { dryingHours: hours(15), finding: "dry" } as const;
  expect(judgeTray({ ...wet, coreChecks: [found] }, settings).verdict).toBe("losing");
  const rose = logOf(
    [
      [24, 93],
      [28, 92.9],
      [32, 96],
      [34, 95.9],
    ],
    berries,
  );
  const early = { dryingHours: hours(28), finding: "dry" } as const;
  expect(judgeTray({ ...rose, coreChecks: [early] }, settings).pDry).toBe(
    judgeTray(rose, settings).pDry,
  );
});

test("two dry weighings three hours apart on a fine scale prove dryness with room to spare", () => {
  const verdict = judgeTray(
    logOf(
      [
        [28, 92.5],
        [31, 92.4],
      ],
      berries,
    ),
    settings,
  );
  expect(verdict.verdict).toBe("stable");
  expect(verdict.pDry).toBeGreaterThan(0.97);
});

test("a tray that is probably dry is unsure, not losing for how fast it lost before", () => {
  // The pair 4.9 h apart lost 1.6 % of the dry mass an hour; nearly all of it before the last 0.9 h.
  const rows = [
    [24, 100],
    [28, 93],
    [28.9, 92.9],
  ] as const;
  const verdict = judgeTray(logOf(rows, berries), settings);
  expect(verdict.pDry).toBeGreaterThan(0.5);
  expect(verdict.verdict).toBe("unsure");
});
