/**
 * Practice: the hand works the practice scale and the practice dryer through the same service that a person
 * uses. In: the service's bench, four times a second. Out: loads on the practice scale and the service's calls.
 */
import type { Clock } from "../clock.ts";
import { Fault } from "../faults.ts";
import type { PracticePort } from "../port/practice.ts";
import { seeded } from "../practice/chance.ts";
import { loadAt } from "../practice/dryer.ts";
import { grossFor } from "../practice/packer.ts";
import { afterAct, idleHand, nextMove, trueNet, type Act, type Hand } from "../practice/hand.ts";
import { grams, plus, utcMs, type Grams, type UtcMs } from "../units/quantity.ts";
import type { Batch } from "../wire/batch.ts";
import type { Bench } from "../wire/bench.ts";
import type { PracticeAct } from "../wire/requests.ts";
import type { Service } from "./service.ts";

/**
 * How fast practice goes while the trays are in: a day of drying in two and a half minutes, short enough to watch
 * and long enough to see each round begin.
 */
const practiceTimeFactor = 600;
/**
 * While the trays are out, hands and the scale keep their real pace; at this factor four trays are weighed in
 * about the quarter of an hour that a person would take.
 */
const handsOnTimeFactor = 30;

const lookEveryMs = 250;

export type PracticeClock = Clock & {
  /** Changes the pace from now on; what the clock has shown so far stays. */
  setFactor(factor: number): void;
};

/** A clock for practice alone: it never stands and never goes back, but it changes pace. */
export function practiceClock(real: Clock): PracticeClock {
  let factor = handsOnTimeFactor;
  let sinceMono = real.mono();
  let sinceUtc = real.utc();
  const utc = (): UtcMs => utcMs(Math.round(sinceUtc + (real.mono() - sinceMono) * factor));
  const goOnFrom = (moment: UtcMs): void => {
    sinceUtc = moment;
    sinceMono = real.mono();
  };
  return {
    get timeFactor() {
      return factor;
    },
    mono: () => real.mono(),
    utc,
    system: () => real.system(),
    // Practice goes on where it stopped: a night between two tries is no time out of the dryer.
    carryOnFrom: ({ at }) => {
      if (at > utc()) goOnFrom(at);
    },
    // The computer's time is no matter of practice.
    moveBy: () => undefined,
    upAtStartMs: real.upAtStartMs,
    awayMs: () => real.awayMs(),
    // A night in which the computer slept is no time out of the dryer either.
    wake: () => 0,
    setFactor: (changed) => {
      goOnFrom(utc());
      factor = changed;
    },
  };
}

/** What the practice hand may ask of the service. */
export type HandsOn = Pick<
  Service,
  | "bench"
  | "bag"
  | "startBatch"
  | "setClock"
  | "checkCore"
  | "answerLoad"
  | "answerGap"
  | "acknowledge"
  | "endBatch"
  | "planBags"
  | "chooseBag"
>;

type PracticeSetting = {
  readonly port: PracticePort;
  readonly clock: PracticeClock;
  readonly seed: number;
  /** Batches that the hand begins by itself before it leaves the bench to the person. */
  readonly mostBatches: number;
};

export type PracticeRunner = {
  /** Begins to look at the service's bench. */
  begin(service: HandsOn): void;
  /** What a person asks for: the hand on or off, a tray on the practice scale, the pan emptied. */
  practice(asked: PracticeAct): void;
  /** For the bench: whether the hand works, and what it is doing in words. */
  state(): { works: boolean; doing: string };
  stop(): void;
};

export function practiceRunner({
  port,
  clock,
  seed,
  mostBatches,
}: PracticeSetting): PracticeRunner {
  const chance = seeded(seed);
  let service: HandsOn | null = null;
  let timer: NodeJS.Timeout | null = null;
  let hand: Hand = idleHand;
  let works = true;
  let doing = "about to begin";
  let actedAt = clock.mono();

  function carryOut(act: Act, on: HandsOn): void {
    switch (act.is) {
      case "wait":
        return;
      case "place":
        return port.place(grossOf(on.bench(), act.tray, act.empty));
      case "lift":
        return port.lift();
      case "start-batch":
        return void on.startBatch(act.body);
      case "clock":
        return void on.setClock(act.batch, { is: act.set });
      case "core":
        return void on.checkCore(act.tray, { finding: act.finding });
      case "answer-load":
        return void on.answerLoad(act.scale, act.body);
      case "answer-gap":
        return void on.answerGap(act.gap, { dryerRan: act.dryerRan });
      case "acknowledge":
        return void on.acknowledge(act.alert);
      case "end":
        return void on.endBatch(act.batch);
      case "plan-bags":
        return void on.planBags(act.batch, act.body);
      case "choose-bag":
        return void on.chooseBag(act.scale, act.body);
      case "place-bag":
        return port.place(act.gross);
    }
  }

  function perform(act: Act, on: HandsOn): void {
    const before = on.bench();
    carryOut(act, on);
    hand = afterAct(hand, act, before, chance);
    actedAt = clock.mono();
  }

  /** A refusal is shown and tried again after a pause: somebody may have changed the batch meanwhile. */
  function work(on: HandsOn): void {
    const inActMs = clock.mono() - actedAt;
    const move = nextMove({ bench: on.bench(), hand, inActMs, mostBatches });
    doing = move.doing ?? doing;
    if (move.act.is === "wait") return;
    try {
      perform(move.act, on);
    } catch (refused) {
      if (!(refused instanceof Fault)) throw refused;
      hand = { ...hand, pauseMs: retryAfterMs };
      // What cannot be packed is not tried for ever.
      if (move.act.is === "plan-bags") hand = { ...hand, packer: { ...hand.packer, toPack: null } };
      actedAt = clock.mono();
      doing = `refused: ${refused.message}`;
    }
  }

  function look(on: HandsOn): void {
    if (works) work(on);
    clock.setFactor(paceFor(on.bench().batches));
  }

  function placeBag(on: HandsOn, { bag, share = 1 }: { bag: number; share?: number }): void {
    const task = on.bench().tasks.find((one) => one.bag?.bag === bag)?.bag ?? null;
    const gross = task === null ? null : grossFor(task, on.bag(bag, null), share);
    if (gross === null) throw new Fault("bag.wrong-state", `no scale waits for bag ${bag}`);
    port.place(gross);
    actedAt = clock.mono();
  }

  return {
    begin: (on) => {
      service = on;
      timer = setInterval(() => look(on), lookEveryMs);
    },
    practice: (asked) => {
      if (asked.works !== undefined) {
        works = asked.works;
        doing = works ? "taking over" : "leaving the work to you";
      }
      if (asked.place === undefined || service === null) return;
      if (asked.place === null) return perform({ is: "lift" }, service);
      if ("bag" in asked.place) return placeBag(service, asked.place);
      const { tray, empty = false } = asked.place;
      perform({ is: "place", tray, empty }, service);
    },
    state: () => ({ works, doing }),
    stop: () => {
      if (timer !== null) clearInterval(timer);
      timer = null;
    },
  };
}

const retryAfterMs = 3000;

/** Fast only while every batch that is drying has its trays in the dryer. */
function paceFor(batches: readonly Batch[]): number {
  const drying = batches.filter((batch) => batch.phase === "drying");
  const allIn = drying.length > 0 && drying.every((batch) => batch.clock.state === "in");
  return allIn ? practiceTimeFactor : handsOnTimeFactor;
}

function grossOf(bench: Bench, trayId: number, empty: boolean): Grams {
  const batch = bench.batches.find((one) => one.trays.some((tray) => tray.id === trayId));
  if (batch === undefined)
    throw new Fault("tray.not-found", `no open batch has a tray with the number ${trayId}`);
  const place = batch.trays.findIndex((tray) => tray.id === trayId);
  const tare = grams(batch.trays[place]?.tareGrams ?? loadAt(place).tareGrams);
  return empty ? tare : plus(tare, trueNet(batch, trayId));
}
