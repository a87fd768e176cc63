/** Wie Lebensmittel der Tabelle und was die Übung mitbringt auf Deutsch heißen; links, wie der Dienst sie nennt. */
import { germanFoods } from "../../../src/food/german.ts";

export const namesDe: ReadonlyMap<string, string> = new Map([
  ...germanFoods.map(([, table, name]) => [table, name] as const),
  ["Practice dryer", "Übungstrockner"],
  ["Practice apple slices", "Übung: Apfelscheiben"],
  ["Practice strawberry slices", "Übung: Erdbeerscheiben"],
  ["Practice sweet corn", "Übung: Zuckermais"],
  ["Practice pineapple, thick pieces", "Übung: Ananas, dicke Stücke"],
]);
