/** What is asked of the service between verdict and shelf. */
import type * as Bags from "../../src/wire/bag.ts";
import { ask, at } from "./ask.ts";

export const bagService = {
  unpacked: (batch: number) => ask<Bags.Unpacked>("GET", `batches/${batch}/unpacked`),
  preview: (batch: number, asked: Bags.NewBags) =>
    ask<Bags.BagsPreview>("POST", `batches/${batch}/bags/preview`, asked),
  plan: (batch: number, asked: Bags.NewBags) =>
    ask<Bags.Bag[]>("POST", `batches/${batch}/bags`, asked),
  ofBatch: (batch: number) => ask<Bags.BagLine[]>("GET", `bags?state=all&batch=${batch}`),
  toDry: () => ask<Bags.BagLine[]>("GET", "bags?state=to-dry"),
  named: (code: string) => ask<Bags.BagLine[]>("GET", `bags?state=all&q=${at(code)}`),
  bag: (bag: number, limitPct: number) => ask<Bags.Bag>("GET", `bags/${bag}?limitPct=${limitPct}`),
  lots: () => ask<Bags.LotLine[]>("GET", "lots"),
  stock: () => ask<Bags.StockLine[]>("GET", "stock"),
  weigh: (bag: number, asked: Bags.BagWeighed) =>
    ask<Bags.Bag>("POST", `bags/${bag}/weighings`, asked),
  editWeighing: (bag: number, weighing: number, asked: Bags.BagWeighingEdit) =>
    ask<Bags.Bag>("PATCH", `bags/${bag}/weighings/${weighing}`, asked),
  labels: (bags: readonly number[], fields: string, language: Bags.LabelLanguage) =>
    ask<Bags.LabelText[]>(
      "GET",
      `labels?bags=${bags.join(",")}&fields=${fields}&language=${language}`,
    ),
  takeFateBack: ({
    id,
    state,
    fates,
  }: Pick<Bags.Bag, "id" | "state"> & Partial<Pick<Bags.Bag, "fates">>) =>
    ask<Bags.Bag>("POST", `bags/${id}/back`, { seen: { state, last: fates?.at(-1)?.id } }),
  acceptGain: (bag: number) => ask<Bags.Bag>("POST", `bags/${bag}/gain`, { seal: true }),
  setFate: (bag: number, asked: Bags.FateSet) => ask<Bags.Bag>("PATCH", `bags/${bag}`, asked),
};

export const codeAddress = (bag: number): string => `api/bags/${bag}/code.svg`;
