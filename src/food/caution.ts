import type { Food } from "./food.ts";

export type Caution = {
  readonly code: "raw-animal" | "fatty-animal" | "dairy";
  readonly text: string;
};

const animalGroups = /^(beef|lamb|pork|poultry|finfish|sausages)|egg/i;
const cookedWords =
  /\b(cooked|roasted|broiled|braised|stewed|fried|boiled|baked|grilled|poached|scrambled|hard-boiled|pan-browned|smoked|canned|pasteurized|microwaved|steamed|simmered)\b/i;

/**
 * What to say beside a food, whatever the scale says. Freeze-drying does not kill microbes (Kansas State
 * Extension, "You asked it"); freeze-dried raw meat, poultry, seafood and egg are cooked before drying or after
 * rehydrating (Iowa State Extension, AnswerLine).
 */
export function cautionsOf({ name, group }: Pick<Food, "name" | "group">): readonly Caution[] {
  const isDairy = /^dairy/i.test(group);
  const isEgg = /\begg/i.test(name) && isDairy;
  if (isDairy && !isEgg)
    return [
      {
        code: "dairy",
        text: "Dairy: freeze-drying does not kill microbes. What was raw stays raw.",
      },
    ];
  if (!animalGroups.test(group)) return [];
  const cautions: Caution[] = [];
  if (!cookedWords.test(name))
    cautions.push({
      code: "raw-animal",
      text: "Raw stays raw: cook before drying or after rehydrating, and mark it so. Freeze-drying does not kill microbes.",
    });
  if (!isEgg)
    cautions.push({
      code: "fatty-animal",
      text: "Fat does not dry and turns rancid in store: trim it or choose lean pieces.",
    });
  return cautions;
}
