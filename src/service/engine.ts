/**
 * The bench at work: steps, keeps, counts as done, tells. The order is fixed: a step's facts are on disk before its
 * bench counts and before anybody is told of them.
 */
import { isoOf, type Clock } from "../clock.ts";
import { Fault, isFault } from "../faults.ts";
import type { Store } from "../store/store.ts";
import { fraction, utcMs, type MonoMs, type UtcMs } from "../units/quantity.ts";
import type { Bench as WireBench } from "../wire/bench.ts";
import { jumpSince, jumpWorthSayingMs, type ClockJump } from "../tray/clockdoubt.ts";
import { apply } from "./apply.ts";
import type { Alive, Batch, Bench, Change, Channel, Fact, Passing, Settings } from "./bench.ts";
import { batchClockAt, lastTraceOf } from "./look.ts";
import type { Counts } from "./measures.ts";
import { Outgoing } from "./outgoing.ts";
import { seriesOf } from "./repeats.ts";
import type { Shown } from "./service.ts";
import { showAlert, showBench, type Surroundings } from "./show.ts";
import { showBatch, weighingsShown } from "./showbatch.ts";
import { isFact, judgeAfresh, owedBy, step, tick, type Now, type Step } from "./step.ts";

const defaultSettings: Settings = {
  limit: fraction(0.01),
  displayUnit: "g",
  webhook: null,
  mqtt: null,
  outTooLongMinutes: 30,
  sound: true,
  learning: true,
};

const dueEveryMs = 1000;
const aliveEveryMs = 10_000;
const askDiskEveryMs = 5000;
const recordAgainEveryMs = 5000;
/** A service that begins so soon after the computer was switched on was started with it. */
const justSwitchedOnMs = 15 * 60_000;
/** A stop shorter than this leaves no question: so few minutes prove nothing either way. */
const gapWorthAskingMs = 120_000;

export type EngineSetting = {
  readonly clock: Clock;
  readonly store: Store;
  readonly program: string;
  /** Why everything here is practice; null for real work. */
  readonly practice: string | null;
  /** What the practice hand is doing; null where there is none. With it, hands keep the pace of the clock. */
  readonly hand: (() => WireBench["practiceHand"]) | null;
  readonly backup: () => WireBench["backup"];
  readonly log: (event: string, more: Record<string, unknown>) => void;
};

export class Engine {
  readonly counts: Counts = { readings: new Map(), weighings: 0, alerts: 0 };
  private bench: Bench;
  private readonly timers: NodeJS.Timeout[] = [];
  private jumps: readonly ClockJump[];
  private notRecordingWhy: string | null = null;
  private lastRefusedMono = 0;
  private tickedMono: MonoMs;
  /** Since when the program stood still, which is still to be asked about. */
  private stoodFrom: UtcMs | null = null;
  /** When the program was away, as long as the store has not kept that it is to be asked about. */
  private away: readonly Away[] = [];
  /** What was known of the clocks when the computer was switched on, until a person or a scale did something. */
  private switchedOn: SwitchedOn | null = null;
  /** When the newest of all that is kept was kept, by the program's clock. */
  private newestAt: UtcMs;
  private askedDiskMono = Number.NEGATIVE_INFINITY;
  private readonly outgoing: Outgoing;
  /** Under which key the change that is being made was asked for. */
  private askedUnder: string | null = null;

  constructor(
    private readonly set: EngineSetting,
    private readonly audience: {
      readonly isThere: () => boolean;
      readonly show: (message: Shown) => void;
    },
  ) {
    this.tickedMono = set.clock.mono();
    const kept = set.store.load();
    this.jumps = set.store.clockJumps();
    this.newestAt = set.store.newestAt() ?? utcMs(0);
    this.outgoing = new Outgoing({
      clock: set.clock,
      program: set.program,
      practice: set.practice !== null,
      settings: () => this.bench.settings,
      owed: (channel) => owedBy(this.bench, channel, this.now()),
      // Nobody did anything by that: it does not settle how the computer was switched on.
      keep: (id, channel, at) =>
        this.keep(step(this.bench, () => [{ is: "alert-sent", id, channel, at }], this.now())),
      changed: () => this.showBench(),
      log: set.log,
    });
    this.bench = judgeAfresh(
      {
        next: { ...kept.next, load: 1 },
        batches: kept.batches,
        bags: kept.bags,
        lessons: kept.lessons,
        kitchen: kept.kitchen,
        series: kept.weighedAgain.flatMap(seriesOf),
        emptyTrays: kept.emptyTrays,
        scales: [],
        comparing: null,
        alerts: kept.alerts,
        alertKeys: new Map(kept.alertKeys),
        settings: kept.settings ?? defaultSettings,
        practice: set.practice !== null,
      },
      this.now(),
    );
    this.noteWaking(kept.lastAlive);
    if (kept.lastAlive !== null) this.noteAway(kept.lastAlive.at);
    this.lookAtClock();
  }

  get present(): Bench {
    return this.bench;
  }

  /** Asks the disk, but not more often than every few seconds: asking writes. */
  recording(): { readonly recording: boolean; readonly why: string | null } {
    const mono = this.set.clock.mono();
    if (this.notRecordingWhy === null && mono - this.askedDiskMono > askDiskEveryMs) {
      this.askedDiskMono = mono;
      this.setRecording(this.set.store.canRecord().why);
    }
    const why = this.notRecordingWhy;
    return { recording: why === null, why };
  }

  /** Starts the ticks of the clock. `onDue` is called once a second while the store records. */
  begin(onDue: () => void): void {
    const aliveMs = this.set.clock.timeFactor === 1 ? aliveEveryMs : aliveEveryMs / 10;
    const due = (): void => {
      if (this.isDue()) {
        onDue();
        this.outgoing.keepSent();
      }
      this.outgoing.sendDue();
    };
    this.timers.push(setInterval(due, dueEveryMs));
    this.timers.push(setInterval(() => this.sayAlive(), aliveMs));
    this.sayAlive();
    this.outgoing.use();
  }

  async close(): Promise<void> {
    for (const timer of this.timers) clearInterval(timer);
    await this.outgoing.close();
    this.sayAlive();
    this.set.store.close();
  }

  /** Sends alerts to where the settings now say. */
  useReceivers(): void {
    this.outgoing.use();
  }

  /** A weight that came to rest, for those who listen elsewhere. */
  tellRest(grams: number): void {
    this.outgoing.tellRest(grams);
  }

  now(): Now {
    const { clock, hand } = this.set;
    const timeFactor = hand === null ? clock.timeFactor : 1;
    return { at: clock.utc(), timeFactor, jumps: this.jumps };
  }

  /** Steps, keeps, counts as done, tells. A refusal of the store leaves the bench as it was. */
  act(what: (bench: Bench) => readonly Change[]): void {
    this.lookAtClock();
    this.settleSwitchedOn();
    this.keep(step(this.bench, what, this.now()), this.askedUnder);
  }

  /** What `work` does at once is kept together with the key under which it was asked for. */
  under(key: string, work: () => void): void {
    this.askedUnder = key;
    try {
      work();
    } finally {
      this.askedUnder = null;
    }
  }

  /** What is true only while the program runs: nothing to keep, and only sometimes worth telling. */
  pass(change: Passing, telling: "tell" | "silent" = "tell"): void {
    this.bench = apply(this.bench, change);
    if (telling === "tell") this.showBench();
  }

  /** What is learned of the weighings of ended batches, after one of them was put right. */
  learnAnew(): void {
    const { weighedAgain, emptyTrays } = this.set.store.ofEnded();
    this.pass({ is: "learned-anew", series: weighedAgain.flatMap(seriesOf), emptyTrays }, "silent");
  }

  /** `key`: of the change that was asked for; null: what the program found by itself, such as a jump of the clock. */
  private keep(done: Step, key: string | null = null): void {
    const facts = done.changes.filter(isFact);
    if (facts.length > 0) this.record(facts, key);
    const before = this.bench;
    this.bench = done.bench;
    if (done.changes.length > 0) this.tell(done.changes, before);
  }

  private record(facts: readonly Fact[], key: string | null): void {
    try {
      this.set.store.record(facts, key === null ? null : { key, at: this.set.clock.utc() });
      this.newestAt = this.set.clock.utc();
      this.setRecording(null);
    } catch (thrown) {
      if (isFault(thrown) && thrown.code.startsWith("store.")) {
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

  private tell(changes: readonly Change[], before: Bench): void {
    const at = this.set.clock.utc();
    for (const change of changes) {
      if (change.is === "weighing-taken") {
        this.counts.weighings++;
        this.tellWeighing(change.weighing.batchId, change.weighing.id, at);
      }
      if (change.is === "alert-raised") {
        this.counts.alerts++;
        this.audience.show({ type: "alert", at: isoOf(at), alert: showAlert(change.alert) });
      }
    }
    if (changes.some(({ is }) => is === "alert-raised")) this.outgoing.sendNow();
    for (const batch of judgedSince(before, this.bench)) this.tellVerdict(batch, at);
    this.showBench();
  }

  private tellWeighing(batchId: number, weighingId: number, at: UtcMs): void {
    const batch = this.bench.batches.find((one) => one.id === batchId);
    const weighing = batch?.weighings.find((one) => one.id === weighingId);
    if (batch === undefined || weighing === undefined) return;
    const name = batch.trays.find((tray) => tray.id === weighing.trayId)?.name ?? "";
    const shown = weighingsShown(batch, this.now())(weighing);
    this.audience.show({ type: "weighing", at: isoOf(at), weighing: shown, name });
  }

  private tellVerdict(batch: Batch, at: UtcMs): void {
    const shown = showBatch(batch, this.now());
    // A retained word of the batch before would else be taken for this one's.
    this.outgoing.tellVerdict(shown.verdict, batch.id);
    if (shown.verdict === null) return;
    this.audience.show({
      type: "verdict",
      at: isoOf(at),
      batch: batch.id,
      verdict: shown.verdict,
      moreHours: shown.moreHours,
      behind: shown.behind,
      trays: shown.trays.flatMap(({ id, verdict }) =>
        verdict === null ? [] : [{ tray: id, verdict: verdict.verdict }],
      ),
    });
  }

  showBench(): void {
    if (!this.audience.isThere()) return;
    this.audience.show({ type: "bench", at: isoOf(this.set.clock.utc()), bench: this.shown() });
  }

  /** A computer whose clock stands before its last sign of life was off, for nobody knows how long. */
  private noteWaking(lastAlive: Alive | null): void {
    const { clock, practice } = this.set;
    if (lastAlive === null || practice !== null) return;
    this.switchedOn = {
      at: clock.utc(),
      awayBeforeMs: lastAlive.systemAt - lastAlive.at,
      isInPast: lastAlive.systemAt - clock.system() >= jumpWorthSayingMs,
    };
    if (clock.upAtStartMs > justSwitchedOnMs) this.settleSwitchedOn();
  }

  /** From now on rows are kept by a clock that does not know for how long the computer was off. */
  private settleSwitchedOn(): void {
    if (this.switchedOn?.isInPast === true) {
      const { clock } = this.set;
      const awayMs = Math.round(clock.awayMs());
      this.keepJump({ at: clock.utc(), awayMs, offUnknown: true });
    }
    this.switchedOn = null;
  }

  /**
   * Takes the computer's time over where that changes no hours: before any batch has begun to dry, and never to a time
   * before what is kept. And where it is only now known for how long the computer was off, as on a board without a
   * battery that hears of the time minutes after its start: as long as nothing was kept since, that is as if it had been
   * known at the start, and the hours are asked about.
   */
  private goByComputer(): void {
    const { clock } = this.set;
    const awayMs = Math.round(clock.awayMs());
    if (Math.abs(awayMs) < jumpWorthSayingMs) return;
    const at = clock.utc();
    if (this.bench.batches.every((batch) => batchClockAt(batch, at).is === "waiting")) {
      if (at + awayMs < this.newestAt) return;
      clock.moveBy(awayMs);
      this.switchedOn = null;
      return;
    }
    if (this.switchedOn === null) return;
    const { at: from, awayBeforeMs } = this.switchedOn;
    const offMs = awayMs - awayBeforeMs;
    if (offMs < gapWorthAskingMs) return;
    this.switchedOn = null;
    clock.moveBy(offMs);
    this.noteAway(from, utcMs(from + offMs));
    this.askAboutAway();
  }

  /** Looks whether the computer slept, and whether its clock has moved. */
  private lookAtClock(): void {
    const { clock, practice } = this.set;
    const before = clock.utc();
    const hasSlept = clock.wake() > 0;
    const { stoodFrom } = this;
    this.stoodFrom = null;
    // Held and asleep in one is one absence, and is asked about once.
    if (hasSlept || stoodFrom !== null) this.noteAway(stoodFrom ?? before);
    this.askAboutAway();
    if (practice !== null) return;
    this.goByComputer();
    const jump = jumpSince(this.jumps, { at: clock.utc(), awayMs: clock.awayMs() });
    if (jump === null) return;
    this.keepJump(jump);
    this.showBench();
  }

  /**
   * The clocks of Windows and macOS go on while the computer sleeps, and those of Linux while the program alone is held:
   * a tick that comes late then tells of it. Sources: libuv's uv_hrtime (QueryPerformanceCounter, mach_continuous_time).
   */
  private noteStandstill(): void {
    const { clock, practice } = this.set;
    const mono = clock.mono();
    const stoodMs = mono - this.tickedMono;
    this.tickedMono = mono;
    if (practice === null && stoodMs >= gapWorthAskingMs)
      this.stoodFrom ??= utcMs(clock.utc() - stoodMs);
  }

  private keepJump(jump: ClockJump): void {
    this.set.store.noteJump(jump);
    this.jumps = [...this.jumps, jump];
    this.set.log("clock-jump", { awayMs: jump.awayMs, offUnknown: jump.offUnknown });
  }

  /** What has become due by itself; false while the store refuses to keep anything. */
  private isDue(): boolean {
    this.noteStandstill();
    if (this.notRecordingWhy !== null && !this.recordsAgain()) return false;
    try {
      this.lookAtClock();
      this.keep(tick(this.bench, this.now()));
      return true;
    } catch (thrown) {
      if (!(thrown instanceof Fault)) throw thrown;
      return false;
    }
  }

  private recordsAgain(): boolean {
    if (this.set.clock.mono() - this.lastRefusedMono < recordAgainEveryMs) return false;
    const { why } = this.set.store.canRecord();
    if (why !== null) this.lastRefusedMono = this.set.clock.mono();
    this.setRecording(why);
    return why === null;
  }

  private sayAlive(): void {
    try {
      const { clock, store } = this.set;
      const at = clock.utc();
      const { isInPast, awayBeforeMs } = this.switchedOn ?? { isInPast: false, awayBeforeMs: 0 };
      // While the computer is in the past, the next start is to hear what its clock would say had it gone on.
      const systemAt = isInPast ? Math.max(clock.system(), at + awayBeforeMs) : clock.system();
      store.alive({ at, systemAt: utcMs(systemAt) });
    } catch (thrown) {
      if (!(thrown instanceof Fault)) throw thrown;
      this.lastRefusedMono = this.set.clock.mono();
      this.setRecording(thrown.message);
    }
  }

  private noteAway(from: UtcMs, to = this.set.clock.utc()): void {
    this.away = [...this.away, { from, to }];
  }

  /** Asks whether the dryer ran on while the program was away and trays were in; a store that refuses is asked again. */
  private askAboutAway(): void {
    for (let [next] = this.away; next !== undefined; [next] = this.away) {
      const { from: lastAliveAt, to } = next;
      const gaps = this.bench.batches.flatMap((batch) => {
        const from = lastTraceOf(batch, lastAliveAt);
        if (to - from < gapWorthAskingMs || batchClockAt(batch, from).is !== "in") return [];
        return [{ batchId: batch.id, from, to, dryerRan: null }];
      });
      const found = ({ next: ids }: Bench): readonly Change[] =>
        gaps.map((gap, index) => ({ is: "gap-found", gap: { id: ids.gap + index, ...gap } }));
      if (gaps.length > 0) this.keep(step(this.bench, found, this.now()));
      this.away = this.away.slice(1);
    }
  }

  /** The present in the shapes of the page. */
  shown(): WireBench {
    return showBench(this.bench, this.around(), this.now());
  }

  private around(): Surroundings {
    const { clock, practice, program, store, hand } = this.set;
    const away = clock.awayMs();
    return {
      program,
      practice,
      timeFactor: clock.timeFactor,
      dataFolder: store.folder,
      recording: this.notRecordingWhy === null,
      notRecordingWhy: this.notRecordingWhy,
      clockJump:
        Math.abs(away) < jumpWorthSayingMs
          ? null
          : `The computer's clock is ${roughly(Math.abs(away))} ${away > 0 ? "ahead of" : "behind"} the program's. Drying hours go by the program's; times of day may be wrong. See that the computer's is right: with no batch open the program goes by it, once it has passed all that is kept`,
      sending: this.outgoing.shown(),
      backup: this.set.backup(),
      practiceHand: hand?.() ?? null,
    };
  }

  /** Resolves to null, or why it failed. */
  tryAlert(channel: Channel): Promise<string | null> {
    return this.outgoing.tryAlert(channel);
  }
}

/** From the last sign of life to the next. */
type Away = { readonly from: UtcMs; readonly to: UtcMs };

type SwitchedOn = {
  /** The program's clock at its start. */
  readonly at: UtcMs;
  /** How far the computer's clock was away from the program's before the computer was off. */
  readonly awayBeforeMs: number;
  readonly isInPast: boolean;
};

/** A duration in its largest unit of which there are two and more. */
function roughly(ms: number): string {
  const units = [
    ["d", 24 * 3_600_000],
    ["h", 3_600_000],
    ["min", 60_000],
  ] as const;
  const [unit, size] = units.find(([, size]) => ms >= 2 * size) ?? (["s", 1000] as const);
  return `${Math.round(ms / size)} ${unit}`;
}

/** Batches of which another verdict holds than before, or none any more, whatever the cause. */
const judgedSince = (before: Bench, { batches }: Bench): readonly Batch[] =>
  batches.filter((batch) => {
    const earlier = before.batches.find(({ id }) => id === batch.id);
    return batch.judged !== (earlier?.judged ?? null);
  });
