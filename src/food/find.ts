import type { Food } from "./food.ts";
import { germanFoods, germanNumbers } from "./german.ts";
import type { FoodTable } from "./table.ts";

/** The food with this number of the table (leading zeros may be left out), description or German name, case ignored. */
export function foodByNumberOrName(table: FoodTable, text: string): Food | null {
  const wanted = text.trim().toLowerCase();
  if (wanted === "") return null;
  if (/^\d{1,5}$/.test(wanted)) {
    const number = wanted.padStart(5, "0");
    return byNumber(table, number) ?? null;
  }
  const german = germanFoods.find(([, , name]) => name.toLowerCase() === wanted)?.[0];
  const names = namesOf(table);
  return names.get(wanted) ?? (german === undefined ? null : (byNumber(table, german) ?? null));
}

const byNumber = (table: FoodTable, number: string): Food | undefined =>
  table.find((food) => food.number === number);

const indexed = new WeakMap<FoodTable, ReadonlyMap<string, Food>>();

/** Foods by their descriptions in small letters, the first where two are alike. */
function namesOf(table: FoodTable): ReadonlyMap<string, Food> {
  const made = indexed.get(table);
  if (made !== undefined) return made;
  const names = new Map(table.toReversed().map((food) => [food.name.toLowerCase(), food]));
  indexed.set(table, names);
  return names;
}

/** The `count` foods that a person most likely means by what was typed, plain everyday ones first. */
export function findFoods(table: FoodTable, typed: string, count: number): readonly Food[] {
  const wanted = wordsOf(typed);
  if (typed.trim() === "") return [];
  const exact = foodByNumberOrName(table, typed);
  const ranked = table
    .flatMap((food) => {
      const distance = wanted.length === 0 ? null : distanceOf(food, wanted);
      return distance === null ? [] : [{ food, distance }];
    })
    .toSorted((a, b) => a.distance - b.distance || a.food.number.localeCompare(b.food.number))
    .map(({ food }) => food);
  const german = germanNumbers(typed).flatMap((number) => foodByNumberOrName(table, number) ?? []);
  const first = exact === null ? german : [exact, ...german];
  return [...new Set([...first, ...ranked])].slice(0, count);
}

/** Every word that was typed begins a word of the name. */
export function fitsTyped(name: string, typed: string): boolean {
  const words = wordsOf(name);
  const wanted = wordsOf(typed);
  return wanted.length > 0 && wanted.every((word) => words.some((one) => one.startsWith(word)));
}

/** Of any script; accents are left out, as they often are when a name is typed. */
const wordsOf = (text: string): readonly string[] =>
  text
    .normalize("NFD")
    .replaceAll(/[\u0300-\u036F]/g, "")
    .toLowerCase()
    .split(/[^\p{L}\p{M}\p{N}%]+/u)
    .filter((word) => word !== "")
    .map(stem);

/** English plurals, as the table writes them: berries, potatoes, peas. */
const stem = (word: string): string =>
  word.length < 4
    ? word
    : word
        .replace(/ies$/, "y")
        .replace(/(ss|us)$/, "$1")
        .replace(/(o|sh|ch|x)es$/, "$1")
        .replace(/([^su])s$/, "$1");

/** Words of descriptions that a plain food does not have. */
const processed = new Set(
  wordsOf(
    "canned frozen sweetened syrup juice concentrate dehydrated dried salt added babyfood imitation mix powder prepared restaurant fast drained liquid low sodium fat reduced free nectar candied pickled variety brand commercial substitute enriched unenriched imported",
  ),
);
/** Numbers of what people most often dry at home, put first among foods that fit as well. Our choice. */
const everyday = new Set(
  "01009 01012 01077 01085 01116 01123 01124 01125 01129 01132 05011 05062 05064 05065 09003 09021 09040 09042 09050 09070 09132 09148 09150 09176 09181 09184 09191 09200 09226 09236 09252 09266 09279 09302 09316 09326 10218 11011 11052 11090 11109 11124 11135 11143 11167 11178 11205 11215 11216 11233 11260 11282 11291 11304 11312 11333 11352 11422 11457 11477 11485 11507 11529 11821 13364 15076 15236 19095 20037 20045 20421 23567 23570 23572".split(
    " ",
  ),
);
const unlikelyGroups = /^(sweets|soups|meals|sausages|spices)/i;

/** Smaller is likelier; null when a typed word is nowhere in the description. */
function distanceOf({ number, name, group }: Food, wanted: readonly string[]): number | null {
  const words = wordsOf(name);
  const first = wordsOf(name.split(",")[0]!);
  let distance = 0;
  for (const word of wanted) {
    const at = words.findIndex((one) => one.startsWith(word));
    if (at < 0) return null;
    distance += at + (words[at] === word ? 0 : 8);
    if (!first.includes(word)) distance += 4;
  }
  const rest = words.filter((word) => !wanted.includes(word));
  distance += rest.length + 6 * rest.filter((word) => processed.has(word)).length;
  if (rest.includes("raw")) distance -= 3;
  if (unlikelyGroups.test(group)) distance += 5;
  if (everyday.has(number)) distance -= 12;
  return distance;
}
