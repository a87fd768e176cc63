/** Labels of some bags: on which stock, with what on them, as a file or from the page. */
import { useSignal } from "@preact/signals";
import type { LabelField, LabelStock } from "../../../src/wire/bag.ts";
import { sayBags } from "../bag-texts.ts";
import {
  chooseLabels,
  fields,
  labelChoice,
  labelsAddress,
  labelsOnSheet,
  stocks,
} from "../label-choice.ts";
import { language } from "../page.ts";
import { writeRoute } from "../route.ts";
import { Choice, Fold } from "./field.tsx";

type Props = { readonly bags: readonly number[]; readonly isTitled?: boolean };

export function LabelLinks({ bags, isTitled = true }: Props) {
  const texts = sayBags().labels;
  const skip = useSignal(0);
  const choice = labelChoice.value;
  if (bags.length === 0) return null;
  return (
    <section class="label-links">
      {isTitled && <h3>{texts.title(bags.length)}</h3>}
      <div class="answers">
        <a
          class="button big"
          href={labelsAddress({ bags, choice, language: language.value, skip: skip.value })}
          target="_blank"
          rel="noopener"
        >
          {texts.file}
        </a>
        <a class="button big" href={writeRoute({ page: "labels", bags })}>
          {texts.fromPage}
        </a>
      </div>
      <Fold summary={texts.choose(texts.stocks[choice.stock])}>
        <div class="fields">
          <Choice
            label={texts.stock}
            value={choice.stock}
            onValue={(stock) => chooseLabels({ stock: stockNamed(stock) })}
            options={stocks.map((stock) => ({ value: stock, label: texts.stocks[stock] }))}
          />
          {choice.stock === "70x37-sheet" && (
            <Choice
              label={texts.skip}
              value={String(skip.value)}
              onValue={(count) => (skip.value = Number(count))}
              options={Array.from({ length: labelsOnSheet }, (_, count) => ({
                value: String(count),
                label: String(count + 1),
              }))}
            />
          )}
        </div>
        <fieldset>
          <legend>{texts.what}</legend>
          <div class="ticks">
            {fields.map((field) => (
              <FieldTick key={field} field={field} />
            ))}
          </div>
        </fieldset>
        <p class="quiet">{texts.always}</p>
      </Fold>
      <p class="quiet">{texts.notLegal}</p>
    </section>
  );
}

const stockNamed = (text: string): LabelStock => stocks.find((one) => one === text) ?? "62x29";

export function FieldTick({ field }: { readonly field: LabelField }) {
  const wanted = labelChoice.value.fields;
  return (
    <label class="tick">
      <input
        type="checkbox"
        checked={wanted.includes(field)}
        onChange={({ currentTarget }) =>
          chooseLabels({
            fields: fields.filter((one) =>
              one === field ? currentTarget.checked : wanted.includes(one),
            ),
          })
        }
      />
      <span>{sayBags().labels.fields[field]}</span>
    </label>
  );
}
