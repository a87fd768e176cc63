/** Measures as text for Prometheus: the exposition format, version 0.0.4. */
import type { Measure } from "../service/service.ts";

export const metricsType = "text/plain; version=0.0.4; charset=utf-8";

const escapedHelp = (text: string): string => text.replaceAll("\\", "\\\\").replaceAll("\n", "\\n");
const escapedLabel = (text: string): string => escapedHelp(text).replaceAll('"', '\\"');

function shown(value: number): string {
  if (value === Infinity) return "+Inf";
  if (value === -Infinity) return "-Inf";
  return String(value);
}

export function metricsText(measures: readonly Measure[]): string {
  return measures
    .flatMap(({ name, help, type, values }) => [
      `# HELP ${name} ${escapedHelp(help)}`,
      `# TYPE ${name} ${type}`,
      ...values.map(({ labels, value }) => `${name}${labelled(labels)} ${shown(value)}`),
    ])
    .map((line) => `${line}\n`)
    .join("");
}

function labelled(labels: Readonly<Record<string, string>>): string {
  const pairs = Object.entries(labels).map(([name, value]) => `${name}="${escapedLabel(value)}"`);
  return pairs.length === 0 ? "" : `{${pairs.join(",")}}`;
}
