/** The bench at work and the folder behind it: what the desks of the service share. */
import type { Clock } from "../clock.ts";
import { Fault } from "../faults.ts";
import type { Port } from "../port/port.ts";
import { isRefused, isSamePlace, readAddress } from "../port/uri.ts";
import type { Bag } from "../bag/bag.ts";
import type { Form } from "../reading/form.ts";
import { isFormName } from "../reading/forms.ts";
import type { Batch as WireBatch } from "../wire/batch.ts";
import type { Bench as WireBench } from "../wire/bench.ts";
import type { Batch, ScaleOnBench } from "./bench.ts";
import { Backups, keepCopiesInThread, type BackupPlan } from "./backups.ts";
import { Engine, type EngineSetting } from "./engine.ts";
import type { FoodShelf, Own } from "./foods.ts";
import { numberScanned } from "../label/scan.ts";
import { labelsInThread, type Labels } from "./labels.ts";
import type { PracticeRunner } from "./practice.ts";
import { Scales } from "./scales.ts";
import type { Service, Shown } from "./service.ts";
import { showBatch } from "./showbatch.ts";
import { ownOf } from "./showkitchen.ts";
import { judgeAfresh } from "./step.ts";

export type RunSetting = Omit<EngineSetting, "hand" | "backup"> & {
  /** null: nothing is copied by the clock. */
  readonly backups: BackupPlan | null;
  readonly foods: FoodShelf;
  /** The lasting name under which the page is opened, for the codes on labels; null: there is none. */
  readonly labelOrigin: string | null;
  /** Forms of line from the settings file. */
  readonly ownForms: readonly Form[];
  /** Present only when the practice scale and dryer are at work. */
  readonly hand: { readonly runner: PracticeRunner; readonly port: Port } | null;
  /** Opens the real folder; only where this one is the built-in practice. */
  readonly leavePractice: (() => RunSetting) | null;
};

/** `service`: what others ask of it, desk by desk. */
export class Work {
  readonly service: Service;
  private readonly listeners = new Set<(message: Shown) => void>();

  engine: Engine;
  scales: Scales;
  backups: Backups | null;
  readonly labels: Labels = labelsInThread();

  constructor(
    public set: RunSetting,
    desks: (work: Work) => Service,
  ) {
    ({ engine: this.engine, scales: this.scales, backups: this.backups } = this.build(set));
    this.service = desks(this);
  }

  /** Throws the store's Faults, and has then closed nothing. */
  private build(set: RunSetting): Pick<Work, "engine" | "scales" | "backups"> {
    const { hand, clock, log, store, ownForms } = set;
    let engine: Engine | null = null;
    let backups: Backups | null = null;
    // An engine that is only being made, or whose folder was left, shows nothing.
    const isThere = (): boolean =>
      engine !== null && engine === this.engine && this.listeners.size > 0;
    const show = (message: Shown): void => {
      if (isThere()) for (const listener of this.listeners) listener(message);
    };
    engine = new Engine(
      {
        ...set,
        hand: hand === null ? null : () => hand.runner.state(),
        backup: () => backups?.state() ?? null,
      },
      { isThere, show },
    );
    backups = this.backupsOf(set, () => engine.showBench());
    const nameOf = (place: string): string => store.nameOfScale(place);
    return {
      engine,
      scales: new Scales({ engine, clock, show, log, ownForms, nameOf }),
      backups,
    };
  }

  /** Practice is worth no copy. */
  private backupsOf(set: RunSetting, changed: () => void): Backups | null {
    const { backups, store, clock, practice, log } = set;
    if (backups === null || practice !== null) return null;
    return new Backups({
      ...backups,
      dataFolder: store.folder,
      now: () => clock.utc(),
      isWorthIt: () => store.hasRealWeighings(),
      keepCopies: keepCopiesInThread,
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
    for (const uri of uris) {
      const there = this.scaleAt(uri);
      if (there === null) this.addReal(uri);
      else this.set.log("scale-named-twice", { uri, there: there.uri });
    }
    this.engine.begin(() => this.scales.takeWaiting());
    this.backups?.begin();
    if (this.set.hand === null) return;
    this.scales.add("practice:", this.set.hand.port);
    this.set.hand.runner.begin(this.service);
  }

  async close(): Promise<void> {
    await this.labels.close();
    await this.closeFolder();
  }

  private async closeFolder(): Promise<void> {
    this.set.hand?.runner.stop();
    await this.backups?.close();
    await this.scales.close();
    await this.engine.close();
  }

  onShow(listener: (message: Shown) => void): () => void {
    this.listeners.add(listener);
    return () => this.listeners.delete(listener);
  }

  // What others look at.

  openOrEnded(batchId: number): Batch {
    const open = this.engine.present.batches.find((batch) => batch.id === batchId);
    if (open !== undefined) return open;
    const kept = this.set.store.loadBatch(batchId);
    if (kept === null) throw new Fault("batch.not-found", `no batch has the number ${batchId}`);
    const alone = { ...this.engine.present, batches: [kept] };
    return judgeAfresh(alone, this.engine.now()).batches[0] ?? kept;
  }

  shownBatch(batchId: number): WireBatch {
    return showBatch(this.openOrEnded(batchId), this.engine.now());
  }

  bench(): WireBench {
    return this.engine.shown();
  }

  own(): Own {
    return ownOf(this.engine.present);
  }

  batchOfWeighing(weighing: number): WireBatch {
    const batch = this.engine.present.batches.find((one) =>
      one.weighings.some((row) => row.id === weighing),
    );
    return this.shownBatch(batch?.id ?? 0);
  }

  /** The batch that a weighing is of, if that has ended. */
  endedWith(weighing: number): Batch | null {
    const { store } = this.set;
    const id = store.batchOfWeighing(weighing);
    const isOpen = this.engine.present.batches.some((batch) => batch.id === id);
    return id === null || isOpen ? null : store.loadBatch(id);
  }

  // Bags.

  anyBag(bagId: number): Bag {
    const inHand = this.engine.present.bags.find((bag) => bag.id === bagId);
    const [kept] = inHand === undefined ? this.set.store.bags({ is: "bag", id: bagId }) : [inHand];
    if (kept === undefined) throw new Fault("bag.not-found", `no bag has the number ${bagId}`);
    return kept;
  }

  /** What a scanner reads from a label. A practice label is none of a real folder, and the other way round. */
  bagOfLabel(scanned: string): number {
    const parts = /^(PRACTICE-)?(\d+)-(\d+)$/i.exec(numberScanned(scanned) ?? "");
    const isPractice = parts?.[1] !== undefined;
    const found =
      parts === null || isPractice !== this.engine.present.practice
        ? null
        : this.set.store.bagNamed(Number(parts[2]), Number(parts[3]));
    if (found === null)
      throw new Fault("bag.not-found", `"${scanned.trim()}" is not the label of a bag kept here`);
    return found;
  }

  /** The scale that an address names, if it is set up: read twice, each load of it would be taken twice. */
  scaleAt(uri: string): ScaleOnBench | null {
    const own = this.set.ownForms;
    const asked = readAddress(uri, own);
    if (isRefused(asked)) return null;
    return (
      this.engine.present.scales.find((scale) => {
        const there = readAddress(scale.uri, own);
        return !isRefused(there) && isSamePlace(there.place, asked.place);
      }) ?? null
    );
  }

  addReal(uri: string): void {
    const id = this.scales.add(uri, null);
    const division = this.set.store.divisionOf(id);
    if (division !== null) this.scales.knowDivision(id, division);
    const chosen = this.set.store.chosenForm(uri);
    if (chosen !== null && isFormName(chosen.form, this.set.ownForms))
      this.scales.chooseForm(id, chosen);
    const asking = this.set.store.askingSaid(uri);
    if (asking !== null) this.scales.sayAsking(id, asking);
  }

  /** A real scale was chosen: the real folder is opened, and the practice one left as it is. */
  async leavePractice(): Promise<void> {
    const real = this.set.leavePractice?.();
    if (real === undefined) return;
    const next = this.buildOrClose(real);
    await this.closeFolder();
    this.set = real;
    ({ engine: this.engine, scales: this.scales, backups: this.backups } = next);
    this.begin([]);
  }

  private buildOrClose(set: RunSetting): ReturnType<Work["build"]> {
    try {
      return this.build(set);
    } catch (thrown) {
      set.store.close();
      throw thrown;
    }
  }
}
