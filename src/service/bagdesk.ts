/** Bags: planned, filled, sealed, labelled, found again. */
import { utcFrom } from "../clock.ts";
import { bagCode, type Bag } from "../bag/bag.ts";
import { stateOf } from "../bag/state.ts";
import { codePicture } from "../label/code.ts";
import { scanOf } from "../label/scan.ts";
import { toGrams } from "../units/mass.ts";
import { fraction, grams } from "../units/quantity.ts";
import type * as wireBag from "../wire/bag.ts";
import type { Bench as WireBench } from "../wire/bench.ts";
import { chooseBag, refuseUnlikely, takeForBag } from "./bagloads.ts";
import * as bagPlan from "./bagplan.ts";
import * as bagActs from "./bags.ts";
import * as bagWeighings from "./bagweighings.ts";
import * as freshNow from "./freshnow.ts";
import { refuseChosenMeanwhile, refuseCrossed } from "./crossed.ts";
import { scaleOrFault } from "./loads.ts";
import { labelText } from "./labels.ts";
import type { BagsAsked, LabelFile, LabelsAsked, Service } from "./service.ts";
import {
  findBags,
  showBag,
  showLots,
  showPreview,
  showStock,
  showUnpacked,
  usualLimit,
} from "./showbag.ts";
import { typedDivision } from "./typed.ts";
import { unpackedOf } from "./unpacked.ts";
import type { Work } from "./work.ts";

type BagDesk = Pick<
  Service,
  | "bags"
  | "stock"
  | "lots"
  | "bag"
  | "bagLabels"
  | "bagCode"
  | "labelTexts"
  | "previewBags"
  | "unpacked"
  | "planBags"
  | "weighBag"
  | "editBagWeighing"
  | "setFate"
  | "takeFateBack"
  | "acceptGain"
  | "chooseBag"
>;

export function bagDesk(work: Work): BagDesk {
  /** A bag that is gone is shown for itself: its plan is no longer on the bench. */
  function planBeside(bag: Bag): readonly Bag[] {
    const { present } = work.engine;
    return present.bags.includes(bag) ? bagActs.planOf(present, bag) : [bag];
  }

  /** A bag that another page said is used up, or gone otherwise, is no bag that never was. */
  function refuseGone(bagId: number, why: string): void {
    const bag = work.anyBag(bagId);
    if (!work.engine.present.bags.includes(bag)) throw bagActs.wrongState(bag, why);
  }

  /** With the fresh weight that follows from the weighings as they count now. */
  function withFreshNow(bags: readonly Bag[]): readonly Bag[] {
    const { store } = work.set;
    const corrected = new Map(
      store
        .correctedBatches(new Set(bags.map(({ batchId }) => batchId)))
        .map((batch) => [batch.id, { batch, bagged: store.bags({ is: "batch", id: batch.id }) }]),
    );
    return bags.map((bag) => {
      const found = corrected.get(bag.batchId);
      return found === undefined ? bag : freshNow.withFreshNow(bag, found.batch, found.bagged);
    });
  }

  function shown(bag: Bag, now: Bag, limitPct: number | null): wireBag.Bag {
    const limit = limitPct === null ? usualLimit : fraction(limitPct / 100);
    const said = showBag(now, planBeside(bag), { limit, ...looked() });
    return { ...said, redriedIn: work.set.store.redriedIn(bag.id) };
  }

  /** Labels that are printed now say what is right now, and no word of those before. */
  function forLabels(bagIds: readonly number[]): readonly wireBag.Bag[] {
    const bags = bagIds.map((id) => work.anyBag(id));
    return withFreshNow(bags).map((now, place) => shown(bags[place] ?? now, now, null));
  }

  function bagsAsked(asked: wireBag.NewBags): bagPlan.BagsAsked {
    const gramsOrNull = (mass: number | null | undefined) =>
      mass === null || mass === undefined ? null : grams(mass);
    return {
      trays: asked.trays.map((one) => ({
        trayId: one.tray,
        portion: one.portion ?? null,
        grams: gramsOrNull(one.grams),
      })),
      divide:
        "count" in asked.divide
          ? { count: asked.divide.count }
          : { fresh: grams(asked.divide.freshGrams) },
      product: asked.product ?? null,
      supplier: asked.supplier ?? null,
      prepared: asked.prepared ?? null,
      wentIn: asked.wentIn ?? null,
      container: asked.container,
      volumeMl: asked.volumeMl,
      lot: asked.lot ?? null,
      tare: gramsOrNull(asked.tareGrams),
      absorbers: asked.absorbers ?? null,
      division: gramsOrNull(asked.divisionGrams),
      although: asked.although ?? null,
    };
  }

  const looked = () => ({
    now: work.set.clock.utc(),
    comparisons: work.engine.present.kitchen.comparisons,
  });

  const desk: BagDesk = {
    bags({ state, q, batch }: BagsAsked): wireBag.BagLine[] {
      const { store } = work.set;
      const kept = store.bags(batch === null ? { is: "all" } : { is: "batch", id: batch });
      const all = withFreshNow(kept);
      if (state !== "to-dry") return findBags(all, { state, q }, looked());
      return findBags(all, { state: "re-dry", q }, looked()).filter(
        ({ id }) => store.redriedIn(id) === null,
      );
    },

    stock(): wireBag.StockLine[] {
      return showStock(withFreshNow(work.engine.present.bags), looked());
    },

    lots(): wireBag.LotLine[] {
      return showLots(work.set.store.bags({ is: "all" }), looked());
    },

    bag(bagId: number, limitPct: number | null): wireBag.Bag {
      const bag = work.anyBag(bagId);
      const [now = bag] = withFreshNow([bag]);
      const { cautions, ...said } = shown(bag, now, limitPct);
      return { ...said, cautions: [...cautions, ...freshNow.freshCautions(bag, now)] };
    },

    bagLabels({ bags, stock, skip, fields, language }: LabelsAsked): Promise<LabelFile> {
      const head = work.set.store.heads().bag_weighing;
      const words = { fields, language, head, origin: work.set.labelOrigin };
      return work.labels.draw({ bags: forLabels(bags), stock, skip, words }, work.set.clock.utc());
    },

    bagCode(bagId: number): string {
      return codePicture(scanOf(bagCode(work.anyBag(bagId)), work.set.labelOrigin));
    },

    labelTexts(
      bags: readonly number[],
      fields: readonly wireBag.LabelField[],
      language: wireBag.LabelLanguage,
    ): wireBag.LabelText[] {
      const words = { fields, language, head: null, origin: work.set.labelOrigin };
      return forLabels(bags).map((bag) => labelText(bag, words));
    },

    previewBags(batchId: number, asked: wireBag.NewBags): wireBag.BagsPreview {
      const bagged = work.set.store.bags({ is: "batch", id: batchId });
      const draft = bagPlan.draftBags(work.openOrEnded(batchId), bagged, bagsAsked(asked));
      return showPreview(draft, asked.volumeMl);
    },

    unpacked(batchId: number): wireBag.Unpacked {
      const everyBag = work.set.store.bags({ is: "all" });
      const bagged = everyBag.filter((bag) => bag.batchId === batchId);
      return showUnpacked(unpackedOf(work.openOrEnded(batchId), bagged), everyBag);
    },

    planBags(batchId: number, asked: wireBag.NewBags): wireBag.Bag[] {
      const batch = work.openOrEnded(batchId);
      const bagged = work.set.store.bags({ is: "batch", id: batchId });
      const plan = work.engine.present.next.bagPlan;
      work.engine.act((bench) =>
        bagPlan.planBags(bench, batch, bagged, bagsAsked(asked), work.set.clock.utc()),
      );
      const planned = work.engine.present.bags.filter((bag) => bag.plan === plan);
      return planned.map(({ id }) => desk.bag(id, null));
    },

    weighBag(bagId: number, asked: wireBag.BagWeighed): wireBag.Bag {
      const now = work.set.clock.utc();
      refuseGone(bagId, bagWeighings.noMoreWeighed);
      work.engine.act((bench) => {
        if ("scale" in asked)
          return takeForBag(
            bench,
            scaleOrFault(bench, asked.scale),
            bagId,
            asked.kind,
            asked.although ?? null,
          );
        const unit = asked.unit ?? "g";
        const weighing = {
          kind: asked.kind,
          gross: toGrams(asked.value, unit),
          division: grams(asked.divisionGrams ?? typedDivision(asked.value, unit)),
          scale: null,
          source: "typed",
          zeroSeen: true,
          at: asked.at === undefined ? now : utcFrom(asked.at),
        } as const;
        const weighed = bagWeighings.weighBag(bench, bagId, weighing, now, asked.although ?? null);
        if (asked.although === undefined) refuseUnlikely(bench, bagId, weighing);
        return weighed;
      });
      return desk.bag(bagId, null);
    },

    editBagWeighing(bagId: number, weighing: number, asked: wireBag.BagWeighingEdit): wireBag.Bag {
      const edit = {
        gross: asked.grossGrams === undefined ? null : grams(asked.grossGrams),
        struck: asked.struck ?? false,
        reason: asked.reason,
      };
      refuseGone(bagId, bagWeighings.noMoreWeighed);
      work.engine.act((bench) => bagWeighings.editBagWeighing(bench, bagId, weighing, edit));
      return desk.bag(bagId, null);
    },

    setFate(bagId: number, asked: wireBag.FateSet): wireBag.Bag {
      refuseGone(bagId, `it cannot become ${asked.fate}`);
      work.engine.act((bench) =>
        bagActs.setFate(bench, bagId, asked.fate, asked.note ?? null, work.set.clock.utc()),
      );
      return desk.bag(bagId, null);
    },

    takeFateBack(bagId: number, asked: wireBag.FateTakenBack): wireBag.Bag {
      work.engine.act((bench) => {
        const bag = work.anyBag(bagId);
        const { id: last = null } = bag.fates.at(-1) ?? {};
        const now = { state: stateOf(bag), last };
        refuseCrossed(`what became of bag ${bagCode(bag)}`, asked.seen, now);
        const { store, clock } = work.set;
        return bagActs.takeFateBack(bench, bag, {
          batch: work.openOrEnded(bag.batchId),
          bagged: store.bags({ is: "batch", id: bag.batchId }),
          redriedIn: store.redriedIn(bagId),
          note: asked.note ?? null,
          at: clock.utc(),
        });
      });
      return desk.bag(bagId, null);
    },

    acceptGain(bagId: number): wireBag.Bag {
      refuseGone(bagId, bagWeighings.noMoreWeighed);
      work.engine.act((bench) => bagActs.acceptGain(bench, bagId, work.set.clock.utc()));
      return desk.bag(bagId, null);
    },

    chooseBag(scaleId: string, asked: wireBag.BagChoice): WireBench {
      const bagId = typeof asked.bag === "string" ? work.bagOfLabel(asked.bag) : asked.bag;
      if (bagId !== null) refuseGone(bagId, bagWeighings.noMoreWeighed);
      refuseChosenMeanwhile(work.engine.present, scaleId, asked.seen, work.set.clock.utc());
      work.engine.act((bench) =>
        chooseBag(bench, scaleOrFault(bench, scaleId), bagId, asked.kind ?? null),
      );
      return work.bench();
    },
  };
  return desk;
}
