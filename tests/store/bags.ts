/** Made-up bags for the tests: half of 102 g of dry strawberries. */
import type { Bag, BagWeighing } from "../../src/bag/bag.ts";
import { fraction, grams } from "../../src/units/quantity.ts";
import { later, noon } from "./facts.ts";

export const aBag = (id: number, more: Partial<Bag> = {}): Bag => ({
  id,
  batchId: 1,
  batchNumber: 1,
  sequence: id,
  plan: 1,
  practice: false,
  product: "Strawberries, raw",
  supplier: "Hill Farm",
  prepared: "raw",
  wentIn: "frozen",
  batchStartedAt: noon,
  driedAt: later(1201),
  plannedAt: later(1220),
  parts: [
    {
      trayId: 1,
      portion: null,
      name: "tray 1",
      grams: grams(51),
      whole: true,
      division: grams(0.1),
      verdict: "stable",
      coreDry: true,
    },
  ],
  although: null,
  container: "soft",
  volumeMl: 946.352946,
  lot: "quart, spring",
  absorbers: { count: 1, cc: 300 },
  typedTare: null,
  target: grams(51),
  freshPerDry: 907.18474 / 102,
  moisture: { estimate: fraction(0.0196), low: fraction(0.0035), high: fraction(0.0351) },
  cautions: ["keep it dry"],
  weighings: [],
  fates: [],
  gainsAccepted: [],
  coresSince: [],
  ...more,
});

export const aBagWeighing = (
  id: number,
  bagId: number,
  kind: BagWeighing["kind"],
  gross: number,
  more: Partial<BagWeighing> = {},
): BagWeighing => ({
  id,
  bagId,
  kind,
  gross: grams(gross),
  division: grams(0.1),
  scale: "scale-1",
  source: "scale",
  zeroSeen: true,
  at: later(1230 + id),
  supersedes: null,
  struck: false,
  reason: null,
  ...more,
});
