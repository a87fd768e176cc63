/** Counters and gauges for a monitoring program. */
import type { UtcMs } from "../units/quantity.ts";
import type { Bench } from "./bench.ts";
import { batchHoursAt } from "./look.ts";
import type { Measure } from "./service.ts";

export type Counts = {
  readonly readings: Map<string, number>;
  weighings: number;
  alerts: number;
};

export function measuresOf(
  bench: Bench,
  counts: Counts,
  recording: boolean,
  at: UtcMs,
): readonly Measure[] {
  const one = (value: number): Measure["values"] => [{ labels: {}, value }];
  return [
    {
      name: "stillweight_readings_total",
      help: "Readings of a scale since the start",
      type: "counter",
      values: [...counts.readings].map(([scale, value]) => ({ labels: { scale }, value })),
    },
    {
      name: "stillweight_scale_up",
      help: "1 while readings come from the scale",
      type: "gauge",
      values: bench.scales.map((scale) => ({
        labels: { scale: scale.id },
        value: scale.link.link === "up" ? 1 : 0,
      })),
    },
    {
      name: "stillweight_scale_grams",
      help: "What lies on the scale now",
      type: "gauge",
      values: bench.scales.flatMap((scale) =>
        scale.pan.mass === null ? [] : [{ labels: { scale: scale.id }, value: scale.pan.mass }],
      ),
    },
    {
      name: "stillweight_weighings_total",
      help: "Weighings kept since the start, corrections among them",
      type: "counter",
      values: one(counts.weighings),
    },
    {
      name: "stillweight_alerts_total",
      help: "Alerts raised since the start",
      type: "counter",
      values: one(counts.alerts),
    },
    {
      name: "stillweight_batches_open",
      help: "Batches that have not ended",
      type: "gauge",
      values: one(bench.batches.length),
    },
    {
      name: "stillweight_drying_hours",
      help: "Drying hours that a batch has had",
      type: "gauge",
      values: bench.batches.map((batch) => ({
        labels: { batch: String(batch.number) },
        value: batchHoursAt(batch, at),
      })),
    },
    {
      name: "stillweight_recording",
      help: "1 while the store can keep a weighing",
      type: "gauge",
      values: one(recording ? 1 : 0),
    },
  ];
}
