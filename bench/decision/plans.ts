import type { Chance } from "./chance.ts";

/** When the trays are pulled and weighed. */
export type Plan = {
  readonly kind: "until-called" | "short";
  /** Drying hours as noted by the person, first pull first. */
  readonly notedHours: readonly number[];
};

export const mostWeighings = 12;
const tenth = (hours: number) => Math.round(hours * 10) / 10;

/**
 * A first pull at a guess of the `hoursToDry`, then every 2, 3 or 4 h. Six plans of ten go on until the
 * tray is called or 12 weighings are made; four stop 2 to 4 weighings after the first pull. People are
 * late by up to half an hour, never early.
 */
export function somePlan(hoursToDry: number, chance: Chance): Plan {
  const guess = hoursToDry * Math.exp(-0.05 + 0.25 * chance.normal());
  const every = chance.pick([2, 3, 4]);
  const kind = chance.happens(0.6) ? "until-called" : "short";
  const count = kind === "short" ? 1 + chance.whole(2, 4) : mostWeighings;
  const notedHours = [Math.max(4, Math.round(guess * 2) / 2)];
  while (notedHours.length < count)
    notedHours.push(tenth(notedHours.at(-1)! + every + chance.between(0, 0.5)));
  return { kind, notedHours };
}
