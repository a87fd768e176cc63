/**
 * Requests that the service can say yes to: made from what is there, for the routes that hardly ever take what merely
 * fits their description. Each may still be refused, and half of them are damaged before they are sent.
 */
import type { Service } from "../../src/service/service.ts";
import type { Batch } from "../../src/wire/batch.ts";
import type { BagLine } from "../../src/wire/bag.ts";
import { below, pick, type Chance, type Json } from "./cases.ts";

type Apt = {
  /** By the name of the place in the address. */
  readonly places: Readonly<Record<string, number | string>>;
  readonly body?: Json;
  readonly bytes?: Buffer;
  readonly query?: string;
};
type Beside = {
  readonly nowMs: number;
  readonly newCode: () => string;
  readonly devices: readonly number[];
  readonly scaleUri: string;
};
type Make = (service: Service, chance: Chance, beside: Beside) => Apt | null;

const reason = "looked again";
const iso = (ms: number): string => new Date(ms).toISOString();
const some = <T>(list: readonly T[], chance: Chance): T | null =>
  list.length === 0 ? null : pick(list, chance);
const openOf = (service: Service): readonly Batch[] => service.bench().batches;
const bagsOf = (service: Service, state: "all" | BagLine["state"]): readonly BagLine[] =>
  service.bags({ state, q: "", batch: null });
/** A PNG of one pixel: signature, header, no data, end. */
const picture = Buffer.concat([
  Buffer.from("89504e470d0a1a0a0000000d4948445200000001000000010806000000", "hex"),
  Buffer.from("1f15c489", "hex"),
  Buffer.from("0000000049454e44ae426082", "hex"),
]);

const trayOf = (batch: Batch | null, chance: Chance) =>
  batch === null ? null : some(batch.trays, chance);

const newBags = (service: Service, chance: Chance): Apt | null => {
  const left = openOf(service).flatMap((batch) =>
    batch.trays.every(({ verdict }) => verdict === null)
      ? []
      : service
          .unpacked(batch.id)
          .trays.filter(({ leftGrams }) => (leftGrams ?? 0) > 2)
          .map(({ tray }) => ({ batch: batch.id, tray })),
  );
  const one = some(left, chance);
  if (one === null) return null;
  return {
    places: { batch: one.batch },
    body: {
      trays: [{ tray: one.tray, grams: Math.round(100 * (1 + chance())) / 100 }],
      divide: { count: 1 + below(2, chance) },
      container: "soft",
      volumeMl: 946,
      although: reason,
    },
  };
};

export const apt: Readonly<Record<string, Make>> = {
  "PATCH /api/lessons/{lesson}": (service, chance) => {
    const lesson = some(service.lessons(), chance);
    if (lesson === null) return null;
    return { places: { lesson: lesson.id }, body: { counts: chance() < 0.5, reason } };
  },
  "PATCH /api/batches/{batch}/clock/{moment}": (service, chance) => {
    const [batch, moment] =
      some(
        openOf(service).flatMap((one) =>
          one.moments.filter(({ current }) => current).map((is) => [one, is] as const),
        ),
        chance,
      ) ?? [];
    if (batch === undefined || moment === undefined) return null;
    const at = iso(Date.parse(moment.at) + below(5, chance) - 2);
    return {
      places: { batch: batch.id, moment: moment.id },
      body: chance() < 0.1 ? { struck: true, reason } : { at, reason },
    };
  },
  "POST /api/batches/{batch}/clock": (service, chance) => {
    const batch = some(openOf(service), chance);
    if (batch === null) return null;
    const is = batch.clock.state === "in" ? "out" : "in";
    return { places: { batch: batch.id }, body: { is } };
  },
  "POST /api/gaps/{gap}": (service, chance) => {
    const gap = some(
      openOf(service).flatMap(({ gaps }) => gaps),
      chance,
    );
    if (gap === null) return null;
    const seen = { dryerRan: gap.dryerRan };
    return { places: { gap: gap.id }, body: { dryerRan: chance() < 0.7, seen } };
  },
  "PATCH /api/batches/{batch}/interruptions/{interruption}": (service, chance, { nowMs }) => {
    const batch = some(
      openOf(service).filter(({ interruptions }) => interruptions.length > 0),
      chance,
    );
    const one = batch === null ? null : some(batch.interruptions, chance);
    if (batch === null || one === null) return null;
    const from = Date.parse(one.from);
    const to = iso(from + Math.floor(chance() * Math.max(0, nowMs - from)));
    return {
      places: { batch: batch.id, interruption: one.id },
      body: { to, seen: { to: one.to } },
    };
  },
  "PATCH /api/batches/{batch}/trays/{tray}": (service, chance) => {
    const batch = some(openOf(service), chance);
    const tray = trayOf(batch, chance);
    if (batch === null || tray === null) return null;
    return {
      places: { batch: batch.id, tray: tray.id },
      body: { name: `${tray.name.slice(0, 40)}${below(9, chance)}`, seen: { name: tray.name } },
    };
  },
  "POST /api/weighings": (service, chance) => {
    const batch = some(openOf(service), chance);
    const tray = trayOf(batch, chance);
    const tare = tray?.tareGrams ?? null;
    if (batch === null || tray === null || tare === null) return null;
    const kind = batch.phase === "loading" ? "fresh" : "dry";
    const value = tare + 0.1 + below(6000, chance) / 10;
    return { places: {}, body: { tray: tray.id, kind, value, divisionGrams: 0.1 } };
  },
  "PATCH /api/weighings/{weighing}": (service, chance) => {
    const tray = trayOf(some(openOf(service), chance), chance);
    const one = tray === null ? null : some(tray.weighings, chance);
    if (one === null) return null;
    const change = chance() < 0.3 ? { struck: true } : { grossGrams: one.grossGrams + 0.1 };
    return { places: { weighing: one.id }, body: { ...change, reason } };
  },
  "POST /api/weighings/{weighing}/swap": (service, chance) => {
    const batch = some(openOf(service), chance);
    const [one, other] = (batch?.trays ?? []).flatMap(({ weighings }) =>
      weighings.filter(({ kind }) => kind === "fresh").slice(0, 1),
    );
    if (one === undefined || other === undefined) return null;
    return { places: { weighing: one.id }, body: { with: other.id, reason } };
  },
  "POST /api/batches/{batch}/bags/preview": newBags,
  "POST /api/batches/{batch}/bags": newBags,
  "GET /api/labels": (service, chance) => labelsOf(service, chance),
  "GET /api/labels.pdf": (service, chance) => labelsOf(service, chance),
  "GET /api/bags/{bag}/label.pdf": (service, chance) => {
    const bag = some(bagsOf(service, "all"), chance);
    return bag === null ? null : { places: { bag: bag.id }, query: "?stock=70x37" };
  },
  "POST /api/bags/{bag}/weighings": (service, chance) => {
    const bag = some(service.bench().packing, chance);
    if (bag === null) return null;
    const tare = bag.tareGrams;
    const kind = bag.state === "filled" ? "sealed" : tare === null ? "tare" : "filled";
    const value = kind === "tare" ? 8 : (tare ?? 8) + Math.max(0.1, bag.targetGrams) + 4;
    return { places: { bag: bag.id }, body: { kind, value, divisionGrams: 0.1 } };
  },
  "PATCH /api/bags/{bag}/weighings/{weighing}": (service, chance) => {
    const bag = some(service.bench().packing, chance);
    const one = bag?.weighings.findLast(({ current, struck }) => current && !struck);
    if (bag === null || one === undefined) return null;
    const change = chance() < 0.3 ? { struck: true } : { grossGrams: one.grossGrams + 0.1 };
    return { places: { bag: bag.id, weighing: one.id }, body: { ...change, reason } };
  },
  "PATCH /api/bags/{bag}": (service, chance) => {
    const bag = some(bagsOf(service, "sealed"), chance);
    return bag === null ? null : { places: { bag: bag.id }, body: { fate: "opened" } };
  },
  "POST /api/bags/{bag}/back": (service, chance) => {
    const bag = some(bagsOf(service, "opened"), chance);
    return bag === null ? null : { places: { bag: bag.id }, body: { note: reason } };
  },
  "POST /api/bags/{bag}/gain": (service) => {
    const bag = service.bench().packing.find((one) => one.gainSinceVerdict?.isAnswered === false);
    return bag === undefined ? null : { places: { bag: bag.id }, body: { seal: true } };
  },
  "PATCH /api/kitchen/foods/{food}": (service, chance) => {
    const food = some(service.kitchen().foods, chance);
    if (food === null) return null;
    const { id, name, waterPct } = food;
    return {
      places: { food: id },
      body: { name, waterPct: Math.min(99, waterPct + chance()), seen: { waterPct } },
    };
  },
  "POST /api/kitchen/weights": (_service, chance) => ({
    places: {},
    body: { name: `W${below(99, chance)}`, nominalGrams: 500, errorGrams: 0.1, everyDays: 30 },
  }),
  "PATCH /api/kitchen/weights/{weight}": (service, chance) => {
    const weight = some(service.kitchen().checkWeights, chance);
    if (weight === null) return null;
    const { id, name, nominalGrams, everyDays } = weight;
    return {
      places: { weight: id },
      body: { name, nominalGrams, errorGrams: 0.1, everyDays: 30, seen: { everyDays } },
    };
  },
  "POST /api/scales": (_service, chance, { scaleUri }) => ({
    places: {},
    body: { uri: chance() < 0.2 ? "page:tablet" : scaleUri },
  }),
  "POST /api/scales/{scale}/bytes": (service) => {
    const scale = service.bench().scales.find(({ uri }) => uri.startsWith("page:"));
    if (scale === undefined) return null;
    const hex = Buffer.from("ST,GS,+    812.6 g\r\n").toString("hex");
    const body = { sender: "the same page", chunks: [{ agoMs: 0, hex }] };
    return { places: { scale: scale.id }, body };
  },
  ...atScale("DELETE /api/scales/{scale}", () => ({})),
  ...atScale("POST /api/scales/{scale}/form", () => ({ form: "marked", unit: "g" })),
  ...atScale("POST /api/scales/{scale}/send", () => ({ what: "tare" })),
  ...atScale("POST /api/scales/{scale}/task", (service, chance) => ({
    tray: trayOf(some(openOf(service), chance), chance)?.id ?? null,
  })),
  ...atScale("POST /api/scales/{scale}/check", (service, chance) => ({
    weight: chance() < 0.5 ? null : (some(service.kitchen().checkWeights, chance)?.id ?? null),
  })),
  ...atScale("POST /api/scales/{scale}/asking", (_service, chance) => ({
    ask: chance() < 0.5 ? null : "SI\r\n",
  })),
  ...atScale("POST /api/scales/{scale}/compare", (service, chance) => ({
    with: chance() < 0.5 ? null : (some(service.bench().scales, chance)?.id ?? null),
  })),
  "DELETE /api/kitchen/comparisons/{comparison}": (service, chance) => {
    const one = some(service.kitchen().comparisons, chance);
    return one === null ? null : { places: { comparison: one.id } };
  },
  ...atScale("POST /api/scales/{scale}/bag", (service, chance) => ({
    bag: chance() < 0.5 ? null : (some(service.bench().packing, chance)?.id ?? null),
  })),
  ...atScale("POST /api/scales/{scale}/answer", (service, chance) => {
    const question = service.bench().tasks.find((one) => one.question !== null)?.question ?? null;
    const tray = chance() < 0.5 ? null : (question?.candidates[0]?.tray ?? null);
    return { load: question?.load ?? 1, tray };
  }),
  ...atScale("POST /api/scales/{scale}/tared", (_service, chance) => ({
    pressed: chance() < 0.3,
  })),
  "POST /api/batches/{batch}/photos": (service, chance) => {
    const batch = some(openOf(service), chance);
    return batch === null ? null : { places: { batch: batch.id }, bytes: picture };
  },
  "GET /api/photos/{photo}": (service, chance) => photoOf(service, chance),
  "DELETE /api/photos/{photo}": (service, chance) => photoOf(service, chance),
  "POST /api/imports": (_service, _chance, { nowMs }) => ({
    places: {},
    body: {
      dryer: "Cellar",
      startedAt: iso(nowMs - 90 * 3_600_000),
      csv: "tray,hours,grams,fresh_g\nA,20,90.1,700\nA,30,64.1,700\n",
    },
  }),
  "POST /api/pairing": (_service, _chance, { newCode }) => ({
    places: {},
    body: { code: newCode(), name: "tablet", for: "program" },
  }),
  "DELETE /api/devices/{device}": (_service, chance, { devices }) => {
    const device = some(devices, chance);
    return device === null ? null : { places: { device } };
  },
  "POST /api/trays/{tray}/core": (service, chance) => {
    const tray = trayOf(
      some(
        openOf(service).filter(({ phase }) => phase === "drying"),
        chance,
      ),
      chance,
    );
    return tray === null ? null : { places: { tray: tray.id }, body: { finding: "dry" } };
  },
};

function atScale(
  route: string,
  body: (service: Service, chance: Chance) => Json,
): Readonly<Record<string, Make>> {
  return {
    [route]: (service, chance) => {
      const scale = some(service.bench().scales, chance);
      return scale === null ? null : { places: { scale: scale.id }, body: body(service, chance) };
    },
  };
}

function labelsOf(service: Service, chance: Chance): Apt | null {
  const bags = bagsOf(service, "all").slice(-1 - below(3, chance));
  const ids = bags.map(({ id }) => id).join(",");
  return bags.length === 0 ? null : { places: {}, query: `?bags=${ids}` };
}

function photoOf(service: Service, chance: Chance): Apt | null {
  const batch = some(openOf(service), chance);
  const photo = batch === null ? null : some(service.photos(batch.id), chance);
  return photo === null ? null : { places: { photo: photo.id } };
}
