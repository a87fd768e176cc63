/** How this device prints labels: on which stock, with what on them. Kept, for a drawer holds one kind of label. */
import { signal } from "@preact/signals";
import type { LabelField, LabelLanguage, LabelStock } from "../../src/wire/bag.ts";

export const stocks: readonly LabelStock[] = ["62x29", "70x37", "70x37-sheet", "4x6"];
export const fields: readonly LabelField[] = [
  "supplier",
  "prepared",
  "dates",
  "fresh",
  "gross",
  "absorbers",
  "water",
  "code",
];
export const labelsOnSheet = 24;

type LabelChoice = {
  readonly stock: LabelStock;
  readonly fields: readonly LabelField[];
};

const key = "labels";

export function readChoice(kept: string | null): LabelChoice {
  const usual: LabelChoice = { stock: "62x29", fields };
  try {
    const said: unknown = JSON.parse(kept ?? "null");
    if (typeof said !== "object" || said === null) return usual;
    const { stock, fields: wanted } = said as { stock?: unknown; fields?: unknown };
    return {
      stock: stocks.find((one) => one === stock) ?? usual.stock,
      fields: Array.isArray(wanted) ? fields.filter((one) => wanted.includes(one)) : fields,
    };
  } catch {
    return usual;
  }
}

function stored(): string | null {
  try {
    return localStorage.getItem(key);
  } catch {
    // Private windows of some browsers refuse storage: the choice then lasts as long as the page.
    return null;
  }
}

export const labelChoice = signal<LabelChoice>(readChoice(stored()));

export function chooseLabels(change: Partial<LabelChoice>): void {
  labelChoice.value = { ...labelChoice.peek(), ...change };
  try {
    localStorage.setItem(key, JSON.stringify(labelChoice.peek()));
  } catch {
    // As above.
  }
}

export const fieldsAsked = ({ fields: wanted }: LabelChoice): string => wanted.join(",");

type LabelsAsked = {
  readonly bags: readonly number[];
  readonly choice: LabelChoice;
  readonly language: LabelLanguage;
  readonly skip: number;
};

export const labelsAddress = ({ bags, choice, language, skip }: LabelsAsked): string => {
  const sheet = choice.stock === "70x37-sheet" && skip > 0 ? `&skip=${skip}` : "";
  return `api/labels.pdf?bags=${bags.join(",")}&stock=${choice.stock}&fields=${fieldsAsked(choice)}&language=${language}${sheet}`;
};
