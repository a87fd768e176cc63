/** Wie Lebensmittel der Tabelle und was die Übung mitbringt auf Deutsch heißen; links, wie der Dienst sie nennt. */
import { germanFood } from "../../../src/food/german.ts";

export const nameInGerman = (name: string): string =>
  name === "Practice dryer" ? "Übungstrockner" : germanFood(name);
