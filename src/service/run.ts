/**
 * The service at work: joins the scales, the step, the store and those who listen. The order is fixed: a step's
 * facts are on disk before its bench counts and before anybody is told of them.
 */
import { isoOf, utcFrom, type Clock } from "../clock.ts";
import { Fault, isFault } from "../faults.ts";
import type { FoodShelf } from "./foods.ts";
import { listPorts } from "../port/list.ts";
import type { Port } from "../port/port.ts";
import { openScale, type Scale, type ScaleReport } from "../port/scale.ts";
import { sendWebhook } from "../send/webhook.ts";
import { afterLinkLost, afterReading, afterSilence, emptyPan } from "../settle/settle.ts";
import type { SettledWeight } from "../settle/settled.ts";
import type { Store } from "../store/store.ts";
import { decimalsOf, toGrams, type MassUnit } from "../units/mass.ts";
import type { Reading } from "../reading/reading.ts";
import { fraction, grams, type UtcMs } from "../units/quantity.ts";
import type { Batch as WireBatch, BatchSummary, Curve, History } from "../wire/batch.ts";
import type { Bench as WireBench, Sending } from "../wire/bench.ts";
import type * as ask from "../wire/requests.ts";
import * as acts from "./acts.ts";
import { apply } from "./apply.ts";
import type { Batch, Bench, Change, Fact, ScaleOnBench, Settings } from "./bench.ts";
import { weighingsCsv } from "./csv.ts";
import { answerLoad, scaleOrFault, settleLoad, trayOrFault } from "./loads.ts";
import { batchClockAt } from "./look.ts";
import { measuresOf, type Counts } from "./measures.ts";
import type { PracticeRunner } from "./practice.ts";
import type { Health, Measure, Service, Shown } from "./service.ts";
import {
  showAlert,
  showBatch,
  showBench,
  showCurves,
  showHistory,
  showSummary,
  showWeighing,
  type Surroundings,
} from "./show.ts";
import { isFact, judgeAfresh, step, tick, type Now } from "./step.ts";

const defaultSettings: Settings = {
  limit: fraction(0.01),
  displayUnit: "g",
  webhook: null,
  outTooLongMinutes: 30,
  sound: true,
};

const tickEveryMs = 200;
const dueEveryMs = 1000;
const aliveEveryMs = 10_000;
const recordAgainEveryMs = 5000;
/** A stop shorter than this leaves no question: so few minutes prove nothing either way. */
const gapWorthAskingMs = 120_000;
/** The system clock has to move this far away from ours before it is worth a word. */
const jumpWorthSayingMs = 2000;

export type RunSetting = {
  readonly clock: Clock;
  readonly store: Store;
  readonly dataFolder: string;
  readonly program: string;
  /** Why everything here is practice; null for real work. */
  readonly practice: string | null;
  readonly foods: FoodShelf;
  /** Present only when the practice scale and dryer are at work. */
  readonly hand: { readonly runner: PracticeRunner; readonly port: Port } | null;
  readonly log: (event: string, more: Record<string, unknown>) => void;
};

export class Running implements Service {
  private present: Bench;
  private readonly scales = new Map<string, Scale>();
  private readonly listeners = new Set<(message: Shown) => void>();
  private readonly timers: NodeJS.Timeout[] = [];
  private readonly counts: Counts = { readings: new Map(), weighings: 0, alerts: 0 };
  private notRecordingWhy: string | null = null;
  private lastRefusedMono = 0;
  private webhookSent: Sending = { channel: "webhook", at: null, failed: null };
  private readonly set: RunSetting;

  constructor(setting: RunSetting) {
    this.set = setting;
    const kept = setting.store.load();
    this.present = judgeAfresh(
      {
        next: { ...kept.next, load: 1 },
        batches: kept.batches,
        scales: [],
        alerts: kept.alerts,
        alertKeys: new Set(kept.alertKeys),
        settings: kept.settings ?? defaultSettings,
        practice: setting.practice !== null,
      },
      this.now(),
    );
    this.noteGap(kept.lastAliveAt);
  }

  /** Opens the scales and starts the clock's ticks. */
  begin(uris: readonly string[]): void {
    for (const uri of uris) this.openScale(uri, null);
    if (this.set.hand !== null) {
      this.openScale("practice:", this.set.hand.port);
      this.set.hand.runner.begin(this);
    }
    this.timers.push(setInterval(() => this.onTick(), tickEveryMs));
    this.timers.push(setInterval(() => this.onDue(), dueEveryMs));
    this.timers.push(setInterval(() => this.sayAlive(), this.aliveEvery()));
    this.sayAlive();
  }

  async close(): Promise<void> {
    this.set.hand?.runner.stop();
    for (const timer of this.timers) clearInterval(timer);
    await Promise.all([...this.scales.values()].map((scale) => scale.close()));
    this.sayAlive();
    this.set.store.close();
  }

  // The step and its order.

  private now(): Now {
    const { clock, hand } = this.set;
    return { at: clock.utc(), timeFactor: hand === null ? clock.timeFactor : 1 };
  }

  /** Steps, keeps, counts as done, tells. A refusal of the store leaves the bench as it was. */
  private act(what: (bench: Bench) => readonly Change[]): void {
    this.keep(step(this.present, what, this.now()));
  }

  private keep(done: { readonly bench: Bench; readonly changes: readonly Change[] }): void {
    const facts = done.changes.filter(isFact);
    if (facts.length > 0) this.record(facts);
    this.present = done.bench;
    if (done.changes.length > 0) this.tell(done.changes);
  }

  private record(facts: readonly Fact[]): void {
    try {
      this.set.store.record(facts);
      this.setRecording(null);
    } catch (thrown) {
      if (isFault(thrown, "store.full") || isFault(thrown, "store.unwritable")) {
        this.lastRefusedMono = this.set.clock.mono();
        this.setRecording(thrown.message);
      }
      throw thrown;
    }
  }

  private setRecording(why: string | null): void {
    if (this.notRecordingWhy === why) return;
    this.notRecordingWhy = why;
    this.set.log(why === null ? "recording-again" : "not-recording", { why });
    this.showBench();
  }

  private tell(changes: readonly Change[]): void {
    const at = this.set.clock.utc();
    for (const change of changes) {
      if (change.is === "weighing-taken") {
        this.counts.weighings++;
        this.tellWeighing(change.weighing.batchId, change.weighing.id, at);
      }
      if (change.is === "alert-raised") {
        this.counts.alerts++;
        this.show({ type: "alert", at: isoOf(at), alert: showAlert(change.alert) });
        void this.sendAlert(change.alert.text, change.alert.code, change.alert.batchId, at);
      }
    }
    for (const batchId of judgedAnew(changes)) this.tellVerdict(batchId, at);
    this.showBench();
  }

  private tellWeighing(batchId: number, weighingId: number, at: UtcMs): void {
    const batch = this.present.batches.find((one) => one.id === batchId);
    const weighing = batch?.weighings.find((one) => one.id === weighingId);
    if (batch === undefined || weighing === undefined) return;
    const name = batch.trays.find((tray) => tray.id === weighing.trayId)?.name ?? "";
    const shown = showWeighing(batch, weighing, this.now().timeFactor);
    this.show({ type: "weighing", at: isoOf(at), weighing: shown, name });
  }

  private tellVerdict(batchId: number, at: UtcMs): void {
    const batch = this.present.batches.find((one) => one.id === batchId);
    if (batch?.judged == null) return;
    const shown = showBatch(batch, this.now());
    this.show({
      type: "verdict",
      at: isoOf(at),
      batch: batchId,
      verdict: batch.judged.verdict,
      moreHours: shown.moreHours,
      behind: shown.behind,
      trays: shown.trays.flatMap(({ id, verdict }) =>
        verdict === null ? [] : [{ tray: id, verdict: verdict.verdict }],
      ),
    });
  }

  private show(message: Shown): void {
    for (const listener of this.listeners) listener(message);
  }

  private showBench(): void {
    if (this.listeners.size === 0) return;
    this.show({ type: "bench", at: isoOf(this.set.clock.utc()), bench: this.presentNow() });
  }

  onShow(listener: (message: Shown) => void): () => void {
    this.listeners.add(listener);
    return () => this.listeners.delete(listener);
  }

  // Scales.

  private openScale(uri: string, port: Port | null): void {
    const { clock } = this.set;
    const id = uri === "practice:" ? "practice" : this.freeScaleId();
    const at = clock.utc();
    const scale: ScaleOnBench = {
      id,
      uri,
      practice: this.set.practice !== null,
      link: { link: "searching", sinceUtcMs: at, why: null, fix: null },
      form: null,
      unit: null,
      candidates: [],
      pan: emptyPan,
      load: null,
      chosen: null,
      lastTaken: null,
    };
    this.present = apply(this.present, { is: "scale-came", scale });
    this.counts.readings.set(id, 0);
    const opened = openScale(
      uri,
      clock,
      {
        reading: (reading) => this.onReading(id, reading),
        link: (report) => this.onLink(id, report),
      },
      ...(port === null ? [] : [port]),
    );
    this.scales.set(id, opened);
  }

  private freeScaleId(): string {
    for (let number = 1; ; number++) {
      const id = `scale-${number}`;
      if (!this.scales.has(id)) return id;
    }
  }

  private onReading(scaleId: string, reading: Parameters<typeof afterReading>[1]): void {
    const scale = this.present.scales.find((one) => one.id === scaleId);
    if (scale === undefined) return;
    this.counts.readings.set(scaleId, (this.counts.readings.get(scaleId) ?? 0) + 1);
    const { pan, events } = afterReading(scale.pan, reading);
    this.present = apply(this.present, { is: "pan-changed", scaleId, pan });
    this.showReading(scaleId);
    for (const event of events) {
      if (event.is === "settled") this.onSettled(scaleId, event.weight);
      else this.onLifted(scaleId);
    }
  }

  private showReading(scaleId: string): void {
    const scale = this.present.scales.find((one) => one.id === scaleId);
    if (scale === undefined || this.listeners.size === 0) return;
    const { pan } = scale;
    this.show({
      type: "reading",
      at: isoOf(this.set.clock.utc()),
      scale: scaleId,
      state: pan.state,
      grams: pan.mass,
      settled: pan.settled,
      division: pan.division,
      unit: scale.unit,
    });
  }

  private onSettled(scaleId: string, weight: SettledWeight): void {
    this.show({
      type: "settled",
      at: isoOf(weight.atUtcMs),
      scale: scaleId,
      grams: weight.mass,
      division: weight.division,
      zeroSeen: weight.zeroSeen,
    });
    this.take(scaleId, { id: this.present.next.load, weight });
  }

  /** Takes a load, or keeps it waiting on the pan until the store can keep it. */
  private take(scaleId: string, load: { readonly id: number; readonly weight: SettledWeight }): void {
    try {
      this.act((bench) => settleLoad(bench, scaleOrFault(bench, scaleId), load));
    } catch (thrown) {
      if (!(thrown instanceof Fault)) throw thrown;
      const waiting = { ...load, became: "waiting", weighing: null, question: null } as const;
      this.present = apply(this.present, { is: "load-changed", scaleId, load: waiting });
      this.showBench();
    }
  }

  private onLifted(scaleId: string): void {
    this.show({ type: "lifted", at: isoOf(this.set.clock.utc()), scale: scaleId });
    const load = this.present.scales.find((one) => one.id === scaleId)?.load ?? null;
    if (load === null) return;
    this.keep({
      bench: apply(this.present, { is: "load-changed", scaleId, load: null }),
      changes: [{ is: "load-changed", scaleId, load: null }],
    });
  }

  private onLink(scaleId: string, report: ScaleReport): void {
    const scale = this.present.scales.find((one) => one.id === scaleId);
    if (scale === undefined) return;
    const change: Change = {
      is: "link-changed",
      scaleId,
      link: {
        link: report.link,
        sinceUtcMs: report.sinceUtcMs,
        why: report.why ?? report.question,
        fix: report.fix,
      },
      form: report.form,
      unit: report.unit,
      candidates: report.candidates.map((one) => ({
        form: one.form,
        unit: one.unit,
        example: one.raw,
        reads: readsAs(one.reading),
      })),
    };
    this.present = apply(this.present, change);
    if (report.link === "searching" || report.link === "denied") {
      const pan = afterLinkLost(scale.pan);
      this.present = apply(this.present, { is: "pan-changed", scaleId, pan });
      this.showReading(scaleId);
    }
    this.set.log("link", { scale: scaleId, link: report.link, form: report.form, why: report.why });
    this.show({
      type: "link",
      at: isoOf(this.set.clock.utc()),
      scale: scaleId,
      link: report.link,
      form: report.form,
      unit: report.unit,
      why: report.why ?? report.question,
    });
    this.showBench();
  }

  // The clock's ticks.

  private onTick(): void {
    const mono = this.set.clock.mono();
    for (const scale of this.present.scales) {
      const pan = afterSilence(scale.pan, mono);
      if (pan !== scale.pan) {
        this.present = apply(this.present, { is: "pan-changed", scaleId: scale.id, pan });
        if (pan.state !== scale.pan.state) this.showReading(scale.id);
      }
    }
  }

  private onDue(): void {
    if (this.notRecordingWhy !== null && !this.recordsAgain()) return;
    try {
      this.keep(tick(this.present, this.now()));
    } catch (thrown) {
      if (!(thrown instanceof Fault)) throw thrown;
      return;
    }
    for (const { id, load } of this.present.scales) if (load?.became === "waiting") this.take(id, load);
  }

  private recordsAgain(): boolean {
    if (this.set.clock.mono() - this.lastRefusedMono < recordAgainEveryMs) return false;
    const why = this.set.store.canRecord();
    if (why !== null) this.lastRefusedMono = this.set.clock.mono();
    this.setRecording(why);
    return why === null;
  }

  private aliveEvery(): number {
    return this.set.clock.timeFactor === 1 ? aliveEveryMs : aliveEveryMs / 10;
  }

  private sayAlive(): void {
    try {
      this.set.store.alive(this.set.clock.utc());
    } catch (thrown) {
      if (!(thrown instanceof Fault)) throw thrown;
      this.lastRefusedMono = this.set.clock.mono();
      this.setRecording(thrown.message);
    }
  }

  /** The service was away while trays were in: ask whether the dryer ran on. */
  private noteGap(lastAliveAt: UtcMs | null): void {
    const at = this.set.clock.utc();
    if (lastAliveAt === null || at - lastAliveAt < gapWorthAskingMs) return;
    for (const batch of this.present.batches) {
      if (batchClockAt(batch, lastAliveAt).is !== "in") continue;
      this.act((bench) => [
        {
          is: "gap-found",
          gap: {
            id: bench.next.gap,
            batchId: batch.id,
            from: lastAliveAt,
            to: at,
            dryerRan: null,
          },
        },
      ]);
    }
  }

  // What others look at.

  private around(): Surroundings {
    const { clock, practice, program, dataFolder, hand } = this.set;
    const jump = clock.jumpMs();
    return {
      program,
      practice,
      timeFactor: clock.timeFactor,
      dataFolder,
      recording: this.notRecordingWhy === null,
      notRecordingWhy: this.notRecordingWhy,
      clockJump:
        Math.abs(jump) < jumpWorthSayingMs
          ? null
          : `The computer's clock moved by ${Math.round(jump / 1000)} s since the start. Drying hours are not touched; times of day may be`,
      sending: [this.webhookSent],
      practiceHand: hand?.runner.state() ?? null,
    };
  }

  private benchNow(): WireBench {
    return showBench(this.present, this.around(), this.now());
  }

  private openOrEnded(batchId: number): Batch {
    const open = this.present.batches.find((batch) => batch.id === batchId);
    if (open !== undefined) return open;
    const kept = this.set.store.loadBatch(batchId);
    if (kept === null) throw new Fault("batch.not-found", `no batch has the number ${batchId}`);
    const alone = { ...this.present, batches: [kept] };
    return judgeAfresh(alone, this.now()).batches[0] ?? kept;
  }

  private shownBatch(batchId: number): WireBatch {
    return showBatch(this.openOrEnded(batchId), this.now());
  }

  health(): Health {
    const why = this.notRecordingWhy ?? this.set.store.canRecord();
    return {
      status: why === null ? "ok" : "not-recording",
      scales: this.present.scales.map((scale) => ({
        id: scale.id,
        link: scale.link.link,
        since: isoOf(scale.link.sinceUtcMs),
        why: scale.link.why,
      })),
      store: { recording: why === null, why },
    };
  }

  measures(): readonly Measure[] {
    return measuresOf(this.present, this.counts, this.notRecordingWhy === null, this.set.clock.utc());
  }

  showNow(): WireBench {
    return this.presentNow();
  }

  batches(state: "open" | "ended" | "all"): BatchSummary[] {
    const open = state === "ended" ? [] : this.present.batches.map(showSummary);
    const ended = state === "open" ? [] : this.set.store.listBatches("ended");
    return [...open, ...ended.map((batch) => showSummary(batch))].toSorted(
      (a, b) => b.number - a.number,
    );
  }

  batch(batchId: number): WireBatch {
    return this.shownBatch(batchId);
  }

  curves(batchId: number): Curve[] {
    return showCurves(this.openOrEnded(batchId));
  }

  history(batchId: number): History {
    return showHistory(this.openOrEnded(batchId), this.now());
  }

  weighingsCsv(batchId: number): string {
    return weighingsCsv(this.openOrEnded(batchId), this.now().timeFactor);
  }

  foods(typed: string, most: number): ask.FoodFound[] {
    return this.set.foods.find(typed, most);
  }

  async ports(): Promise<ask.Ports> {
    const { ports, why } = await listPorts();
    return { ports: ports.map(({ uri, name }) => ({ uri, name })), why };
  }

  // What others ask for.

  startBatch(asked: ask.NewBatch): WireBatch {
    const id = this.present.next.batch;
    this.act((bench) =>
      acts.startBatch(bench, {
        name: asked.name ?? "",
        dryer: asked.dryer,
        trays: asked.trays.map((tray) => this.trayAsked(tray)),
        at: this.set.clock.utc(),
      }),
    );
    return this.shownBatch(id);
  }

  private trayAsked(asked: ask.NewTray): acts.TrayAsked {
    const tare = asked.tareGrams ?? null;
    return {
      name: asked.name,
      tare: tare === null ? null : grams(tare),
      ...this.set.foods.onTray(asked.food ?? null, asked.waterPct ?? null),
    };
  }

  addTray(batchId: number, asked: ask.NewTray): WireBatch {
    this.act((bench) => acts.addTray(bench, batchId, this.trayAsked(asked)));
    return this.shownBatch(batchId);
  }

  editTray(batchId: number, trayId: number, asked: ask.TrayEdit): WireBatch {
    const { tray } = trayOrFault(this.present, trayId);
    const knownWater = tray.food === null ? null : tray.food.water * 100;
    const food =
      asked.food === undefined && asked.waterPct === undefined
        ? {}
        : this.set.foods.onTray(
            asked.food === undefined ? tray.foodName : asked.food,
            asked.waterPct === undefined && asked.food === undefined ? knownWater : (asked.waterPct ?? null),
          );
    const edit = {
      ...(asked.name === undefined ? {} : { name: asked.name }),
      ...(asked.tareGrams === undefined
        ? {}
        : { tare: asked.tareGrams === null ? null : grams(asked.tareGrams) }),
      ...food,
    };
    this.act((bench) => acts.editTray(bench, batchId, trayId, edit, this.set.clock.utc()));
    return this.shownBatch(batchId);
  }

  setClock(batchId: number, asked: ask.ClockSet): WireBatch {
    const now = this.set.clock.utc();
    const at = asked.at === undefined ? now : utcFrom(asked.at);
    this.act((bench) =>
      acts.setClock(bench, batchId, { is: asked.is, at, trays: asked.trays ?? null }, now),
    );
    return this.shownBatch(batchId);
  }

  editMoment(batchId: number, moment: number, asked: ask.ClockEdit): WireBatch {
    const edit = {
      at: asked.at === undefined ? null : utcFrom(asked.at),
      struck: asked.struck ?? false,
      reason: asked.reason,
    };
    this.act((bench) => acts.editMoment(bench, batchId, moment, edit, this.set.clock.utc()));
    return this.shownBatch(batchId);
  }

  noteInterruption(batchId: number, asked: ask.NewInterruption): WireBatch {
    const noted = {
      from: utcFrom(asked.from),
      to: asked.to == null ? null : utcFrom(asked.to),
      reason: asked.reason,
    };
    this.act((bench) => acts.noteInterruption(bench, batchId, noted, this.set.clock.utc()));
    return this.shownBatch(batchId);
  }

  endInterruption(batchId: number, interruption: number, to: string | null): WireBatch {
    const now = this.set.clock.utc();
    const at = to === null ? now : utcFrom(to);
    this.act((bench) => acts.endInterruption(bench, batchId, interruption, at, now));
    return this.shownBatch(batchId);
  }

  answerGap(gap: number, asked: ask.GapAnswer): WireBatch {
    const { id } = acts.batchOfGap(this.present, gap);
    this.act((bench) => acts.answerGap(bench, gap, asked.dryerRan, this.set.clock.utc()));
    return this.shownBatch(id);
  }

  checkCore(tray: number, asked: ask.CoreCheck): WireBatch {
    this.act((bench) => acts.checkCore(bench, tray, asked.finding, this.set.clock.utc()));
    return this.shownBatch(trayOrFault(this.present, tray).batch.id);
  }

  endBatch(batchId: number): WireBatch {
    this.act((bench) => acts.endBatch(bench, batchId, this.set.clock.utc()));
    return this.shownBatch(batchId);
  }

  chooseTask(scaleId: string, asked: ask.TaskChoice): WireBench {
    this.act((bench) => acts.chooseTask(bench, scaleId, asked.tray, asked.kind ?? null));
    return this.presentNow();
  }

  answerLoad(scaleId: string, asked: ask.LoadAnswer): WireBench {
    const answer = { load: asked.load, trayId: asked.tray, kind: asked.kind ?? null };
    this.act((bench) => answerLoad(bench, scaleId, answer));
    return this.presentNow();
  }

  typeWeighing(asked: ask.TypedWeighing): WireBatch {
    const now = this.set.clock.utc();
    this.act((bench) =>
      acts.typeWeighing(bench, {
        trayId: asked.tray,
        kind: asked.kind,
        gross: toGrams(asked.value, asked.unit ?? "g"),
        division: grams(asked.divisionGrams ?? typedDivision(asked.value, asked.unit ?? "g")),
        at: asked.at === undefined ? now : utcFrom(asked.at),
        now,
      }),
    );
    return this.shownBatch(trayOrFault(this.present, asked.tray).batch.id);
  }

  editWeighing(weighing: number, asked: ask.WeighingEdit): WireBatch {
    const edit = {
      trayId: asked.tray ?? null,
      kind: asked.kind ?? null,
      gross: asked.grossGrams === undefined ? null : grams(asked.grossGrams),
      struck: asked.struck ?? false,
      reason: asked.reason,
    };
    const id = this.present.next.weighing;
    this.act((bench) => acts.editWeighing(bench, weighing, edit));
    const batch = this.present.batches.find((one) => one.weighings.some((row) => row.id === id));
    return this.shownBatch(batch?.id ?? 0);
  }

  acknowledge(alert: number): WireBench {
    this.act((bench) => acts.acknowledge(bench, alert, this.set.clock.utc()));
    return this.presentNow();
  }

  editSettings(asked: ask.SettingsEdit): WireBench {
    const before = this.present.settings;
    const settings: Settings = {
      limit: asked.limitPct === undefined ? before.limit : fraction(asked.limitPct / 100),
      displayUnit: asked.displayUnit ?? before.displayUnit,
      webhook: asked.webhook === undefined ? before.webhook : asked.webhook,
      outTooLongMinutes: asked.outTooLongMinutes ?? before.outTooLongMinutes,
      sound: asked.sound ?? before.sound,
    };
    this.act(() => [{ is: "settings-changed", settings, at: this.set.clock.utc() }]);
    return this.presentNow();
  }

  async tryWebhook(): Promise<string | null> {
    if (this.present.settings.webhook === null) return "no webhook address is set";
    const text = "A trial alert: this is how an alert will look";
    await this.sendAlert(text, "trial", null, this.set.clock.utc());
    return this.webhookSent.failed;
  }

  private async sendAlert(
    text: string,
    code: string,
    batch: number | null,
    at: UtcMs,
  ): Promise<void> {
    const { webhook } = this.present.settings;
    if (webhook === null) return;
    const body = { text, code, batch, at: isoOf(at), practice: this.set.practice !== null };
    const sent = await sendWebhook(webhook, body);
    this.webhookSent = {
      channel: "webhook",
      at: isoOf(this.set.clock.utc()),
      failed: sent.sent ? null : sent.why,
    };
    this.showBench();
  }

  addScale(asked: ask.NewScale): Promise<WireBench> {
    this.set.store.rememberScale(asked.uri);
    this.openScale(asked.uri, null);
    this.showBench();
    return Promise.resolve(this.presentNow());
  }

  async removeScale(scaleId: string): Promise<WireBench> {
    const scale = scaleOrFault(this.present, scaleId);
    this.set.store.forgetScale(scale.uri);
    await this.scales.get(scaleId)?.close();
    this.scales.delete(scaleId);
    this.present = apply(this.present, { is: "scale-went", scaleId });
    this.showBench();
    return this.presentNow();
  }

  chooseForm(scaleId: string, asked: ask.FormChoice): WireBench {
    scaleOrFault(this.present, scaleId);
    this.scales.get(scaleId)?.chooseForm(formChoice(asked));
    this.showBench();
    return this.presentNow();
  }

  practice(asked: ask.PracticeAct): WireBench {
    if (this.set.hand === null)
      throw new Fault("practice.only", "there is no practice scale: a real one is in use");
    this.set.hand.runner.practice(asked);
    this.showBench();
    return this.presentNow();
  }
}

/** Batches that a list of changes touched, and so were judged anew. */
function judgedAnew(changes: readonly Change[]): ReadonlySet<number> {
  return new Set(
    changes.flatMap((change) => {
      switch (change.is) {
        case "weighing-taken":
          return [change.weighing.batchId];
        case "moment-set":
          return [change.moment.batchId];
        case "core-checked":
          return [change.check.batchId];
        case "tray-changed":
          return [change.tray.batchId];
        default:
          return [];
      }
    }),
  );
}

/** What a line of the scale would mean, for a person who chooses between forms. */
function readsAs(reading: Reading): string {
  switch (reading.is) {
    case "weight":
      return `${reading.mass.toFixed(decimalsOf(reading.division))} g`;
    case "over":
      return "overload";
    case "under":
      return "under range";
    case "unreadable":
      return reading.why;
  }
}

/** The step of a typed figure: its last decimal. */
function typedDivision(value: number, unit: MassUnit): number {
  const decimals = (String(value).split(".")[1] ?? "").length;
  return toGrams(10 ** -decimals, unit);
}
