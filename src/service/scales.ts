/** The scales at work: what each sends goes through its pan, and a load at rest to the bench. */
import { isoOf, type Clock } from "../clock.ts";
import { Fault } from "../faults.ts";
import { Busy } from "../port/busy.ts";
import { PagePort, type HandedOver } from "../port/page.ts";
import type { Port } from "../port/port.ts";
import { openScale, type Scale, type ScaleReport } from "../port/scale.ts";
import { isRefused, placeName, readAddress } from "../port/uri.ts";
import type { Form, FormChoice, ScaleKey } from "../reading/form.ts";
import type { Reading, ScaleUnit } from "../reading/reading.ts";
import { afterLinkLost, afterReading, afterSilence, emptyPan, type Pan } from "../settle/settle.ts";
import type { SettledWeight } from "../settle/settled.ts";
import { decimalsOf, fromGrams, poundsAndOunces, type MassUnit } from "../units/mass.ts";
import type { Grams } from "../units/quantity.ts";
import type { AskingSaid, Bench } from "./bench.ts";
import type { Engine } from "./engine.ts";
import { nextLoad, scaleOrFault, settleLoad } from "./loads.ts";
import { afterTareKey, noticeHidden, pourFor } from "./pour.ts";
import type { Shown } from "./service.ts";

const silenceEveryMs = 200;

type ScalesSetting = {
  readonly engine: Engine;
  readonly clock: Clock;
  readonly show: (message: Shown) => void;
  readonly log: (event: string, more: Record<string, unknown>) => void;
  readonly ownForms: readonly Form[];
  /** What the scale at a place is called, for good. */
  readonly nameOf: (place: string) => string;
};

export class Scales {
  private readonly open = new Map<string, Scale>();
  /** Those that a page reads and hands over. */
  private readonly pages = new Map<string, PagePort>();
  /** Pans moved on by the lines of the chunk at hand that the bench does not have yet. */
  private readonly moved = new Map<string, Pan>();
  private readonly timer: NodeJS.Timeout;
  private readonly busy: Busy;

  constructor(private readonly set: ScalesSetting) {
    this.busy = new Busy(silenceEveryMs, set.clock.mono());
    this.timer = setInterval(() => this.lookForSilence(), silenceEveryMs);
  }

  /** `port` stands in for the one that the address names: the practice scale. Answers the scale's id. */
  add(uri: string, port: Port | null): string {
    const id = port === null ? this.idFor(uri) : "practice";
    const sinceUtcMs = this.set.clock.utc();
    this.set.engine.counts.readings.set(id, 0);
    this.set.engine.pass({
      is: "scale-came",
      scale: {
        id,
        uri,
        practice: this.set.engine.present.practice,
        link: { link: "searching", sinceUtcMs, why: null, fix: null },
        form: null,
        unit: null,
        keys: [],
        canBeAsked: port === null && canBeAsked(uri, this.set.ownForms),
        asking: null,
        candidates: [],
        pan: emptyPan,
        load: null,
        chosen: null,
        hidden: null,
        checking: null,
        lastTaken: null,
        bag: null,
        lastTakenBag: null,
        prompt: null,
      },
    });
    const listener = {
      reading: (reading: Reading) => this.onReading(id, reading),
      read: () => this.putMoved(),
      link: (report: ScaleReport) => this.onLink(id, report),
    };
    const page = isOfPage(uri, this.set.ownForms) ? new PagePort(this.set.clock) : null;
    if (page !== null) this.pages.set(id, page);
    const own = port ?? page ?? undefined;
    this.open.set(id, openScale(uri, this.set.clock, listener, own, this.set.ownForms));
    return id;
  }

  /** Weighings and comparisons name a scale, so that its id stays its own. A full disk cannot give it one. */
  private idFor(uri: string): string {
    const address = readAddress(uri, this.set.ownForms);
    try {
      const id = this.set.nameOf(isRefused(address) ? uri : placeName(address.place));
      if (!this.open.has(id)) return id;
    } catch (thrown) {
      if (!(thrown instanceof Fault)) throw thrown;
    }
    return `unnamed-${this.open.size + 1}`;
  }

  async remove(scaleId: string): Promise<void> {
    await this.open.get(scaleId)?.close();
    this.open.delete(scaleId);
    this.pages.delete(scaleId);
    this.set.engine.pass({ is: "scale-went", scaleId });
  }

  chooseForm(scaleId: string, choice: FormChoice): void {
    this.open.get(scaleId)?.chooseForm(choice);
    this.set.engine.showBench();
  }

  knowDivision(scaleId: string, division: Grams): void {
    this.open.get(scaleId)?.knowDivision(division);
  }

  /** What a person said of asking this scale: nothing is ever sent to it without that. */
  sayAsking(scaleId: string, asking: AskingSaid): void {
    const { ask, everyMs } = asking;
    this.open.get(scaleId)?.askFor(ask === null ? null : { ask, everyMs });
    this.set.engine.pass({ is: "asking-said", scaleId, asking });
  }

  async pressKey(scaleId: string, key: ScaleKey): Promise<void> {
    await this.open.get(scaleId)?.press(key);
    this.set.log("key-pressed", { scale: scaleId, key });
  }

  /** Answers what the page is to write to its scale. */
  takeBytes(scaleId: string, handedOver: HandedOver): Uint8Array | null {
    const page = this.pages.get(scaleId);
    if (page === undefined)
      throw new Fault("scale.not-of-a-page", `${scaleId} is read by the service itself`);
    return page.take(handedOver);
  }

  async close(): Promise<void> {
    clearInterval(this.timer);
    await Promise.all([...this.open.values()].map((scale) => scale.close()));
    this.open.clear();
  }

  /** Loads that the store refused and that still lie on their scales are tried again. */
  takeWaiting(): void {
    for (const { id, load } of this.set.engine.present.scales)
      if (load?.became === "waiting") this.take(id, load);
  }

  private find(scaleId: string) {
    return this.set.engine.present.scales.find((one) => one.id === scaleId);
  }

  /**
   * Every line goes through its pan. One chunk may bring many: what lies on the pan after the last of them is put on
   * the bench and told once, unless one of them says more than the weight.
   */
  private onReading(scaleId: string, reading: Reading): void {
    const before = this.moved.get(scaleId) ?? this.find(scaleId)?.pan;
    if (before === undefined) return;
    const { readings } = this.set.engine.counts;
    readings.set(scaleId, (readings.get(scaleId) ?? 0) + 1);
    const { pan, events } = afterReading(before, reading);
    this.moved.set(scaleId, pan);
    if (events.length === 0 && pan.zeroSeen === before.zeroSeen) return;
    // What happened is told before the weight: a page that hears of rest has heard what the load was taken for.
    const moved = this.passMoved();
    for (const id of moved) this.lookForTareKey(id);
    for (const event of events) {
      if (event.is === "settled") this.onSettled(scaleId, event.weight);
      else this.onLifted(scaleId);
    }
    for (const id of moved) this.showReading(id);
  }

  /** Answers the scales whose pans were put on the bench. */
  private passMoved(): readonly string[] {
    const moved = [...this.moved];
    this.moved.clear();
    for (const [scaleId, pan] of moved) this.passPan(scaleId, pan);
    return moved.map(([scaleId]) => scaleId);
  }

  private putMoved(): void {
    if (this.moved.size === 0) return;
    const moved = this.passMoved();
    for (const id of moved) this.showReading(id);
    for (const id of moved) this.lookForTareKey(id);
  }

  private lookForTareKey(scaleId: string): void {
    const { present } = this.set.engine;
    const scale = this.find(scaleId);
    if (scale === undefined) return;
    const pour = pourFor(scale, nextLoad(present, scale, this.set.clock.utc()));
    const hidden = noticeHidden(scale, pour, trayOf(present, scale.lastTaken));
    if (hidden !== scale.hidden) this.set.engine.pass({ is: "hidden-noticed", scaleId, hidden });
    if (afterTareKey(present, scale).length > 0) this.putRight(scaleId);
  }

  private putRight(scaleId: string): void {
    try {
      this.set.engine.act((bench) => afterTareKey(bench, scaleOrFault(bench, scaleId)));
    } catch (thrown) {
      // Refused by the store, which the page says by itself; the next reading tries again.
      if (!(thrown instanceof Fault)) throw thrown;
    }
  }

  /** Every reading changes a pan; only whether its zero is to be trusted is told beyond the reading. */
  private passPan(scaleId: string, pan: Pan): void {
    const before = this.find(scaleId)?.pan;
    if (before === undefined) return;
    const telling = pan.zeroSeen === before.zeroSeen ? "silent" : "tell";
    this.set.engine.pass({ is: "pan-changed", scaleId, pan }, telling);
  }

  private showReading(scaleId: string): void {
    const scale = this.find(scaleId);
    if (scale === undefined) return;
    const { pan } = scale;
    this.set.show({
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
    this.set.show({
      type: "settled",
      at: isoOf(weight.atUtcMs),
      scale: scaleId,
      grams: weight.mass,
      division: weight.division,
      zeroSeen: weight.zeroSeen,
    });
    this.set.engine.tellRest(weight.mass);
    this.take(scaleId, { id: this.set.engine.present.next.load, weight });
  }

  /** Takes a load, or keeps it waiting on the pan until the store can keep it. */
  private take(
    scaleId: string,
    load: { readonly id: number; readonly weight: SettledWeight },
  ): void {
    try {
      this.set.engine.act((bench) => settleLoad(bench, scaleOrFault(bench, scaleId), load));
    } catch (thrown) {
      if (!(thrown instanceof Fault)) throw thrown;
      const waiting = { ...load, became: "waiting", weighing: null, question: null } as const;
      this.set.engine.pass({ is: "load-changed", scaleId, load: waiting });
    }
  }

  private onLifted(scaleId: string): void {
    this.set.show({ type: "lifted", at: isoOf(this.set.clock.utc()), scale: scaleId });
    if ((this.find(scaleId)?.load ?? null) !== null)
      this.set.engine.pass({ is: "load-changed", scaleId, load: null });
  }

  private onLink(scaleId: string, report: ScaleReport): void {
    this.putMoved();
    const scale = this.find(scaleId);
    if (scale === undefined) return;
    const why = report.why ?? report.question;
    if (report.link === "searching" || report.link === "denied") {
      this.set.engine.pass({ is: "pan-changed", scaleId, pan: afterLinkLost(scale.pan) }, "silent");
      this.showReading(scaleId);
    }
    this.set.log("link", { scale: scaleId, link: report.link, form: report.form, why });
    this.set.show({
      type: "link",
      at: isoOf(this.set.clock.utc()),
      scale: scaleId,
      link: report.link,
      form: report.form,
      unit: report.unit,
      why,
    });
    this.set.engine.pass({
      is: "link-changed",
      scaleId,
      link: { link: report.link, sinceUtcMs: report.sinceUtcMs, why, fix: report.fix },
      form: report.form,
      unit: report.unit,
      keys: report.keys,
      candidates: report.candidates.map((one) => ({
        form: one.form,
        title: one.title,
        unit: one.unit,
        divisionGrams: one.division,
        example: one.raw,
        reads: readsAs(one.reading, one.unit),
      })),
    });
  }

  private lookForSilence(): void {
    this.putMoved();
    const mono = this.set.clock.mono();
    if (this.busy.look(mono)) return;
    for (const { id, pan } of this.set.engine.present.scales) {
      const after = afterSilence(pan, mono);
      if (after === pan) continue;
      this.passPan(id, after);
      if (after.state !== pan.state) this.showReading(id);
    }
  }
}

/** Only what has a line of its own, and whose address does not say what to send. */
function canBeAsked(uri: string, own: readonly Form[]): boolean {
  const address = readAddress(uri, own);
  if (isRefused(address) || address.ask !== null) return false;
  return address.place.is === "serial" || address.place.is === "tcp";
}

function isOfPage(uri: string, own: readonly Form[]): boolean {
  const address = readAddress(uri, own);
  return !isRefused(address) && address.place.is === "page";
}

function trayOf({ batches }: Bench, weighing: number | null): number | null {
  if (weighing === null) return null;
  for (const batch of batches) {
    const found = batch.weighings.find(({ id }) => id === weighing);
    if (found !== undefined) return found.trayId;
  }
  return null;
}

/** What a line of the scale would mean, in the figures of its display, for a person who compares the two. */
function readsAs(reading: Reading, shownIn: ScaleUnit | null): string {
  switch (reading.is) {
    case "weight": {
      const unit = shownIn ?? reading.unit;
      return unit === "lb:oz" ? inPounds(reading) : inUnit(reading, unit);
    }
    case "over":
      return "overload";
    case "under":
      return "under range";
    case "unreadable":
      return reading.why;
  }
}

type Weight = Extract<Reading, { readonly is: "weight" }>;

const inUnit = ({ mass, division }: Weight, unit: MassUnit): string =>
  `${fromGrams(mass, unit).toFixed(decimalsOf(fromGrams(division, unit)))} ${unit}`;

function inPounds({ mass, division }: Weight): string {
  const decimals = decimalsOf(fromGrams(division, "oz"));
  const { negative, pounds, ounces } = poundsAndOunces(mass, decimals);
  return `${negative ? "-" : ""}${pounds} lb ${ounces.toFixed(decimals)} oz`;
}
