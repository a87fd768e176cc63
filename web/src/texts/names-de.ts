/** Wie Lebensmittel der Tabelle und was die Übung mitbringt auf Deutsch heißen; links, wie der Dienst sie nennt. */
import { germanNames } from "../../../src/food/german.ts";

export const namesDe: ReadonlyMap<string, string> = new Map([
  ...germanNames,
  ["Practice dryer", "Übungstrockner"],
]);
