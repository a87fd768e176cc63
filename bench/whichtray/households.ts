/**
 * Which tray a load is taken for, tried on made-up households. Trays are loaded, and weighed in three rounds, through the
 * program's own taking of loads; what is asked is answered with the truth, what is taken stands. Everything here is our
 * own invention: it scores one rule against another, and proves nothing about kitchens.
 */
import * as acts from "../../src/service/acts.ts";
import * as weighings from "../../src/service/weighings.ts";
import { apply } from "../../src/service/apply.ts";
import type { Bench, Change } from "../../src/service/bench.ts";
import { answerLoad, nextLoad, settleLoad } from "../../src/service/loads.ts";
import type { SettledWeight } from "../../src/settle/settled.ts";
import type { FoodOnTray } from "../../src/tray/weighing.ts";
import { fraction, grams, monoMs, utcMs } from "../../src/units/quantity.ts";
import { Played, trayAsked } from "../../tests/service/given.ts";
import { chanceFor, type Chance } from "../decision/chance.ts";

/** In which order trays come onto the scale: as asked for, two neighbours exchanged, from the last, or in any. */
export const orders = ["asked", "exchanged", "from the last", "any"] as const;
export type Order = (typeof orders)[number];

/** `alike`: one food, loads of 500 to 700 g. `unlike`: other foods, 250 to 1200 g. */
export const loadings = ["alike", "unlike"] as const;
type Loading = (typeof loadings)[number];

/** Of the loads of one round, or of the loading. `wrong`: taken for another tray, and nobody was asked. */
export type Tally = { loads: number; asked: number; wrong: number };
export type Outcome = readonly Tally[];

const rounds = 3;
/** Waters as in USDA SR28, with spreads about as wide as those of the table. */
const foods: readonly (readonly [name: string, water: number, sd: number])[] = [
  ["apple", 0.856, 0.012],
  ["strawberry", 0.9095, 0.01],
  ["sweet corn", 0.76, 0.02],
  ["peas", 0.789, 0.02],
  ["beef, cooked", 0.58, 0.03],
  ["potato", 0.793, 0.015],
  ["tomato", 0.945, 0.007],
  ["banana", 0.749, 0.015],
];

type Household = {
  readonly trays: readonly {
    readonly tare: number;
    readonly fresh: number;
    readonly food: FoodOnTray;
    /** Net mass after hours of drying. */
    readonly netAt: (hours: number) => number;
  }[];
  /** Drying hours at which the rounds are weighed. */
  readonly hours: readonly number[];
};

function household(chance: Chance, loading: Loading): Household {
  const one = chance.pick(foods);
  const dryer = chance.between(12, 24);
  const first = chance.between(6, 16);
  const between = chance.between(3, 8);
  return {
    hours: Array.from({ length: rounds }, (_, round) => first + round * between),
    trays: Array.from({ length: chance.whole(3, 6) }, () => {
      const [name, water, waterSd] = loading === "alike" ? one : chance.pick(foods);
      const fresh = loading === "alike" ? chance.between(500, 700) : chance.between(250, 1200);
      const held = Math.min(0.97, water + waterSd * chance.normal());
      const ends = dryer * Math.exp((loading === "alike" ? 0.12 : 0.25) * chance.normal());
      const bound = chance.between(0.05, 0.12);
      const rate = chance.between(0.15, 0.5);
      // The ice goes from a front that slows; what was never frozen goes meanwhile and after.
      const left = (hours: number): number =>
        (1 - bound) * Math.max(0, 1 - (hours / ends) ** 0.85) + bound * Math.exp(-rate * hours);
      return {
        tare: 400 + 10 * chance.normal(),
        fresh,
        food: { name, water: fraction(water), waterSd: fraction(waterSd), source: "made up" },
        netAt: (hours) => fresh * (1 - held + held * left(hours)),
      };
    }),
  };
}

function inOrder(order: Order, count: number, chance: Chance): readonly number[] {
  const asked = Array.from({ length: count }, (_, at) => at);
  switch (order) {
    case "asked":
      return asked;
    case "from the last":
      return asked.toReversed();
    case "exchanged": {
      const at = chance.whole(0, count - 2);
      return asked.map((one) => (one === at ? at + 1 : one === at + 1 ? at : one));
    }
    case "any":
      return asked
        .map((one) => ({ one, by: chance.between(0, 1) }))
        .toSorted((a, b) => a.by - b.by)
        .map(({ one }) => one);
  }
}

/** The same seed and loading are the same household, whatever the order: as it is loaded, then its rounds. */
export function tryHousehold(seed: number, loading: Loading, order: Order): Outcome {
  const home = household(chanceFor(seed, `household ${loading}`), loading);
  const { trays, hours } = home;
  const chance = chanceFor(seed, `order ${order}`);
  const loaded = begin(home);
  const asLoaded = loaded.weigh(
    inOrder(order, trays.length, chanceFor(seed, `loading ${order}`)),
    ({ fresh }) => fresh,
  );
  // The rounds start from fresh masses that are right, whatever a load was taken for before.
  const { typeFresh, clock, later, weigh } = begin(home);
  typeFresh();
  let had = 0;
  const inRounds = hours.map((hour): Tally => {
    later(0.2);
    clock("in");
    later(hour - had);
    had = hour;
    clock("out");
    return weigh(inOrder(order, trays.length, chance), ({ netAt }) => netAt(hour));
  });
  return [asLoaded, ...inRounds];
}

/** A batch of the household's trays, which were weighed empty, and what is done with it. */
function begin({ trays }: Household) {
  const played = new Played();
  let { bench } = played;
  let at = played.at();
  const act = (what: (present: Bench) => readonly Change[]): void => {
    for (const change of what(bench)) bench = apply(bench, change);
  };
  const later = (byHours: number): void => {
    at = utcMs(at + Math.round(byHours * 3_600_000));
  };
  const scale = () => bench.scales[0]!;
  const settle = (mass: number): void => {
    later(0.01);
    const weight: SettledWeight = {
      mass: grams(Number(mass.toFixed(1))),
      u: grams(0.1),
      division: grams(0.1),
      looks: 5,
      fromMonoMs: monoMs(0),
      atMonoMs: monoMs(500),
      atUtcMs: at,
      zeroSeen: true,
    };
    const id = bench.next.load;
    act(() => settleLoad(bench, scale(), { id, weight }));
  };
  act(() =>
    acts.startBatch(bench, {
      name: "",
      dryer: "Dryer",
      at,
      trays: trays.map(({ tare, food }, n) =>
        trayAsked(`${n + 1}`, { tare: grams(tare), foodName: food.name, food }),
      ),
    }),
  );
  const [batch] = bench.batches;
  if (batch === undefined) throw new Error("no batch was begun");
  const ids = batch.trays.map(({ id }) => id);
  return {
    later,
    typeFresh: (): void => {
      for (const [n, { tare, fresh }] of trays.entries()) {
        const typed = { portion: null, division: grams(0.1), at, now: at, kind: "fresh" } as const;
        const gross = grams(Number((tare + fresh).toFixed(1)));
        act(() => weighings.typeWeighing(bench, { ...typed, trayId: ids[n]!, gross }));
      }
    },
    clock: (is: "in" | "out"): void =>
      act(() => acts.setClock(bench, batch.id, { is, at, trays: null }, at)),
    weigh: (
      order: readonly number[],
      netOf: (tray: Household["trays"][number]) => number,
    ): Tally => {
      const tally = { loads: 0, asked: 0, wrong: 0 };
      for (const n of order) {
        const tray = trays[n]!;
        const next = nextLoad(bench, scale(), at);
        if (next === null) break;
        settle(tray.tare + netOf(tray));
        const load = scale().load!;
        tally.loads++;
        if (load.became === "taken") {
          const { weighings } = bench.batches[0]!;
          if (weighings.at(-1)?.trayId !== ids[n]) tally.wrong++;
        } else {
          tally.asked++;
          const { kind } = next;
          const answer = { load: load.id, trayId: ids[n]!, kind, portion: null };
          act(() => answerLoad(bench, "scale-1", answer));
        }
        act(() => [{ is: "load-changed", scaleId: "scale-1", load: null }]);
      }
      return tally;
    },
  };
}
