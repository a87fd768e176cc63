/** A batch from its plan to its end: trays, portions, the clock, cores. */
import { utcFrom } from "../clock.ts";
import { grams } from "../units/quantity.ts";
import type { Batch as WireBatch, Tray as WireTray } from "../wire/batch.ts";
import type * as ask from "../wire/requests.ts";
import * as acts from "./acts.ts";
import { refuseCrossed } from "./crossed.ts";
import { trayOrFault } from "./loads.ts";
import type { Service } from "./service.ts";
import { trayPlans } from "./trayplans.ts";
import type { Work } from "./work.ts";

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
  const plans = trayPlans(work);
  return {
    startBatch(asked: ask.NewBatch): WireBatch {
      const id = work.engine.present.next.batch;
      const trays = asked.trays.map((tray) => plans.trayAsked(tray));
      const number = asked.number ?? work.engine.present.next.batchNumber;
      work.engine.act((bench) => [
        ...acts.startBatch(bench, {
          name: asked.name ?? "",
          dryer: asked.dryer,
          number,
          trays,
          at: work.set.clock.utc(),
        }),
        ...plans.redrying(bench, trays, number),
      ]);
      return work.shownBatch(id);
    },

    addTray(batchId: number, asked: ask.NewTray): WireBatch {
      const tray = plans.trayAsked(asked);
      work.engine.act((bench) => [
        ...acts.addTray(bench, batchId, tray),
        ...plans.redrying(bench, [tray], acts.openBatch(bench, batchId).number),
      ]);
      return work.shownBatch(batchId);
    },

    editTray(batchId: number, trayId: number, asked: ask.TrayEdit): WireBatch {
      const { tray, batch } = trayOrFault(work.engine.present, trayId);
      const shown = work.shownBatch(batch.id).trays.find(({ id }) => id === trayId);
      refuseCrossed(`tray ${tray.name}`, asked.seen, asSeen(shown));
      const edit = {
        ...(asked.name === undefined ? {} : { name: asked.name }),
        ...(asked.tareGrams === undefined
          ? {}
          : { tare: asked.tareGrams === null ? null : grams(asked.tareGrams) }),
        ...plans.foodEdited(tray, asked),
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

/** A tray in the shape in which a page says what it had before it. */
const asSeen = (shown: WireTray | undefined) => ({
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
