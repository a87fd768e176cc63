/** Labels on a plain page, to be printed by the browser where no PDF is wanted. */
import type { LabelText } from "../../../src/wire/bag.ts";
import { bagService, codeAddress } from "../ask-bags.ts";
import { sayBags } from "../bag-texts.ts";
import { fields, fieldsAsked, labelChoice } from "../label-choice.ts";
import { language, say } from "../page.ts";
import { Refused } from "../parts/act.tsx";
import { useFetched } from "../parts/fetched.ts";
import { FieldTick } from "../parts/label-links.tsx";
import { WithCode } from "../parts/with-code.tsx";
import { writeRoute } from "../route.ts";
import "../bags.css";

export function LabelsPage({ bags }: { readonly bags: readonly number[] }) {
  return bags.length === 0 ? <NoBags /> : <Labels bags={bags} />;
}

/** The page can be opened by its address alone. */
function NoBags() {
  const { nav } = say();
  return (
    <>
      <h1>{sayBags().labels.printTitle}</h1>
      <p>{sayBags().labels.noBags}</p>
      <div class="answers">
        <a class="button big" href={writeRoute({ page: "shelf", bag: null })}>
          {nav.shelf}
        </a>
        <a class="button big" href={writeRoute({ page: "pack", batch: null })}>
          {nav.pack}
        </a>
      </div>
    </>
  );
}

function Labels({ bags }: { readonly bags: readonly number[] }) {
  const texts = sayBags().labels;
  const wanted = fieldsAsked(labelChoice.value);
  const { body, why } = useFetched(`${bags.join(",")} ${wanted} ${language.value}`, () =>
    bagService.labels(bags, wanted, language.value),
  );
  return (
    <>
      <h1>{texts.printTitle}</h1>
      <div class="no-print">
        <fieldset>
          <legend>{texts.what}</legend>
          <div class="ticks">
            {fields.map((field) => (
              <FieldTick key={field} field={field} />
            ))}
          </div>
        </fieldset>
        <div class="at-hand">
          <button type="button" class="main" onClick={() => window.print()}>
            {texts.print}
          </button>
        </div>
        <p class="quiet">{texts.notLegal}</p>
      </div>
      <Refused why={why} />
      <div class="labels">
        {body?.map((label) => (
          <Label key={label.bag} label={label} hasCode={wanted.split(",").includes("code")} />
        ))}
      </div>
    </>
  );
}

function Label({ label, hasCode }: { readonly label: LabelText; readonly hasCode: boolean }) {
  return (
    <article class="label">
      <div class="label-code">
        {hasCode && <img src={codeAddress(label.bag)} alt={sayBags().labels.codeOf(label.code)} />}
        <p class="strong whole">{label.code}</p>
      </div>
      <h2>{label.title}</h2>
      {label.marks.map((mark) => (
        <p key={mark} class="strong">
          {mark}
        </p>
      ))}
      {label.lines.map((line) => (
        <p key={line}>
          <WithCode text={line} code={label.code} />
        </p>
      ))}
      {label.cautions.map((caution) => (
        <p key={caution} class="strong">
          {caution}
        </p>
      ))}
      <p>{label.footer}</p>
    </article>
  );
}
