/** States of Pack and Shelf for looking at the page in. */
import type { Bag, BagTask } from "../../src/wire/bag.ts";
import type { Bench } from "../../src/wire/bench.ts";
import {
  aBag,
  aLine,
  bagTaken,
  bagTask,
  emptyStore,
  filled,
  finding,
  gaining,
  lots,
  onShelf,
  stock,
  unpacked,
  type StoreOfBags,
} from "./bags.ts";
import { scale, stableBatch, task, worldOf, type Scene, type World } from "./scenes.ts";

const worldWith = (change: Partial<Bench>, store: Partial<StoreOfBags> = {}): World => ({
  ...worldOf([stableBatch], change),
  store: { ...emptyStore, unpacked, ...store },
});

/** On the third tray two, one of which was weighed by itself. */
const twoFoods = unpacked.trays.slice(0, 2).concat(
  unpacked.trays.slice(1, 2).flatMap((tray) =>
    ["Strawberries, raw", "Bananas, raw"].map((food, index) => ({
      ...tray,
      tray: 3,
      name: "3",
      portion: index + 1,
      food,
      isEstimate: index === 1,
      leftGrams: [57.5, 99.7][index] ?? 0,
      whyNotDry: "It is still losing weight",
    })),
  ),
);

const three = [aBag(), aBag({ id: 2, code: "17-2" }), aBag({ id: 3, code: "17-3" })];

const atScale = (
  grams: number,
  isSettled: boolean,
  bag: Partial<BagTask>,
  more: Partial<Bench> = {},
): Partial<Bench> => ({
  scales: [scale({ grams, settled: isSettled, divisionGrams: 0.1 })],
  tasks: [task({ bag: bagTask(bag) })],
  packing: three,
  ...more,
});

const sealing = [filled(1, 51.1), filled(2, 50.9), filled(3, 51)];
const gained = sealing.map((bag) => ({
  ...bag,
  gainSinceVerdict: { grams: 3.1, provableGrams: 0.2, text: "took up moisture", isAnswered: false },
}));

const packScenes: readonly Scene[] = [
  {
    name: "pack-nothing",
    hash: "#/pack",
    world: { ...worldOf([]), store: emptyStore },
  },
  { name: "pack-which", hash: "#/pack", world: worldWith({}) },
  { name: "pack-plan", hash: "#/pack/1", world: worldWith({}) },
  {
    name: "pack-two-foods",
    hash: "#/pack/1",
    world: worldWith({}, { unpacked: { ...unpacked, trays: twoFoods } }),
  },
  { name: "pack-not-dry", hash: "#/pack/1", act: "start-packing", world: worldWith({}) },
  {
    name: "pack-all-packed",
    hash: "#/pack/1",
    world: worldWith(
      {},
      {
        unpacked: {
          ...unpacked,
          trays: unpacked.trays.map((one) => ({ ...one, leftGrams: 0, whyNotDry: null })),
        },
        lines: [aLine(), aLine({ id: 2, code: "17-2", netGrams: 50.9 })],
      },
    ),
  },
  {
    name: "pack-next-plan",
    hash: "#/pack/1",
    world: worldWith(
      { tasks: [task({ bagTaken: bagTaken({ bag: 2, code: "17-2", kind: "sealed" }) })] },
      {
        lines: [
          // As the service tells them: newest first.
          aLine({ id: 3, code: "17-3", plan: 2 }),
          aLine({ id: 2, code: "17-2", plan: 2 }),
          aLine({ id: 1, code: "17-1", plan: 1 }),
        ],
      },
    ),
  },
  {
    name: "pack-choose",
    hash: "#/pack",
    world: worldWith({ packing: three, tasks: [task()] }),
  },
  {
    name: "pack-tare",
    hash: "#/pack",
    world: worldWith(
      atScale(0, true, { kind: "tare", tareGrams: null, targetGrams: null, toleranceGrams: null }),
    ),
  },
  { name: "pack-pour", hash: "#/pack", world: worldWith(atScale(31.4, false, {})) },
  { name: "pack-enough", hash: "#/pack", world: worldWith(atScale(59, false, {})) },
  {
    name: "pack-too-much",
    hash: "#/pack",
    world: worldWith(atScale(64.3, true, { why: "5.2 g too much" })),
  },
  {
    name: "pack-taken",
    hash: "#/pack",
    world: worldWith(
      atScale(
        59.2,
        true,
        {
          bag: 2,
          code: "17-2",
          kind: "tare",
          tareGrams: null,
          targetGrams: null,
          toleranceGrams: null,
          needsLift: true,
        },
        {
          packing: [filled(1, 51.1), ...three.slice(1)],
          tasks: [
            task({
              bag: bagTask({
                bag: 2,
                code: "17-2",
                kind: "tare",
                targetGrams: null,
                toleranceGrams: null,
                needsLift: true,
              }),
              bagTaken: bagTaken(),
            }),
          ],
        },
      ),
    ),
  },
  {
    name: "pack-seal",
    hash: "#/pack",
    world: worldWith(
      atScale(
        0,
        true,
        { kind: "sealed", targetGrams: null, toleranceGrams: null },
        { packing: sealing },
      ),
    ),
  },
  {
    name: "pack-found-soft",
    hash: "#/pack",
    world: worldWith(
      atScale(
        63.4,
        true,
        {
          kind: "sealed",
          targetGrams: null,
          toleranceGrams: null,
          why: "Found later on tray 1: its thickest piece was soft inside. Dry it again, or seal it knowing that",
        },
        { packing: sealing },
      ),
    ),
  },
  {
    name: "pack-gained",
    hash: "#/pack",
    world: worldWith(
      atScale(
        0,
        true,
        { kind: "sealed", targetGrams: null, toleranceGrams: null },
        { packing: gained },
      ),
    ),
  },
  {
    name: "pack-sealed-one",
    hash: "#/pack",
    world: worldWith(
      atScale(
        63.4,
        true,
        { bag: 2, code: "17-2", kind: "sealed", needsLift: true },
        {
          packing: sealing.slice(1),
          tasks: [
            task({
              bag: bagTask({ bag: 2, code: "17-2", kind: "sealed", needsLift: true }),
              bagTaken: bagTaken({ kind: "sealed", grossGrams: 63.4 }),
            }),
          ],
        },
      ),
      { lines: [aLine()] },
    ),
  },
  {
    name: "weigh-scale-for-bag",
    hash: "#/weigh",
    world: worldWith(atScale(31.4, false, {})),
  },
  {
    name: "labels",
    hash: "#/labels/1,2",
    world: worldWith(
      {},
      {
        labels: ["17-1", "17-2"].map((code, at) => ({
          bag: at + 1,
          code,
          title:
            "Boeuf bourguignon with pearl onions, chestnut mushrooms, carrots and smoked bacon",
          marks: [],
          lines: [
            `Batch 17, bag ${code}`,
            "From: Hill Farm",
            "Prepared: cooked, went in frozen",
            "Freeze-dried: started 2026-03-13, dried 2026-03-14, sealed 2026-03-14",
            "Net dry 51.0 g, from 453.6 g fresh (1 lb 0.0 oz)",
            "Gross sealed 63.2 g",
            "Oxygen absorbers: 1 × 300 cc",
            "To rehydrate: up to 403 g (mL) of water",
          ],
          cautions: ["Fat does not dry and turns rancid in store: trim it or choose lean pieces."],
          footer: "Not a legal food label.",
        })),
      },
    ),
  },
];

const shelfWorld = (bag: Bag, change: Partial<Bench> = {}): World =>
  worldWith(
    { scales: [scale({ divisionGrams: 0.1 })], ...change },
    { bags: [bag], stock, lots, lines: [aLine()] },
  );

const notWeighed = finding({
  word: "not-checked",
  reasons: [{ code: "not-weighed", text: "not weighed" }],
  baselineGrams: null,
  gainGrams: 0,
  gainPct: 0,
  buoyancyGrams: 0.22,
  gainPerMonthGrams: null,
  monthsLeft: null,
  weighAgain: { from: "2026-03-16T15:40:00.000Z", to: "2026-03-21T15:40:00.000Z", why: "" },
});
const once = finding({
  word: "watch",
  reasons: [{ code: "once-only", text: "seen once" }],
  gainGrams: 1.2,
  gainPct: 2.4,
  teaspoons: 0.24,
  weighAgain: { from: "2026-03-14T16:00:00.000Z", to: null, why: "" },
});
const atShelf = (change: Partial<BagTask> = {}) =>
  bagTask({ kind: "shelf", targetGrams: null, toleranceGrams: null, ...change });

/** In the middle of a round: one bag was just taken, the next is asked for. */
export const inRound = task({
  bag: atShelf({ bag: 2, code: "17-2", needsLift: true }),
  bagTaken: bagTaken({ weighing: 990, kind: "shelf", grossGrams: 66, finding: gaining }),
});

const shelfScenes: readonly Scene[] = [
  { name: "shelf-find", hash: "#/shelf", world: shelfWorld(onShelf(1, finding())) },
  {
    name: "shelf-lots",
    hash: "#/shelf",
    act: "open-folds",
    world: shelfWorld(onShelf(1, finding())),
  },
  { name: "shelf-empty", hash: "#/shelf", world: worldWith({}) },
  {
    name: "shelf-put",
    hash: "#/shelf/1",
    world: shelfWorld(onShelf(1, notWeighed), { tasks: [task({ bag: atShelf() })] }),
  },
  {
    name: "shelf-another-bag",
    hash: "#/shelf/1",
    world: shelfWorld(onShelf(1, notWeighed), {
      scales: [scale({ grams: 120, divisionGrams: 0.1 })],
      tasks: [
        task({
          bag: atShelf({ why: "Bag 17-1 weighed 63.4 g when it was sealed: is it another bag?" }),
        }),
      ],
    }),
  },
  {
    name: "shelf-other-scale",
    hash: "#/shelf/1",
    world: shelfWorld(
      onShelf(
        1,
        finding({
          reasons: [
            { code: "within-error", text: "no gain" },
            { code: "other-scale", text: "another scale", offsetGrams: 2.03, uGrams: 0.11 },
          ],
        }),
      ),
    ),
  },
  { name: "shelf-no-gain", hash: "#/shelf/1", world: shelfWorld(onShelf(1, finding())) },
  { name: "shelf-watch", hash: "#/shelf/1", world: shelfWorld(onShelf(1, once)) },
  {
    name: "shelf-gaining",
    hash: "#/shelf/1",
    world: shelfWorld(onShelf(1, gaining, { although: "It will be eaten within days" }), {
      tasks: [task({ bagTaken: bagTaken({ kind: "shelf", grossGrams: 66, finding: gaining }) })],
    }),
  },
  { name: "shelf-not-checked", hash: "#/shelf/1", world: shelfWorld(onShelf(1, notWeighed)) },
  {
    name: "shelf-fate",
    hash: "#/shelf/1",
    act: "ask-fate",
    world: shelfWorld(onShelf(1, gaining)),
  },
  {
    name: "shelf-opened",
    hash: "#/shelf/1",
    world: shelfWorld(onShelf(1, finding(), { state: "opened" })),
  },
  {
    name: "shelf-used",
    hash: "#/shelf/1",
    world: shelfWorld(
      onShelf(1, finding(), {
        state: "used",
        fates: [
          { id: 71, fate: "used", at: "2026-05-01T08:00:00.000Z", note: null, takesBack: null },
        ],
      }),
    ),
  },
  {
    name: "shelf-redry",
    hash: "#/shelf/1",
    world: shelfWorld(onShelf(1, finding(), { state: "re-dry", redriedIn: null })),
  },
  {
    name: "shelf-redried",
    hash: "#/shelf/1",
    world: shelfWorld(
      onShelf(1, finding(), {
        state: "re-dry",
        redriedIn: { batch: 1, batchNumber: 19, tray: "2" },
      }),
    ),
  },
  {
    name: "shelf-round",
    hash: "#/shelf",
    act: "begin-round",
    world: shelfWorld(onShelf(1, finding()), {
      tasks: [task({ bag: atShelf({ bag: 2, code: "17-2" }) })],
    }),
  },
  {
    name: "shelf-round-over",
    hash: "#/shelf",
    act: "end-round",
    world: shelfWorld(onShelf(1, finding()), {
      tasks: [task({ bag: atShelf({ bag: 2, code: "17-2" }) })],
    }),
  },
];

export const bagScenes: readonly Scene[] = [...packScenes, ...shelfScenes];
