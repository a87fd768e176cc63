/**
 * A person at the bench who weighs batches, dries them for a moment, packs them and begins anew, by the scale and by
 * hand, and goes on where the service was killed. Each act and all that is said is told to `announced`.
 */
import type { Bag, BagLine, BagWeighingKind } from "../../src/wire/bag.ts";
import type { Batch } from "../../src/wire/batch.ts";
import type { Bench } from "../../src/wire/bench.ts";
import type { Act, Announced } from "./announced.ts";
import type { NetScale } from "./netscale.ts";
import type { Live, Service } from "./service.ts";

const tareGrams = 400;
const pause = (ms: number): Promise<void> => new Promise((resolve) => setTimeout(resolve, ms));

/** No two loads of trays weigh the same, so that one taken twice shows: a tenth of a gram after the other. */
export class Worker {
  #grams = 0;
  /** How often each thing was done to its end. */
  readonly done = new Map<string, number>();

  constructor(
    private readonly scale: NetScale,
    private readonly announced: Announced,
    private readonly random: () => number,
  ) {}

  #nextGross(): number {
    this.#grams += 1;
    return Math.round(10 * (tareGrams + 60) + this.#grams) / 10;
  }

  #did(what: string): void {
    this.done.set(what, (this.done.get(what) ?? 0) + 1);
  }

  /** Works until the service is gone. */
  async work(service: Service, live: Live): Promise<void> {
    await this.#clearPan(live);
    while (service.isUp()) {
      const bench = await this.#get<Bench>(service, "/api/bench");
      const [batch] = bench.batches;
      const [bag] = bench.packing;
      if (bag !== undefined) await this.#pack(service, live, bag);
      else if (batch === undefined) await this.#begin(service);
      else await this.#goOn(service, live, batch);
    }
  }

  /** What lay on the scale when the service was killed lies there a while longer, as it would. */
  async #clearPan(live: Live): Promise<void> {
    await live.until("a reading", () => live.of("reading").length > 0);
    if (this.scale.gross !== 0) await pause(900 * this.random());
    this.scale.lift();
    await this.#empty(live);
  }

  #empty(live: Live): Promise<void> {
    return live.until("an empty pan", () => {
      const now = live.of("reading").at(-1);
      return now?.settled === true && Math.abs(now.grams ?? 1) < 0.05;
    });
  }

  async #get<T>(service: Service, path: string): Promise<T> {
    const said = await service.get<T>(path);
    this.announced.hear(said);
    return said;
  }

  async #ask<T>(
    service: Service,
    act: Act,
    method: string,
    path: string,
    body: object,
  ): Promise<T> {
    this.announced.asked(act);
    const { status, body: said } = await service.ask(method, path, body);
    if (status >= 300) throw new Error(`${method} ${path}: ${status} ${JSON.stringify(said)}`);
    this.announced.answered(act);
    this.announced.hear(said);
    this.#did(act);
    return said as T;
  }

  #begin(service: Service): Promise<Batch> {
    return this.#ask<Batch>(service, "batch", "POST", "/api/batches", {
      dryer: "Cellar",
      trays: ["A", "B"].map((name) => ({ name, tareGrams, food: "invented", waterPct: 60 })),
    });
  }

  async #goOn(service: Service, live: Live, batch: Batch): Promise<unknown> {
    const toWeigh = batch.trays.find((tray) => tray.freshGrams === null);
    if (toWeigh !== undefined) return this.#weigh(service, live, toWeigh.id, "fresh");
    const at = `/api/batches/${batch.id}`;
    if (batch.clock.state === "waiting")
      return this.#ask(service, "clock", "POST", `${at}/clock`, { is: "in" });
    if (batch.clock.state === "in")
      return this.#ask(service, "clock", "POST", `${at}/clock`, { is: "out" });
    const [waiting] = batch.round.waiting;
    if (waiting !== undefined) return this.#weigh(service, live, waiting, "dry");
    return this.#afterDrying(service, batch);
  }

  async #weigh(service: Service, live: Live, tray: number, kind: "fresh" | "dry"): Promise<void> {
    const gross = this.#nextGross();
    if (this.random() < 0.3) {
      await this.#ask(service, "weigh", "POST", "/api/weighings", { tray, kind, value: gross });
      return;
    }
    const [scale] = live.of("bench").at(-1)?.bench.scales ?? [];
    await service.post(`/api/scales/${scale?.id}/task`, { tray, kind });
    const taken = () =>
      live.of("weighing").some(({ weighing }) => Math.abs(weighing.grossGrams - gross) < 0.05);
    this.scale.place(gross);
    let answered = 0;
    await live.until(`${gross} g to be taken as ${kind}`, () => {
      const question = live.of("bench").at(-1)?.bench.tasks[0]?.question ?? null;
      if (question !== null && question.load > answered) {
        answered = question.load;
        const answer = { load: question.load, tray, kind };
        service.post(`/api/scales/${scale?.id}/answer`, answer).catch(() => undefined);
      }
      return taken();
    });
    this.#did(`${kind} by the scale`);
    this.scale.lift();
    await this.#empty(live);
  }

  async #afterDrying(service: Service, batch: Batch): Promise<unknown> {
    const [tray] = batch.trays;
    const dry = tray?.weighings.find(({ kind }) => kind === "dry");
    if (dry !== undefined && this.random() < 0.3)
      return this.#ask(service, "correct", "PATCH", `/api/weighings/${dry.id}`, {
        grossGrams: this.#nextGross(),
        reason: "looked again",
      });
    if (tray !== undefined && tray.coreCheck === null && this.random() < 0.3)
      return this.#ask(service, "core", "POST", `/api/trays/${tray.id}/core`, { finding: "dry" });
    const bags = await this.#get<BagLine[]>(service, `/api/bags?batch=${batch.id}&state=all`);
    if (bags.length === 0) return this.#plan(service, batch);
    for (const line of bags) {
      const bag = await this.#get<Bag>(service, `/api/bags/${line.id}`);
      if (bag.state === "sealed" && !bag.weighings.some(({ kind }) => kind === "shelf"))
        return this.#typeBag(service, bag, "shelf", bag.sealedGrossGrams ?? 0);
      if (bag.state === "sealed")
        return this.#ask(service, "fate", "PATCH", `/api/bags/${bag.id}`, { fate: "opened" });
    }
    return this.#ask(service, "end", "POST", `/api/batches/${batch.id}/end`, {});
  }

  #plan(service: Service, batch: Batch): Promise<Bag[]> {
    return this.#ask<Bag[]>(service, "plan", "POST", `/api/batches/${batch.id}/bags`, {
      trays: batch.trays.map(({ id }) => ({ tray: id })),
      divide: { count: 2 },
      container: "soft",
      volumeMl: 946,
      absorbers: { count: 1, cc: 300 },
      divisionGrams: 0.1,
      although: "nothing of this is food",
    });
  }

  #typeBag(service: Service, bag: Bag, kind: BagWeighingKind, value: number): Promise<Bag> {
    const path = `/api/bags/${bag.id}/weighings`;
    return this.#ask<Bag>(service, "weigh bag", "POST", path, { kind, value, divisionGrams: 0.1 });
  }

  async #pack(service: Service, live: Live, bag: Bag): Promise<unknown> {
    const tare = bag.tareGrams ?? 8 + Math.round(10 * this.random()) / 10;
    const filled = Math.round(10 * (tare + bag.targetGrams)) / 10;
    const full = bag.weighings.find(({ kind, current }) => kind === "filled" && current);
    const [kind, gross]: [BagWeighingKind, number] =
      bag.state === "filled"
        ? ["sealed", Math.round(10 * ((full?.grossGrams ?? filled) + 4)) / 10]
        : bag.tareGrams === null
          ? ["tare", tare]
          : ["filled", filled];
    // Drawn in a thread while the next bag is weighed: a kill finds it at work.
    if (kind === "sealed" && this.random() < 0.3)
      void fetch(`${service.url}/api/bags/${bag.id}/label.pdf?stock=70x37`)
        .then((label) => label.arrayBuffer())
        .then(() => this.#did("label"))
        .catch(() => undefined);
    const old = bag.weighings.find(({ current, struck }) => current && !struck);
    if (kind === "filled" && old !== undefined && this.random() < 0.15)
      return this.#ask(service, "correct bag", "PATCH", `/api/bags/${bag.id}/weighings/${old.id}`, {
        grossGrams: Math.round(10 * (tare + 0.1)) / 10,
        reason: "looked again",
      });
    if (this.random() < 0.3) return this.#typeBag(service, bag, kind, gross);
    return this.#packByScale(service, live, bag, kind, gross);
  }

  async #packByScale(
    service: Service,
    live: Live,
    bag: Bag,
    kind: BagWeighingKind,
    gross: number,
  ): Promise<void> {
    const [scale] = live.of("bench").at(-1)?.bench.scales ?? [];
    const isOn = live.of("bench").at(-1)?.bench.tasks[0]?.bag;
    if (isOn?.needsLift === true) {
      this.scale.lift();
      await this.#empty(live);
    }
    const said = await service.post<Bench>(`/api/scales/${scale?.id}/bag`, { bag: bag.id, kind });
    this.announced.hear(said);
    if (said.tasks[0]?.bag?.needsLift === true) {
      this.scale.lift();
      await this.#empty(live);
    }
    this.scale.place(gross);
    const kept = (one: Bag): boolean =>
      one.id === bag.id && one.weighings.some((row) => row.kind === kind && row.current);
    await live.until(`${gross} g to be taken as ${kind} of bag ${bag.code}`, () => {
      const now = live.of("bench").at(-1)?.bench;
      const isSealed = now?.tasks[0]?.bagTaken?.bag === bag.id && kind === "sealed";
      return isSealed || now?.packing.some(kept) === true;
    });
    this.#did(`${kind} by the scale`);
    if (kind === "tare" && this.random() < 0.7) return;
    this.scale.lift();
    await this.#empty(live);
  }
}
