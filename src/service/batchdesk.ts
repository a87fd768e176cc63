/** A batch from its plan to its end: trays, portions, the clock, cores. */
import { utcFrom } from "../clock.ts";
import { Fault } from "../faults.ts";
import { grams } from "../units/quantity.ts";
import type { Batch as WireBatch } from "../wire/batch.ts";
import type * as ask from "../wire/requests.ts";
import * as acts from "./acts.ts";
import type { Bench, Change, Tray } from "./bench.ts";
import { refuseCrossed } from "./crossed.ts";
import { ofPortions, planned } from "./foods.ts";
import { sameFood } from "./lessons.ts";
import { trayOrFault } from "./loads.ts";
import { fromBag, redried, refuseForTray, type FromBag } from "./redry.ts";
import type { Service } from "./service.ts";
import type { Work } from "./work.ts";
import { trayCalled } from "../tray/called.ts";

type BatchDesk = Pick<
  Service,
  | "startBatch"
  | "addTray"
  | "editTray"
  | "setClock"
  | "editMoment"
  | "noteInterruption"
  | "endInterruption"
  | "answerGap"
  | "checkCore"
  | "endBatch"
>;

export function batchDesk(work: Work): BatchDesk {
  function trayAsked(asked: ask.NewTray): acts.TrayAsked {
    const tare = asked.tareGrams ?? null;
    return {
      name: asked.name,
      tare: tare === null ? null : grams(tare),
      ...plannedOn(asked),
    };
  }

  /** What is planned for a tray; food of a bag stands there as what the bag is known to hold. */
  function plannedOn(asked: Pick<ask.NewTray, "food" | "waterPct" | "thicknessMm" | "portions">) {
    const all = planned(work.set.foods, asked, work.own());
    const bags = (asked.portions ?? []).map(({ bag }) => bag ?? null);
    if (bags.every((bag) => bag === null)) return all;
    return ofPortions(
      all.portions.map((portion, index) => {
        const bag = bags[index] ?? null;
        return bag === null ? portion : { ...portion, ...takenFrom(bag) };
      }),
    );
  }

  function takenFrom(named: number | string): FromBag {
    const bag = work.anyBag(typeof named === "string" ? work.bagOfLabel(named) : named);
    refuseForTray(bag, work.set.store.redriedIn(bag.id) !== null);
    const { settings, kitchen } = work.engine.present;
    return fromBag(bag, settings.limit, work.set.clock.utc(), kitchen.comparisons);
  }

  /** The bags of a tray's portions leave the store in the same act in which the tray is kept. */
  function redrying(
    bench: Bench,
    trays: readonly acts.TrayAsked[],
    batchNumber: number,
  ): readonly Change[] {
    const portions = trays.flatMap((tray) =>
      tray.portions.flatMap(({ fromBag: bagId }) =>
        bagId === null ? [] : [{ tray: tray.name, bagId }],
      ),
    );
    refuseTwice(portions.map(({ bagId }) => bagId));
    return redried(bench, portions, batchNumber, work.set.clock.utc());
  }

  /**
   * A bag's food stays what it was when it went onto the tray; another bag is another tray or batch. A food that is said
   * as it is shown stays too, with where its water is from: what was learned since, the tray was not planned with.
   */
  function portionsEdited(
    tray: Tray,
    asked: NonNullable<ask.TrayEdit["portions"]>,
  ): Partial<acts.TrayAsked> {
    const all = planned(work.set.foods, { portions: asked }, work.own());
    return ofPortions(
      all.portions.map((portion, index) => {
        const { bag = null, food, waterPct } = asked[index] ?? {};
        const old = tray.portions.find(({ place }) => place === portion.place);
        const isAsShown =
          bag === null &&
          old?.fromBag === null &&
          old.food !== null &&
          food === old.foodName &&
          waterPct === old.food.water * 100;
        if (bag === null && !isAsShown) return portion;
        if (old === undefined || old.fromBag !== bag)
          throw new Fault(
            "input.invalid",
            "the food of a bag goes onto a tray of its own: add one",
          );
        return { ...old, target: portion.target, thicknessMm: portion.thicknessMm };
      }),
    );
  }

  function foodEdited(tray: Tray, asked: ask.TrayEdit): Partial<acts.TrayAsked> {
    const { foods } = work.set;
    if (asked.portions !== undefined) return portionsEdited(tray, asked.portions);
    const { food: foodName, waterPct, thicknessMm } = asked;
    if (foodName === undefined && waterPct === undefined && thicknessMm === undefined) return {};
    const [only, second] = tray.portions;
    if (second !== undefined)
      throw new Fault(
        "input.invalid",
        `${trayCalled(tray.name)} has several foods: give its portions`,
      );
    const isSameFood = foodName === undefined && waterPct === undefined;
    const said = isSameFood
      ? { foodName: tray.foodName, food: tray.food, cautions: tray.cautions }
      : foods.onTray(
          foodName === undefined ? tray.foodName : foodName,
          waterPct ?? null,
          work.own(),
        );
    // Nobody said how thick the pieces of another food are.
    const isOther = tray.foodName !== null && !sameFood(said.foodName ?? "", tray.foodName);
    const kept = isOther ? null : tray.thicknessMm;
    const food = { ...said, thicknessMm: thicknessMm === undefined ? kept : thicknessMm };
    return { ...food, portions: only === undefined ? [] : [{ ...only, ...food }] };
  }

  return {
    // What others ask for.

    startBatch(asked: ask.NewBatch): WireBatch {
      const id = work.engine.present.next.batch;
      const trays = asked.trays.map((tray) => trayAsked(tray));
      const number = asked.number ?? work.engine.present.next.batchNumber;
      work.engine.act((bench) => [
        ...acts.startBatch(bench, {
          name: asked.name ?? "",
          dryer: asked.dryer,
          number,
          trays,
          at: work.set.clock.utc(),
        }),
        ...redrying(bench, trays, number),
      ]);
      return work.shownBatch(id);
    },

    addTray(batchId: number, asked: ask.NewTray): WireBatch {
      const tray = trayAsked(asked);
      work.engine.act((bench) => [
        ...acts.addTray(bench, batchId, tray),
        ...redrying(bench, [tray], acts.openBatch(bench, batchId).number),
      ]);
      return work.shownBatch(batchId);
    },

    editTray(batchId: number, trayId: number, asked: ask.TrayEdit): WireBatch {
      const { tray, batch } = trayOrFault(work.engine.present, trayId);
      const shown = work.shownBatch(batch.id).trays.find(({ id }) => id === trayId);
      refuseCrossed(`tray ${tray.name}`, asked.seen, {
        ...shown,
        portions: shown?.portions.map(({ food, waterPct, thicknessMm, targetGrams, fromBag }) => ({
          food,
          waterPct,
          // Not told where there is none, as by those who saw the portion before there were any.
          ...(thicknessMm === null ? {} : { thicknessMm }),
          targetGrams,
          bag: fromBag,
        })),
      });
      const edit = {
        ...(asked.name === undefined ? {} : { name: asked.name }),
        ...(asked.tareGrams === undefined
          ? {}
          : { tare: asked.tareGrams === null ? null : grams(asked.tareGrams) }),
        ...foodEdited(tray, asked),
      };
      work.engine.act((bench) => acts.editTray(bench, batchId, trayId, edit, work.set.clock.utc()));
      return work.shownBatch(batchId);
    },

    setClock(batchId: number, asked: ask.ClockSet, secondsAgo = 0): WireBatch {
      const { clock } = work.set;
      const now = clock.utc();
      const agoMs = secondsAgo * 1000 * clock.timeFactor;
      work.engine.act((bench) => {
        const at =
          asked.at === undefined
            ? acts.touchedAt(bench, batchId, { agoMs, now })
            : utcFrom(asked.at);
        return acts.setClock(bench, batchId, { is: asked.is, at, trays: asked.trays ?? null }, now);
      });
      return work.shownBatch(batchId);
    },

    editMoment(batchId: number, moment: number, asked: ask.ClockEdit): WireBatch {
      const edit = {
        at: asked.at === undefined ? null : utcFrom(asked.at),
        struck: asked.struck ?? false,
        reason: asked.reason,
      };
      work.engine.act((bench) =>
        acts.editMoment(bench, batchId, moment, edit, work.set.clock.utc()),
      );
      return work.shownBatch(batchId);
    },

    noteInterruption(batchId: number, asked: ask.NewInterruption): WireBatch {
      const noted = {
        from: utcFrom(asked.from),
        to: typeof asked.to === "string" ? utcFrom(asked.to) : null,
        reason: asked.reason,
      };
      work.engine.act((bench) =>
        acts.noteInterruption(bench, batchId, noted, work.set.clock.utc()),
      );
      return work.shownBatch(batchId);
    },

    endInterruption(
      batchId: number,
      interruption: number,
      { to, seen }: ask.InterruptionEnd,
    ): WireBatch {
      const now = work.set.clock.utc();
      const at = to === null ? now : utcFrom(to);
      const shown = work.shownBatch(batchId).interruptions.find(({ id }) => id === interruption);
      if (shown !== undefined)
        refuseCrossed("the interruption", seen ?? { to: null }, { to: shown.to });
      work.engine.act((bench) => acts.endInterruption(bench, batchId, interruption, at, now));
      return work.shownBatch(batchId);
    },

    answerGap(gap: number, asked: ask.GapAnswer): WireBatch {
      const { id, gaps } = acts.batchOfGap(work.engine.present, gap);
      const said = gaps.find((one) => one.id === gap)?.dryerRan ?? null;
      if (said !== asked.dryerRan)
        refuseCrossed("the gap", asked.seen ?? { dryerRan: null }, { dryerRan: said });
      work.engine.act((bench) => acts.answerGap(bench, gap, asked.dryerRan, work.set.clock.utc()));
      return work.shownBatch(id);
    },

    checkCore(tray: number, asked: ask.CoreCheck): WireBatch {
      work.engine.act((bench) => acts.checkCore(bench, tray, asked.finding, work.set.clock.utc()));
      return work.shownBatch(trayOrFault(work.engine.present, tray).batch.id);
    },

    endBatch(batchId: number): WireBatch {
      work.engine.act((bench) => {
        const { clock, store } = work.set;
        const bagged = store.bags({ is: "batch", id: batchId });
        return acts.endBatch(bench, batchId, clock.utc(), { timeFactor: clock.timeFactor, bagged });
      });
      return work.shownBatch(batchId);
    },
  };
}

function refuseTwice(bags: readonly number[]): void {
  if (new Set(bags).size < bags.length)
    throw new Fault("input.invalid", "the food of one bag stands on two places of the plan");
}
