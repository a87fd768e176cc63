import type { Food } from "./food.ts";

type Caution = {
  readonly code: "raw-animal" | "dairy" | "fat" | "sugar";
  readonly text: string;
};

const animalGroups = /^(beef|lamb|pork|poultry|finfish|sausages)|egg/i;
const cookedWords =
  /\b(cooked|roasted|broiled|braised|stewed|fried|boiled|baked|grilled|poached|scrambled|hard-boiled|pan-browned|smoked|canned|pasteurized|microwaved|steamed|simmered)\b/i;

/** Above these, g per 100 g as the food goes in. Common practice, no source; the figures are our choice. */
export const muchFatPct = 10;
export const muchSugarPct = 12;

type Judged = Pick<Food, "name" | "group" | "fatPct" | "sugarsPct">;

/**
 * What to say beside a food, whatever the scale says. Freeze-drying does not kill microbes (Kansas State
 * Extension, "You asked it"); freeze-dried raw meat, poultry, seafood and egg are cooked before drying or after
 * rehydrating (Iowa State Extension, AnswerLine). Of fat and sugar: common practice, no source.
 */
export function cautionsOf(food: Judged): readonly Caution[] {
  return [...byGroup(food), ...byComposition(food)];
}

export function byComposition({
  fatPct,
  sugarsPct,
}: Pick<Food, "fatPct" | "sugarsPct">): readonly Caution[] {
  const cautions: Caution[] = [];
  if (fatPct !== null && fatPct > muchFatPct)
    cautions.push({
      code: "fat",
      text: `${Math.round(fatPct)} % fat: it dries slowly, and fat turns rancid in store.`,
    });
  if (sugarsPct !== null && sugarsPct > muchSugarPct)
    cautions.push({
      code: "sugar",
      text: `${Math.round(sugarsPct)} % sugar: it dries slowly, stays sticky and may collapse where it is not frozen hard.`,
    });
  return cautions;
}

function byGroup({ name, group }: Judged): readonly Caution[] {
  const isDairy = /^dairy/i.test(group);
  const isEgg = /\begg/i.test(name) && isDairy;
  if (isDairy && !isEgg)
    return [
      {
        code: "dairy",
        text: "Dairy: freeze-drying does not kill microbes. What was raw stays raw.",
      },
    ];
  if (!animalGroups.test(group) || cookedWords.test(name)) return [];
  return [
    {
      code: "raw-animal",
      text: "Raw stays raw: cook before drying or after rehydrating, and mark it so. Freeze-drying does not kill microbes.",
    },
  ];
}
