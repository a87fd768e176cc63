import { isolated } from "../units/written.ts";

/** The number by which alone a tray goes; null: it has a name. */
export const trayNumber = (name: string): string | null => /^\d+$/.exec(name.trim())?.[0] ?? null;

/** A tray in a sentence: one that is named by a bare number is "tray 3", any other name stands as it is. */
export function trayCalled(name: string): string {
  const number = trayNumber(name);
  return number === null ? isolated(name) : `tray ${number}`;
}
