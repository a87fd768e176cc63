/** Weighings, loads on a scale, alerts, settings, and the practice hand. */
import { utcFrom } from "../clock.ts";
import { Fault } from "../faults.ts";
import { flawInMqttAddress, flawInMqttPrefix } from "../send/mqtt.ts";
import { flawInWebhookAddress } from "../send/webhook.ts";
import { toGrams } from "../units/mass.ts";
import { fraction, grams } from "../units/quantity.ts";
import type { Batch as WireBatch } from "../wire/batch.ts";
import type { Bench as WireBench } from "../wire/bench.ts";
import type * as ask from "../wire/requests.ts";
import * as acts from "./acts.ts";
import * as weighings from "./weighings.ts";
import type { Bench, Change, MqttSettings, Settings } from "./bench.ts";
import { refuseChosenMeanwhile, refuseCrossed } from "./crossed.ts";
import { answerLoad, sayTared, trayOrFault } from "./loads.ts";
import type { Service } from "./service.ts";
import { typedDivision } from "./typed.ts";
import type { Work } from "./work.ts";

type WeighDesk = Pick<
  Service,
  | "chooseTask"
  | "answerLoad"
  | "sayTared"
  | "typeWeighing"
  | "editWeighing"
  | "swapWeighings"
  | "acknowledge"
  | "editSettings"
  | "tryAlert"
  | "practice"
>;

export function weighDesk(work: Work): WeighDesk {
  /** What puts a weighing right, of an open batch or of one that has ended. */
  function putRight(weighing: number, edit: (bench: Bench) => readonly Change[]): WireBatch {
    const { engine, set } = work;
    const id = engine.present.next.weighing;
    const ended = work.endedWith(weighing);
    if (ended === null) {
      engine.act(edit);
      return work.batchOfWeighing(id);
    }
    engine.act((bench) => weighings.ofEnded(bench, ended, edit, set.clock.utc()));
    engine.learnAnew();
    return work.shownBatch(ended.id);
  }

  return {
    chooseTask(scaleId: string, asked: ask.TaskChoice): WireBench {
      refuseChosenMeanwhile(work.engine.present, scaleId, asked.seen, work.set.clock.utc());
      work.engine.act((bench) =>
        acts.chooseTask(bench, scaleId, asked.tray, asked.kind ?? null, asked.portion ?? null),
      );
      return work.bench();
    },

    answerLoad(scaleId: string, asked: ask.LoadAnswer): WireBench {
      const { load, tray, kind = null, portion = null } = asked;
      const answer = { load, trayId: tray, kind, portion };
      work.engine.act((bench) => answerLoad(bench, scaleId, answer));
      return work.bench();
    },

    sayTared(scaleId: string, asked: ask.TareKeySaid): WireBench {
      const at = work.set.clock.utc();
      work.engine.act((bench) => sayTared(bench, scaleId, asked.pressed, at));
      return work.bench();
    },

    typeWeighing(asked: ask.TypedWeighing): WireBatch {
      const now = work.set.clock.utc();
      work.engine.act((bench) =>
        weighings.typeWeighing(bench, {
          trayId: asked.tray,
          kind: asked.kind,
          portion: asked.portion ?? null,
          gross: toGrams(asked.value, asked.unit ?? "g"),
          division: grams(asked.divisionGrams ?? typedDivision(asked.value, asked.unit ?? "g")),
          at: asked.at === undefined ? now : utcFrom(asked.at),
          now,
        }),
      );
      return work.shownBatch(trayOrFault(work.engine.present, asked.tray).batch.id);
    },

    editWeighing(weighing: number, asked: ask.WeighingEdit): WireBatch {
      const edit = {
        trayId: asked.tray ?? null,
        kind: asked.kind ?? null,
        gross: asked.grossGrams === undefined ? null : grams(asked.grossGrams),
        struck: asked.struck ?? false,
        foodTaken: asked.foodTaken ?? false,
        reason: asked.reason,
      };
      return putRight(weighing, (bench) => weighings.editWeighing(bench, weighing, edit));
    },

    swapWeighings(weighing: number, asked: ask.WeighingSwap): WireBatch {
      return putRight(weighing, (bench) =>
        weighings.swapWeighings(bench, weighing, asked.with, asked.reason),
      );
    },

    acknowledge(alert: number): WireBench {
      work.engine.act((bench) => acts.acknowledge(bench, alert, work.set.clock.utc()));
      return work.bench();
    },

    editSettings(asked: ask.SettingsEdit): WireBench {
      const flaw = typeof asked.webhook === "string" ? flawInWebhookAddress(asked.webhook) : null;
      if (flaw !== null) throw new Fault("input.invalid", flaw);
      refuseCrossed("a setting", asked.seen, work.bench().settings);
      const before = work.engine.present.settings;
      const settings: Settings = {
        limit: asked.limitPct === undefined ? before.limit : fraction(asked.limitPct / 100),
        displayUnit: asked.displayUnit ?? before.displayUnit,
        webhook: asked.webhook === undefined ? before.webhook : asked.webhook,
        mqtt: asked.mqtt === undefined ? before.mqtt : mqttFrom(asked.mqtt, before.mqtt),
        outTooLongMinutes: asked.outTooLongMinutes ?? before.outTooLongMinutes,
        sound: asked.sound ?? before.sound,
        learning: asked.learning ?? before.learning,
      };
      work.engine.act(() => [{ is: "settings-changed", settings, at: work.set.clock.utc() }]);
      work.engine.useReceivers();
      return work.bench();
    },

    tryAlert(channel: "webhook" | "mqtt"): Promise<string | null> {
      return work.engine.tryAlert(channel);
    },

    practice(asked: ask.PracticeAct): WireBench {
      if (work.set.hand === null)
        throw new Fault("practice.only", "there is no practice scale: a real one is in use");
      work.set.hand.runner.practice(asked);
      // A hand that rests changes nothing else that would be told.
      work.engine.showBench();
      return work.bench();
    },
  };
}

/** A password that is left out stays as it was, but not for another broker. */
function mqttFrom(asked: ask.MqttEdit | null, before: MqttSettings | null): MqttSettings | null {
  if (asked === null) return null;
  const { url, prefix, user, password } = asked;
  const flaw = flawInMqttAddress(url) ?? flawInMqttPrefix(prefix);
  if (flaw !== null) throw new Fault("input.invalid", flaw);
  const kept = before?.url === url && before.user === user ? before.password : null;
  return { url, prefix, user, password: password === undefined ? kept : password };
}
