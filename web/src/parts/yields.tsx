/** What a batch gave: each portion, each tray and all of it. */
import type { Batch } from "../../../src/wire/batch.ts";
import type { Yield } from "../../../src/wire/yield.ts";
import { kitchenService } from "../ask-kitchen.ts";
import { sayKitchen } from "../kitchen-texts.ts";
import { foodCalled, say, speech } from "../page.ts";
import { capital, showMass, showNumber, showPercent, trayName } from "../show.ts";
import { Refused } from "./act.tsx";
import { useFetched } from "./fetched.ts";
import { Wide } from "./wide.tsx";

type Row = { readonly key: string; readonly name: string; readonly of: Yield };

export function Yields({ batch }: { readonly batch: Batch }) {
  const texts = sayKitchen().yields;
  const signature = JSON.stringify(batch.trays.map(({ id, weighings }) => [id, weighings.length]));
  const { body, why } = useFetched(`${batch.id} ${signature}`, () =>
    kitchenService.yields(batch.id),
  );
  if (why !== null) return <Refused why={why} />;
  if (body === null) return null;
  const rows = body.trays.flatMap((tray): Row[] => {
    const name = capital(trayName(speech.value, tray.name));
    const own = tray.yield === null ? [] : [{ key: `${tray.tray}`, name, of: tray.yield }];
    const portions = tray.portions.flatMap((one) =>
      one.yield === null
        ? []
        : [
            {
              key: `${tray.tray} ${one.place}`,
              name: one.food === null ? say().none : foodCalled(one.food),
              of: one.yield,
            },
          ],
    );
    return [...own, ...(portions.length > 1 ? portions : [])];
  });
  if (rows.length === 0) return <p>{texts.none}</p>;
  const all =
    body.batch === null || body.trays.length < 2
      ? rows
      : [...rows, { key: "all", name: capital(texts.whole), of: body.batch }];
  const hasCost = all.some(({ of }) => of.energyKwh !== null);
  return (
    <>
      <Wide label={texts.caption}>
        <table class="words">
          <caption class="unseen">{texts.caption}</caption>
          <thead>
            <tr>
              {columnsOf(hasCost).map((name) => (
                <th key={name} scope="col">
                  {texts.columns[name]}
                </th>
              ))}
            </tr>
          </thead>
          <tbody>
            {all.map(({ key, name, of }) => (
              <tr key={key}>
                <th scope="row">{name}</th>
                {cellsOf(of, hasCost).map((cell, index) => (
                  <td key={index}>{cell}</td>
                ))}
              </tr>
            ))}
          </tbody>
        </table>
      </Wide>
      {all.some(({ of }) => of.moistureWetBasis !== null) && (
        <p class="quiet">{texts.moistureNote}</p>
      )}
      <p class="quiet">{hasCost ? texts.costNote : texts.noCost}</p>
    </>
  );
}

const always = [
  "what",
  "fresh",
  "dry",
  "gone",
  "yield",
  "ratio",
  "moisture",
  "moistureDry",
  "rehydrate",
  "perGram",
] as const;
const withCost = ["energy", "cost", "perKg"] as const;
const columnsOf = (hasCost: boolean) => (hasCost ? [...always, ...withCost] : always);

function cellsOf(one: Yield, hasCost: boolean): readonly string[] {
  const texts = sayKitchen().yields;
  const none = say().none;
  const mass = (grams: number): string => showMass(speech.value, grams, 0.1);
  const figure = (value: number, decimals: number): string =>
    showNumber(speech.value, value, decimals);
  const range = (span: Yield["moistureWetBasis"]): string =>
    span === null
      ? none
      : say().range(
          showPercent(speech.value, span.low, 1),
          showPercent(speech.value, span.high, 1),
        );
  const money = (value: number | null): string =>
    value === null ? none : `${figure(value, 2)} ${one.currency}`.trim();
  const dry = mass(one.dryGrams);
  const cells = [
    mass(one.freshGrams),
    one.isEstimate ? texts.about(dry) : dry,
    texts.litres(mass(one.waterRemovedGrams), figure(one.waterRemovedLitres, 2)),
    showPercent(speech.value, one.yieldFraction, 1),
    texts.grams(figure(one.freshPerDry, 2)),
    range(one.moistureWetBasis),
    range(one.moistureDryBasis),
    mass(one.waterToRehydrateGrams),
    texts.grams(figure(one.waterPerDryGram, 2)),
  ];
  if (!hasCost) return cells;
  const energy = one.energyKwh === null ? none : texts.kwh(figure(one.energyKwh, 1));
  return [...cells, energy, money(one.cost), money(one.costPerKgDry)];
}
