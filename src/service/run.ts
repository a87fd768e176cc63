/** The service: what others ask of the bench, and what they may see of it. */
import { isoOf, utcFrom, type Clock } from "../clock.ts";
import { Fault } from "../faults.ts";
import { listPorts } from "../port/list.ts";
import type { Port } from "../port/port.ts";
import { isRefused, readAddress } from "../port/uri.ts";
import { bagCode, type Bag } from "../bag/bag.ts";
import { codePicture } from "../label/code.ts";
import { isFormName } from "../reading/forms.ts";
import type { ScaleUnit } from "../reading/reading.ts";
import { flawInMqttAddress, flawInMqttPrefix } from "../send/mqtt.ts";
import { flawInWebhookAddress } from "../send/webhook.ts";
import { asKept, toGrams, type MassUnit } from "../units/mass.ts";
import { fraction, grams } from "../units/quantity.ts";
import type * as wireBag from "../wire/bag.ts";
import type { Batch as WireBatch, BatchSummary, Curve, History } from "../wire/batch.ts";
import type { Bench as WireBench } from "../wire/bench.ts";
import type * as wireKitchen from "../wire/kitchen.ts";
import type { Photo } from "../wire/photo.ts";
import type * as ask from "../wire/requests.ts";
import type { BatchExport } from "../wire/export.ts";
import type { Yields } from "../wire/yield.ts";
import * as acts from "./acts.ts";
import { chooseBag, planOf, takeForBag } from "./bagloads.ts";
import * as bagActs from "./bags.ts";
import type { Batch, Bench, Change, MqttSettings, Settings, Tray } from "./bench.ts";
import { Backups, copyInThread, type BackupPlan } from "./backups.ts";
import { refuseCrossed } from "./crossed.ts";
import { weighingsCsv } from "./csv.ts";
import { Engine, type EngineSetting } from "./engine.ts";
import { ofPortions, planned, type FoodShelf, type Own } from "./foods.ts";
import { batchesFrom, importChanges, showImport, type Imported } from "./imports.ts";
import { chooseCheck, dryerNamed, setCheckWeight, setDryer, setOwnFood } from "./kitchen.ts";
import { editLesson, showLesson } from "./lessons.ts";
import { answerLoad, sayTared, scaleOrFault, trayOrFault } from "./loads.ts";
import { labelsInThread, labelText, type Labels } from "./labels.ts";
import { mostPhotos, refuseStrangePhoto, showPhoto, type PhotoOf } from "./photos.ts";
import { measuresOf } from "./measures.ts";
import type { PracticeRunner } from "./practice.ts";
import { fromBag, redried, refuseForTray, type FromBag } from "./redry.ts";
import { Scales } from "./scales.ts";
import type {
  BagsAsked,
  Health,
  LabelFile,
  LabelsAsked,
  Measure,
  Picture,
  Service,
  Shown,
} from "./service.ts";
import { showBatch, showCurves, showHistory, showSummary } from "./show.ts";
import {
  dryerFrom,
  lookAtBatch,
  lookAtPlan,
  ownFoodFrom,
  ownOf,
  showDish,
  showKitchen,
} from "./showkitchen.ts";
import {
  findBags,
  showBag,
  showLots,
  showPreview,
  showStock,
  showUnpacked,
  usualLimit,
} from "./showbag.ts";
import { judgeAfresh } from "./step.ts";
import { findBatches, type BatchSearch } from "./search.ts";
import { showYields } from "./yields.ts";

export type RunSetting = Omit<EngineSetting, "hand" | "backup"> & {
  /** null: nothing is copied by the clock. */
  readonly backups: BackupPlan | null;
  readonly foods: FoodShelf;
  /** Present only when the practice scale and dryer are at work. */
  readonly hand: { readonly runner: PracticeRunner; readonly port: Port } | null;
  /** Opens the real folder; only where this one is the built-in practice. */
  readonly leavePractice: (() => RunSetting) | null;
};

export class Running implements Service {
  private readonly listeners = new Set<(message: Shown) => void>();
  private engine: Engine;
  private scales: Scales;
  private backups: Backups | null;
  private readonly labels: Labels = labelsInThread();

  constructor(private set: RunSetting) {
    ({ engine: this.engine, scales: this.scales, backups: this.backups } = this.build());
  }

  private build(): { engine: Engine; scales: Scales; backups: Backups | null } {
    const { hand, clock, log } = this.set;
    const show = (message: Shown): void => {
      for (const listener of this.listeners) listener(message);
    };
    const engine = new Engine(
      {
        ...this.set,
        hand: hand === null ? null : () => hand.runner.state(),
        backup: () => backups?.state() ?? null,
      },
      { isThere: () => this.listeners.size > 0, show },
    );
    const backups = this.backupsOf(() => engine.showBench());
    return { engine, scales: new Scales(engine, clock, show, log), backups };
  }

  /** Practice is worth no copy. */
  private backupsOf(changed: () => void): Backups | null {
    const { backups, store, clock, practice, log } = this.set;
    if (backups === null || practice !== null) return null;
    return new Backups({
      ...backups,
      dataFolder: store.folder,
      now: () => clock.utc(),
      isWorthIt: () => store.hasRealWeighings(),
      copy: copyInThread,
      changed,
      log,
    });
  }

  /** The clock that the service goes by, also after practice has ended. */
  readonly clock: Pick<Clock, "mono" | "utc"> = {
    mono: () => this.set.clock.mono(),
    utc: () => this.set.clock.utc(),
  };

  /** Opens the scales and starts the clock's ticks. */
  begin(uris: readonly string[]): void {
    for (const uri of uris) this.addReal(uri);
    this.engine.begin(() => this.scales.takeWaiting());
    this.backups?.begin();
    if (this.set.hand === null) return;
    this.scales.add("practice:", this.set.hand.port);
    this.set.hand.runner.begin(this);
  }

  async close(): Promise<void> {
    this.set.hand?.runner.stop();
    await this.backups?.close();
    await this.labels.close();
    await this.scales.close();
    await this.engine.close();
  }

  onShow(listener: (message: Shown) => void): () => void {
    this.listeners.add(listener);
    return () => this.listeners.delete(listener);
  }

  // What others look at.

  private openOrEnded(batchId: number): Batch {
    const open = this.engine.present.batches.find((batch) => batch.id === batchId);
    if (open !== undefined) return open;
    const kept = this.set.store.loadBatch(batchId);
    if (kept === null) throw new Fault("batch.not-found", `no batch has the number ${batchId}`);
    const alone = { ...this.engine.present, batches: [kept] };
    return judgeAfresh(alone, this.engine.now()).batches[0] ?? kept;
  }

  private shownBatch(batchId: number): WireBatch {
    return showBatch(this.openOrEnded(batchId), this.engine.now());
  }

  health(): Health {
    const { recording, why } = this.engine.recording();
    return {
      status: recording ? "ok" : "not-recording",
      scales: this.engine.present.scales.map(({ id, link }) => ({
        id,
        link: link.link,
        since: isoOf(link.sinceUtcMs),
        why: link.why,
      })),
      store: { recording, why, backup: this.backups?.state() ?? null },
    };
  }

  measures(): readonly Measure[] {
    const { present, counts } = this.engine;
    return measuresOf(present, counts, this.engine.recording().recording, this.engine.now().at);
  }

  bench(): WireBench {
    return this.engine.shown();
  }

  batches(state: "open" | "ended" | "all", search: BatchSearch): BatchSummary[] {
    const open = state === "ended" ? [] : this.engine.present.batches;
    const ended = state === "open" ? [] : this.set.store.listBatches("ended");
    const all = [
      ...open.map((batch) => showSummary(batch, batch.judged?.verdict ?? null)),
      ...ended.map((batch) => showSummary(batch, batch.word)),
    ].toSorted((a, b) => b.number - a.number);
    return findBatches(all, search);
  }

  exportBatch(batchId: number): BatchExport {
    const bags = this.set.store.bags({ is: "batch", id: batchId });
    return {
      program: this.set.program,
      exportedAt: isoOf(this.set.clock.utc()),
      batch: this.batch(batchId),
      history: this.history(batchId),
      curves: this.curves(batchId),
      yields: this.yields(batchId),
      bags: bags.map(({ id }) => this.bag(id, null)),
      heads: { ...this.set.store.heads() },
    };
  }

  batch(batchId: number): WireBatch {
    return this.shownBatch(batchId);
  }

  curves(batchId: number): Curve[] {
    return showCurves(this.openOrEnded(batchId));
  }

  history(batchId: number): History {
    const { kitchen } = this.engine.present;
    return showHistory(this.openOrEnded(batchId), kitchen, this.engine.now());
  }

  weighingsCsv(batchId: number): string {
    const { timeFactor } = this.engine.now();
    return weighingsCsv(this.openOrEnded(batchId), timeFactor, this.set.store.heads().weighing);
  }

  recordLines(): Iterable<string> {
    return this.set.store.chainLines();
  }

  foods(typed: string, most: number): ask.FoodFound[] {
    return this.set.foods.find(typed, most, this.own());
  }

  private own(): Own {
    return ownOf(this.engine.present);
  }

  kitchen(): wireKitchen.Kitchen {
    return showKitchen(this.engine.present, this.set.foods);
  }

  setDryer(asked: wireKitchen.DryerSet): wireKitchen.Kitchen {
    const before = dryerNamed(this.engine.present.kitchen, asked.name.trim());
    const at = this.set.clock.utc();
    this.engine.act(() => setDryer(dryerFrom(asked, before), at));
    return this.kitchen();
  }

  setOwnFood(food: number | null, asked: wireKitchen.OwnFoodSet): wireKitchen.Kitchen {
    const own = ownFoodFrom(asked, this.set.foods, this.own());
    this.engine.act((bench) => setOwnFood(bench, food, own, this.set.clock.utc()));
    return this.kitchen();
  }

  dish(asked: wireKitchen.DishAsked): wireKitchen.DishPreview {
    return showDish(asked, this.set.foods, this.own());
  }

  setCheckWeight(weight: number | null, asked: wireKitchen.CheckWeightSet): wireKitchen.Kitchen {
    const { errorGrams = null } = asked;
    const set = {
      name: asked.name.trim(),
      nominal: asKept(grams(asked.nominalGrams)),
      weightClass: asked.weightClass ?? null,
      error: errorGrams === null ? null : grams(errorGrams),
      everyDays: asked.everyDays,
      retired: asked.retired ?? false,
    };
    this.engine.act((bench) => setCheckWeight(bench, weight, set, this.set.clock.utc()));
    return this.kitchen();
  }

  chooseCheck(scaleId: string, asked: wireKitchen.CheckChoice): WireBench {
    this.engine.act((bench) => chooseCheck(bench, scaleId, asked.weight));
    return this.bench();
  }

  lookAtPlan(asked: ask.NewBatch): wireKitchen.LoadLook {
    return lookAtPlan(asked, this.engine.present, this.set.foods);
  }

  lookAtBatch(batchId: number): wireKitchen.LoadLook {
    return lookAtBatch(this.openOrEnded(batchId), this.engine.present, this.set.foods);
  }

  yields(batchId: number): Yields {
    const batch = this.openOrEnded(batchId);
    const dryer = dryerNamed(this.engine.present.kitchen, batch.dryer);
    return showYields(batch, dryer, this.engine.now().at);
  }

  lessons(): ask.LessonShown[] {
    return this.engine.present.lessons.map(showLesson);
  }

  editLesson(lesson: number, asked: ask.LessonEdit): ask.LessonShown[] {
    this.engine.act((bench) => editLesson(bench, lesson, asked, this.set.clock.utc()));
    return this.lessons();
  }

  async ports(): Promise<ask.Ports> {
    const { ports, why } = await listPorts();
    return { ports: ports.map(({ uri, name }) => ({ uri, name })), why };
  }

  // What others ask for.

  startBatch(asked: ask.NewBatch): WireBatch {
    const id = this.engine.present.next.batch;
    const trays = asked.trays.map((tray) => this.trayAsked(tray));
    const number = asked.number ?? this.engine.present.next.batchNumber;
    this.engine.act((bench) => [
      ...acts.startBatch(bench, {
        name: asked.name ?? "",
        dryer: asked.dryer,
        number,
        trays,
        at: this.set.clock.utc(),
      }),
      ...this.redrying(bench, trays, number),
    ]);
    return this.shownBatch(id);
  }

  private trayAsked(asked: ask.NewTray): acts.TrayAsked {
    const tare = asked.tareGrams ?? null;
    return {
      name: asked.name,
      tare: tare === null ? null : grams(tare),
      ...this.plannedOn(asked),
    };
  }

  /** What is planned for a tray; food of a bag stands there as what the bag is known to hold. */
  private plannedOn(asked: Pick<ask.NewTray, "food" | "waterPct" | "portions">) {
    const all = planned(this.set.foods, asked, this.own());
    const bags = (asked.portions ?? []).map(({ bag }) => bag ?? null);
    if (bags.every((bag) => bag === null)) return all;
    return ofPortions(
      all.portions.map((portion, index) => {
        const bag = bags[index] ?? null;
        return bag === null ? portion : { ...portion, ...this.fromBag(bag) };
      }),
    );
  }

  private fromBag(named: number | string): FromBag {
    const bag = this.anyBag(typeof named === "string" ? this.bagOfLabel(named) : named);
    refuseForTray(bag, this.set.store.redriedIn(bag.id) !== null);
    return fromBag(bag, this.engine.present.settings.limit, this.set.clock.utc());
  }

  /** The bags of a tray's portions leave the store in the same act in which the tray is kept. */
  private redrying(
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
    return redried(bench, portions, batchNumber, this.set.clock.utc());
  }

  photos(batchId: number): Photo[] {
    return this.set.store.photos(batchId).map(showPhoto);
  }

  addPhoto(batchId: number, of: PhotoOf, { type, bytes }: Picture): Photo[] {
    const batch = this.openOrEnded(batchId);
    refuseStrangePhoto(batch, of, this.set.store.bags({ is: "batch", id: batchId }));
    if (this.photos(batchId).length >= mostPhotos)
      throw new Fault("photo.too-many", `batch ${batch.number} has ${mostPhotos} photographs`);
    const at = this.set.clock.utc();
    this.set.store.addPhoto({ batchId, trayId: of.tray, bagId: of.bag, type, bytes, at });
    return this.photos(batchId);
  }

  photo(photoId: number): Picture {
    const { photo, bytes } = this.anyPhoto(photoId);
    return { type: photo.type, bytes };
  }

  removePhoto(photoId: number): Photo[] {
    const { photo } = this.anyPhoto(photoId);
    this.set.store.removePhoto(photoId);
    return this.photos(photo.batchId);
  }

  private anyPhoto(photoId: number) {
    const found = this.set.store.photo(photoId);
    if (found === null)
      throw new Fault("photo.not-found", `no photograph has the number ${photoId}`);
    return found;
  }

  previewImport(asked: ask.NewImport): ask.LogImport {
    return showImport(this.imported(asked));
  }

  importLog(asked: ask.NewImport): ask.LogImport {
    const imported = this.imported(asked);
    if (imported.problems.length > 0)
      throw new Fault("input.invalid", "the log has rows that cannot be read; nothing was kept", {
        errors: imported.problems.map(({ line, text }) => ({
          pointer: "#/csv",
          detail: `line ${line}: ${text}`,
        })),
      });
    this.engine.act(() => importChanges(imported.batches));
    return showImport(imported);
  }

  private imported({ csv, dryer, startedAt }: ask.NewImport): Imported {
    const now = this.set.clock.utc();
    const asked = {
      dryer,
      startedAt: startedAt === undefined ? now : utcFrom(startedAt),
      now,
      practice: this.engine.present.practice,
    };
    return batchesFrom(this.set.foods.readLog(csv), asked, this.engine.present.next);
  }

  addTray(batchId: number, asked: ask.NewTray): WireBatch {
    const tray = this.trayAsked(asked);
    this.engine.act((bench) => [
      ...acts.addTray(bench, batchId, tray),
      ...this.redrying(bench, [tray], acts.openBatch(bench, batchId).number),
    ]);
    return this.shownBatch(batchId);
  }

  editTray(batchId: number, trayId: number, asked: ask.TrayEdit): WireBatch {
    const { tray, batch } = trayOrFault(this.engine.present, trayId);
    const shown = this.shownBatch(batch.id).trays.find(({ id }) => id === trayId);
    refuseCrossed(`tray ${tray.name}`, asked.seen, shown ?? {});
    const edit = {
      ...(asked.name === undefined ? {} : { name: asked.name }),
      ...(asked.tareGrams === undefined
        ? {}
        : { tare: asked.tareGrams === null ? null : grams(asked.tareGrams) }),
      ...this.foodEdited(tray, asked),
    };
    this.engine.act((bench) => acts.editTray(bench, batchId, trayId, edit, this.set.clock.utc()));
    return this.shownBatch(batchId);
  }

  /** A bag's food stays what it was when it went onto the tray; another bag is another tray or batch. */
  private portionsEdited(
    tray: Tray,
    asked: NonNullable<ask.TrayEdit["portions"]>,
  ): Partial<acts.TrayAsked> {
    const all = planned(this.set.foods, { portions: asked }, this.own());
    return ofPortions(
      all.portions.map((portion, index) => {
        const bag = asked[index]?.bag ?? null;
        if (bag === null) return portion;
        const old = tray.portions.find(({ place }) => place === portion.place);
        if (old === undefined || old.fromBag !== bag)
          throw new Fault(
            "input.invalid",
            "the food of a bag goes onto a tray of its own: add one",
          );
        return { ...old, target: portion.target };
      }),
    );
  }

  private foodEdited(tray: Tray, asked: ask.TrayEdit): Partial<acts.TrayAsked> {
    const { foods } = this.set;
    if (asked.portions !== undefined) return this.portionsEdited(tray, asked.portions);
    if (asked.food === undefined && asked.waterPct === undefined) return {};
    const [only, second] = tray.portions;
    if (second !== undefined)
      throw new Fault("input.invalid", `${tray.name} has several foods: give its portions`);
    const knownWater = tray.food === null ? null : tray.food.water * 100;
    const isSameFood = asked.waterPct === undefined && asked.food === undefined;
    const food = foods.onTray(
      asked.food === undefined ? tray.foodName : asked.food,
      isSameFood ? knownWater : (asked.waterPct ?? null),
      this.own(),
    );
    return { ...food, portions: only === undefined ? [] : [{ ...only, ...food }] };
  }

  setClock(batchId: number, asked: ask.ClockSet): WireBatch {
    const now = this.set.clock.utc();
    const at = asked.at === undefined ? now : utcFrom(asked.at);
    this.engine.act((bench) =>
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
    this.engine.act((bench) => acts.editMoment(bench, batchId, moment, edit, this.set.clock.utc()));
    return this.shownBatch(batchId);
  }

  noteInterruption(batchId: number, asked: ask.NewInterruption): WireBatch {
    const noted = {
      from: utcFrom(asked.from),
      to: typeof asked.to === "string" ? utcFrom(asked.to) : null,
      reason: asked.reason,
    };
    this.engine.act((bench) => acts.noteInterruption(bench, batchId, noted, this.set.clock.utc()));
    return this.shownBatch(batchId);
  }

  endInterruption(batchId: number, interruption: number, to: string | null): WireBatch {
    const now = this.set.clock.utc();
    const at = to === null ? now : utcFrom(to);
    this.engine.act((bench) => acts.endInterruption(bench, batchId, interruption, at, now));
    return this.shownBatch(batchId);
  }

  answerGap(gap: number, asked: ask.GapAnswer): WireBatch {
    const { id } = acts.batchOfGap(this.engine.present, gap);
    this.engine.act((bench) => acts.answerGap(bench, gap, asked.dryerRan, this.set.clock.utc()));
    return this.shownBatch(id);
  }

  checkCore(tray: number, asked: ask.CoreCheck): WireBatch {
    this.engine.act((bench) => acts.checkCore(bench, tray, asked.finding, this.set.clock.utc()));
    return this.shownBatch(trayOrFault(this.engine.present, tray).batch.id);
  }

  endBatch(batchId: number): WireBatch {
    this.engine.act((bench) => acts.endBatch(bench, batchId, this.set.clock.utc()));
    return this.shownBatch(batchId);
  }

  chooseTask(scaleId: string, asked: ask.TaskChoice): WireBench {
    this.engine.act((bench) =>
      acts.chooseTask(bench, scaleId, asked.tray, asked.kind ?? null, asked.portion ?? null),
    );
    return this.bench();
  }

  answerLoad(scaleId: string, asked: ask.LoadAnswer): WireBench {
    const { load, tray, kind = null, portion = null } = asked;
    const answer = { load, trayId: tray, kind, portion };
    this.engine.act((bench) => answerLoad(bench, scaleId, answer));
    return this.bench();
  }

  sayTared(scaleId: string, asked: ask.TareKeySaid): WireBench {
    const at = this.set.clock.utc();
    this.engine.act((bench) => sayTared(bench, scaleId, asked.pressed, at));
    return this.bench();
  }

  typeWeighing(asked: ask.TypedWeighing): WireBatch {
    const now = this.set.clock.utc();
    this.engine.act((bench) =>
      acts.typeWeighing(bench, {
        trayId: asked.tray,
        kind: asked.kind,
        portion: asked.portion ?? null,
        gross: toGrams(asked.value, asked.unit ?? "g"),
        division: grams(asked.divisionGrams ?? typedDivision(asked.value, asked.unit ?? "g")),
        at: asked.at === undefined ? now : utcFrom(asked.at),
        now,
      }),
    );
    return this.shownBatch(trayOrFault(this.engine.present, asked.tray).batch.id);
  }

  editWeighing(weighing: number, asked: ask.WeighingEdit): WireBatch {
    const edit = {
      trayId: asked.tray ?? null,
      kind: asked.kind ?? null,
      gross: asked.grossGrams === undefined ? null : grams(asked.grossGrams),
      struck: asked.struck ?? false,
      reason: asked.reason,
    };
    const id = this.engine.present.next.weighing;
    this.engine.act((bench) => acts.editWeighing(bench, weighing, edit));
    return this.batchOfWeighing(id);
  }

  swapWeighings(weighing: number, asked: ask.WeighingSwap): WireBatch {
    const id = this.engine.present.next.weighing;
    this.engine.act((bench) => acts.swapWeighings(bench, weighing, asked.with, asked.reason));
    return this.batchOfWeighing(id);
  }

  private batchOfWeighing(weighing: number): WireBatch {
    const batch = this.engine.present.batches.find((one) =>
      one.weighings.some((row) => row.id === weighing),
    );
    return this.shownBatch(batch?.id ?? 0);
  }

  acknowledge(alert: number): WireBench {
    this.engine.act((bench) => acts.acknowledge(bench, alert, this.set.clock.utc()));
    return this.bench();
  }

  editSettings(asked: ask.SettingsEdit): WireBench {
    const flaw = typeof asked.webhook === "string" ? flawInWebhookAddress(asked.webhook) : null;
    if (flaw !== null) throw new Fault("input.invalid", flaw);
    refuseCrossed("a setting", asked.seen, this.bench().settings);
    const before = this.engine.present.settings;
    const settings: Settings = {
      limit: asked.limitPct === undefined ? before.limit : fraction(asked.limitPct / 100),
      displayUnit: asked.displayUnit ?? before.displayUnit,
      webhook: asked.webhook === undefined ? before.webhook : asked.webhook,
      mqtt: asked.mqtt === undefined ? before.mqtt : mqttFrom(asked.mqtt, before.mqtt),
      outTooLongMinutes: asked.outTooLongMinutes ?? before.outTooLongMinutes,
      sound: asked.sound ?? before.sound,
      learning: asked.learning ?? before.learning,
    };
    this.engine.act(() => [{ is: "settings-changed", settings, at: this.set.clock.utc() }]);
    this.engine.useMqtt();
    return this.bench();
  }

  tryAlert(channel: "webhook" | "mqtt"): Promise<string | null> {
    return this.engine.tryAlert(channel);
  }

  // Bags.

  private anyBag(bagId: number): Bag {
    const inHand = this.engine.present.bags.find((bag) => bag.id === bagId);
    const [kept] = inHand === undefined ? this.set.store.bags({ is: "bag", id: bagId }) : [inHand];
    if (kept === undefined) throw new Fault("bag.not-found", `no bag has the number ${bagId}`);
    return kept;
  }

  /** A bag that is gone is shown for itself: its plan is no longer on the bench. */
  private planOf(bag: Bag): readonly Bag[] {
    const { present } = this.engine;
    return present.bags.includes(bag) ? planOf(present, bag) : [bag];
  }

  bags({ state, q, batch }: BagsAsked): wireBag.BagLine[] {
    const all = this.set.store.bags(batch === null ? { is: "all" } : { is: "batch", id: batch });
    return findBags(all, { state, q }, this.set.clock.utc());
  }

  stock(): wireBag.StockLine[] {
    return showStock(this.engine.present.bags, this.set.clock.utc());
  }

  lots(): wireBag.LotLine[] {
    return showLots(this.set.store.bags({ is: "all" }), this.set.clock.utc());
  }

  bag(bagId: number, limitPct: number | null): wireBag.Bag {
    const bag = this.anyBag(bagId);
    const limit = limitPct === null ? usualLimit : fraction(limitPct / 100);
    const shown = showBag(bag, this.planOf(bag), { limit, now: this.set.clock.utc() });
    return { ...shown, redriedIn: this.set.store.redriedIn(bagId) };
  }

  bagLabels({ bags, stock, skip, fields }: LabelsAsked): Promise<LabelFile> {
    const shown = bags.map((bag) => this.bag(bag, null));
    const head = this.set.store.heads().bag_weighing;
    return this.labels.draw({ bags: shown, stock, skip, fields, head }, this.set.clock.utc());
  }

  bagCode(bagId: number): string {
    return codePicture(bagCode(this.anyBag(bagId)));
  }

  labelTexts(bags: readonly number[], fields: readonly wireBag.LabelField[]): wireBag.LabelText[] {
    return bags.map((bag) => labelText(this.bag(bag, null), fields));
  }

  private bagsAsked(asked: wireBag.NewBags): bagActs.BagsAsked {
    const gramsOrNull = (mass: number | null | undefined) =>
      mass === null || mass === undefined ? null : grams(mass);
    return {
      trays: asked.trays.map((one) => ({ trayId: one.tray, grams: gramsOrNull(one.grams) })),
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

  previewBags(batchId: number, asked: wireBag.NewBags): wireBag.BagsPreview {
    const bagged = this.set.store.bags({ is: "batch", id: batchId });
    const draft = bagActs.draftBags(this.openOrEnded(batchId), bagged, this.bagsAsked(asked));
    return showPreview(draft, asked.volumeMl);
  }

  unpacked(batchId: number): wireBag.Unpacked {
    const everyBag = this.set.store.bags({ is: "all" });
    const bagged = everyBag.filter((bag) => bag.batchId === batchId);
    return showUnpacked(bagActs.unpackedOf(this.openOrEnded(batchId), bagged), everyBag);
  }

  planBags(batchId: number, asked: wireBag.NewBags): wireBag.Bag[] {
    const batch = this.openOrEnded(batchId);
    const bagged = this.set.store.bags({ is: "batch", id: batchId });
    const plan = this.engine.present.next.bagPlan;
    this.engine.act((bench) =>
      bagActs.planBags(bench, batch, bagged, this.bagsAsked(asked), this.set.clock.utc()),
    );
    const planned = this.engine.present.bags.filter((bag) => bag.plan === plan);
    return planned.map(({ id }) => this.bag(id, null));
  }

  weighBag(bagId: number, asked: wireBag.BagWeighed): wireBag.Bag {
    const now = this.set.clock.utc();
    this.engine.act((bench) => {
      if ("scale" in asked)
        return takeForBag(bench, scaleOrFault(bench, asked.scale), bagId, asked.kind);
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
      return bagActs.weighBag(bench, bagId, weighing, now);
    });
    return this.bag(bagId, null);
  }

  editBagWeighing(bagId: number, weighing: number, asked: wireBag.BagWeighingEdit): wireBag.Bag {
    const edit = {
      gross: asked.grossGrams === undefined ? null : grams(asked.grossGrams),
      struck: asked.struck ?? false,
      reason: asked.reason,
    };
    this.engine.act((bench) => bagActs.editBagWeighing(bench, bagId, weighing, edit));
    return this.bag(bagId, null);
  }

  setFate(bagId: number, asked: wireBag.FateSet): wireBag.Bag {
    this.anyBag(bagId);
    this.engine.act((bench) =>
      bagActs.setFate(bench, bagId, asked.fate, asked.note ?? null, this.set.clock.utc()),
    );
    return this.bag(bagId, null);
  }

  chooseBag(scaleId: string, asked: wireBag.BagChoice): WireBench {
    const bagId = typeof asked.bag === "string" ? this.bagOfLabel(asked.bag) : asked.bag;
    this.engine.act((bench) =>
      chooseBag(bench, scaleOrFault(bench, scaleId), bagId, asked.kind ?? null),
    );
    return this.bench();
  }

  /** What a scanner reads from a label. A practice label is none of a real folder, and the other way round. */
  private bagOfLabel(scanned: string): number {
    const parts = /^(PRACTICE-)?(\d{1,9})-(\d{1,6})$/i.exec(scanned.trim());
    const isPractice = parts?.[1] !== undefined;
    const found =
      parts === null || isPractice !== this.engine.present.practice
        ? null
        : this.set.store.bagNamed(Number(parts[2]), Number(parts[3]));
    if (found === null)
      throw new Fault("bag.not-found", `"${scanned.trim()}" is not the label of a bag kept here`);
    return found;
  }

  /** Choosing a real scale ends practice: the real folder is opened, and the practice one left as it is. */
  async addScale(asked: ask.NewScale): Promise<WireBench> {
    refuseAddress(asked.uri);
    const real = this.set.leavePractice?.();
    if (real !== undefined) {
      await this.close();
      this.set = real;
      ({ engine: this.engine, scales: this.scales, backups: this.backups } = this.build());
      this.begin([]);
    }
    this.set.store.rememberScale(asked.uri);
    this.addReal(asked.uri);
    return this.bench();
  }

  private addReal(uri: string): void {
    const id = this.scales.add(uri, null);
    const chosen = this.set.store.chosenForm(uri);
    if (chosen !== null && isFormName(chosen.form)) this.scales.chooseForm(id, chosen);
  }

  async removeScale(scaleId: string): Promise<WireBench> {
    const scale = scaleOrFault(this.engine.present, scaleId);
    this.set.store.forgetScale(scale.uri);
    await this.scales.remove(scaleId);
    return this.bench();
  }

  chooseForm(scaleId: string, asked: ask.FormChoice): WireBench {
    const { uri } = scaleOrFault(this.engine.present, scaleId);
    const { form, unit = null, divisionGrams = null } = asked;
    if (!isFormName(form)) throw new Fault("input.invalid", `${form} is not a form of line`);
    if (unit !== null && !isScaleUnit(unit))
      throw new Fault("input.invalid", `${unit} is not a unit: g, kg, oz, lb or lb:oz`);
    const choice = {
      form,
      ...(unit === null ? {} : { unit }),
      ...(divisionGrams === null ? {} : { division: grams(divisionGrams) }),
    };
    this.set.store.chooseForm(uri, choice);
    this.scales.chooseForm(scaleId, choice);
    return this.bench();
  }

  async pressKey(scaleId: string, asked: ask.KeyPress): Promise<WireBench> {
    scaleOrFault(this.engine.present, scaleId);
    await this.scales.pressKey(scaleId, asked.what);
    return this.bench();
  }

  practice(asked: ask.PracticeAct): WireBench {
    if (this.set.hand === null)
      throw new Fault("practice.only", "there is no practice scale: a real one is in use");
    this.set.hand.runner.practice(asked);
    return this.bench();
  }
}

function refuseTwice(bags: readonly number[]): void {
  if (new Set(bags).size < bags.length)
    throw new Fault("input.invalid", "the food of one bag stands on two places of the plan");
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

/** Refuses an address that cannot name a scale, before anything is opened or kept. */
export function refuseAddress(uri: string): void {
  const address = readAddress(uri);
  if (isRefused(address)) throw new Fault("link.refused", address.why);
  if (address.place.is === "practice")
    throw new Fault("link.refused", "the practice scale comes by itself where there is no other");
}

const isScaleUnit = (text: string): text is ScaleUnit =>
  ["g", "kg", "oz", "lb", "lb:oz"].includes(text);

/** The step of a typed figure: its last decimal. */
function typedDivision(value: number, unit: MassUnit): number {
  const decimals = (String(value).split(".")[1] ?? "").length;
  return toGrams(10 ** -decimals, unit);
}
