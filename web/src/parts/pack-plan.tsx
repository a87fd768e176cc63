/** Which trays, how many bags, which bags: then one question where a tray is not proved dry. */
import { signal, useSignal } from "@preact/signals";
import { useId } from "preact/hooks";
import type { BagsPreview, NewBags, Prepared, Unpacked, WentIn } from "../../../src/wire/bag.ts";
import { bagService } from "../ask-bags.ts";
import { choose } from "../choose.ts";
import { sayBags } from "../bag-texts.ts";
import {
  firstDraft,
  foodsIn,
  mostBags,
  readPack,
  rowOf,
  usualVolumes,
  withPackage,
  type PackDraft,
  type PackFlaw,
  type VolumeName,
} from "../pack.ts";
import { decimalsOf } from "../../../src/units/mass.ts";
import { begun, bench, foodCalled, say, speech, state } from "../page.ts";
import { writeRoute } from "../route.ts";
import { capital, listOf, readTyped, showMass, showNumber, trayName } from "../show.ts";
import { scaleToShow } from "../state.ts";
import { Form, Refused, useAct, type Acting } from "./act.tsx";
import { Choice, Field, Flaws, Fold } from "./field.tsx";
import { useFetched } from "./fetched.ts";
import { useFromTop } from "./from-top.ts";
import { WeighAlone } from "./portions.tsx";
import { ServiceText } from "./service-text.tsx";

/** Outlives the page: a load on the scale may take a person to Weigh in the middle. */
const drafts = signal<Readonly<Record<number, PackDraft>>>({});
begun.push(() => Object.keys(drafts.peek()).length > 0);

type Props = { readonly batch: number; readonly unpacked: Unpacked };
type Editing = {
  readonly draft: PackDraft;
  readonly unpacked: Unpacked;
  readonly change: (part: Partial<PackDraft>) => void;
  /** What is typed as it stands in the draft. */
  readonly typed: (key: TypedPart) => {
    readonly value: string;
    readonly onValue: (text: string) => void;
    readonly isFlawed: boolean;
  };
  readonly flaw: PackFlaw | null;
  /** Its trays can still be weighed. */
  readonly isOpen: boolean;
};
type Row = Unpacked["trays"][number];
type TypedPart =
  "fresh" | "volume" | "tare" | "lot" | "absorberCount" | "absorberCc" | "product" | "supplier";

const flawOf: Partial<Record<TypedPart, PackFlaw["is"]>> = {
  fresh: "bad-fresh",
  volume: "bad-volume",
  tare: "bad-tare",
  absorberCount: "bad-absorber",
  absorberCc: "bad-absorber",
};

const pageScale = () => {
  const id = scaleToShow(state.peek(), null);
  return bench.peek()?.scales.find((scale) => scale.id === id) ?? null;
};

export function PackPlan({ batch, unpacked }: Props) {
  const { unit } = speech.value;
  const draft = drafts.value[batch] ?? firstDraft(unpacked, unit);
  const change = (part: Partial<PackDraft>): void => {
    const now = drafts.peek()[batch] ?? draft;
    drafts.value = { ...drafts.peek(), [batch]: { ...now, ...part } };
  };
  const read = readPack(draft, unpacked, unit, pageScale()?.divisionGrams ?? null);
  const asked = read.is === "whole" ? read.bags : null;
  const flaw = read.is === "flawed" ? read.flaw : null;
  const flawId = useId();
  const preview = useFetched(asked === null ? null : JSON.stringify(asked), () =>
    asked === null ? Promise.reject(new Error("nothing asked")) : bagService.preview(batch, asked),
  );
  const isAsking = useSignal(false);
  const act = useAct();

  const start = async (although: string | null): Promise<void> => {
    if (asked === null || preview.body === null) return;
    if (preview.body.notDry.length > 0 && although === null) {
      isAsking.value = true;
      return;
    }
    const done = await act.run(() =>
      bagService.plan(batch, planned(asked, draft, preview.body, although)),
    );
    if (done === null) return;
    const { [batch]: _, ...others } = drafts.peek();
    drafts.value = others;
    const [first] = done.body;
    const scale = pageScale();
    if (first !== undefined && scale !== null)
      await act.run(() => choose(scale.id, "bag", { bag: first.id }));
  };

  if (isAsking.value && preview.body !== null)
    return (
      <NotDry
        batch={batch}
        preview={preview.body}
        act={act}
        onReason={(reason) => void start(reason)}
      />
    );
  const typed: Editing["typed"] = (key) => ({
    value: draft[key],
    onValue: (text) => change({ [key]: text }),
    isFlawed: flaw !== null && flawOf[key] === flaw.is,
  });
  const isOpen = bench.value?.batches.some(({ id }) => id === batch) ?? false;
  const editing = { draft, unpacked, change, typed, flaw, isOpen };
  return (
    <Form
      onSend={() => void start(null)}
      act={act}
      foot={
        <>
          {flaw !== null ? (
            <p id={flawId} class="refused" role="alert">
              {flawWords(flaw)}
            </p>
          ) : (
            <Refused why={preview.why} />
          )}
          <div role="status">
            {preview.body !== null && preview.why === null && asked !== null && (
              <p class="pack-preview">
                <PreviewWords preview={preview.body} />
              </p>
            )}
          </div>
          <button
            type="submit"
            class="main"
            aria-disabled={act.busy || asked === null || preview.body === null}
          >
            {sayBags().pack.start(preview.body?.bags.length ?? draft.count)}
          </button>
        </>
      }
    >
      <Flaws.Provider value={{ id: flawId, fields: [] }}>
        <Trays {...editing} />
        <HowMany {...editing} />
        <Package {...editing} />
        <Absorber {...editing} preview={preview.body} />
        <ForTheLabel {...editing} />
      </Flaws.Provider>
    </Form>
  );
}

const planned = (
  asked: NewBags,
  draft: PackDraft,
  preview: BagsPreview | null,
  although: string | null,
): NewBags => ({
  ...asked,
  absorbers:
    draft.absorber === "proposed"
      ? (preview?.absorber?.absorbers ?? null)
      : (asked.absorbers ?? null),
  although,
});

function flawWords(flaw: PackFlaw): string {
  const texts = sayBags().pack;
  return flaw.is === "bad-part"
    ? texts.badPart(trayName(speech.value, flaw.name))
    : texts.flaws[flaw.is];
}

function PreviewWords({ preview }: { readonly preview: BagsPreview }) {
  const [first] = preview.bags;
  const last = preview.bags.at(-1);
  if (first === undefined || last === undefined) return null;
  const division = pageScale()?.divisionGrams ?? 0.1;
  const mass = (value: number): string => showMass(speech.value, value, division);
  const between = (low: string, high: string): string =>
    low === high ? low : say().range(low, high);
  const net = between(mass(last.netGrams), mass(first.netGrams));
  const fresh = between(mass(last.freshGrams), mass(first.freshGrams));
  return <>{sayBags().pack.preview(preview.bags.length, net, fresh)}</>;
}

function Trays({ draft, unpacked, change, flaw, isOpen }: Editing) {
  const texts = sayBags().pack;
  const { portions } = say().batch;
  const { unit } = speech.value;
  const set = (row: string, part: Partial<PackDraft["trays"][string]>): void =>
    change({
      trays: {
        ...draft.trays,
        [row]: { ...(draft.trays[row] ?? { isIn: false, part: "" }), ...part },
      },
    });
  const mixed = foodsIn(draft, unpacked);
  const withFood = unpacked.trays.filter(({ leftGrams }) => (leftGrams ?? 0) > 0);
  const scale = pageScale();
  const left = ({ leftGrams, isEstimate }: Row): string => {
    if (leftGrams === null) return texts.notWeighed;
    if (leftGrams === 0) return texts.packed;
    const mass = showMass(speech.value, leftGrams, 0.1);
    return texts.left(isEstimate ? portions.about(mass) : mass);
  };
  return (
    <fieldset class="pack-part">
      <legend>{texts.trays}</legend>
      <ul class="pack-trays">
        {unpacked.trays.map((one, place) => {
          const goesOn = unpacked.trays[place + 1]?.tray === one.tray;
          const { tray, portion, name, food, leftGrams, whyNotDry, isEstimate } = one;
          const row = rowOf(one);
          return (
            <li key={row} class={goesOn ? "goes-on" : ""}>
              <label class="tick">
                <input
                  type="checkbox"
                  disabled={(leftGrams ?? 0) <= 0}
                  checked={draft.trays[row]?.isIn === true}
                  onChange={({ currentTarget }) => set(row, { isIn: currentTarget.checked })}
                />
                <span>
                  <span class="strong">{capital(trayName(speech.value, name))}</span>{" "}
                  {food !== null && foodCalled(food)}
                </span>
              </label>
              <span class="figure">{left(one)}</span>
              {isEstimate && isOpen && portion !== null && scale !== null && (
                <WeighAlone scale={scale.id} tray={tray} portion={portion} food={food} />
              )}
              {whyNotDry !== null && !goesOn && (
                <span class="not-dry">
                  {portion !== null && `${capital(trayName(speech.value, name))} `}
                  {texts.notDry}: <ServiceText text={whyNotDry} />
                </span>
              )}
            </li>
          );
        })}
      </ul>
      {withFood.some(({ isEstimate }) => isEstimate) && <p class="quiet">{portions.estimate}</p>}
      {mixed.length > 1 && (
        <p class="caution">{texts.mixed(listOf(speech.value, mixed.map(foodCalled)))}</p>
      )}
      <Fold summary={texts.parts}>
        <div class="fields">
          {withFood.map((one) => {
            const row = rowOf(one);
            return (
              <Field
                key={row}
                label={texts.part(partName(one), unit)}
                kind="number"
                narrow
                isFlawed={flaw?.is === "bad-part" && flaw.row === row}
                value={draft.trays[row]?.part ?? ""}
                onValue={(part) => set(row, part.trim() === "" ? { part } : { part, isIn: true })}
              />
            );
          })}
        </div>
      </Fold>
    </fieldset>
  );
}

function partName({ name, portion, food }: Row): string {
  const tray = trayName(speech.value, name);
  return portion === null || food === null ? tray : `${tray}, ${foodCalled(food)}`;
}

function HowMany({ draft, change, typed }: Editing) {
  const texts = sayBags().pack;
  const { unit } = speech.value;
  const to = (count: number): void => change({ count: Math.min(mostBags, Math.max(1, count)) });
  return (
    <fieldset class="pack-part">
      <legend>{texts.into}</legend>
      <div class="ticks">
        {(["count", "fresh"] as const).map((by) => (
          <label key={by} class="tick">
            <input
              type="radio"
              name="divide"
              checked={draft.by === by}
              onChange={() => change({ by })}
            />
            <span>{by === "count" ? texts.byCount : texts.byFresh}</span>
          </label>
        ))}
      </div>
      {draft.by === "count" ? (
        <div class="stepper">
          <button
            type="button"
            class="big"
            aria-label={texts.fewer}
            onClick={() => to(draft.count - 1)}
          >
            {"\u2212"}
          </button>
          <output>{texts.count(draft.count)}</output>
          <button
            type="button"
            class="big"
            aria-label={texts.more}
            onClick={() => to(draft.count + 1)}
          >
            +
          </button>
        </div>
      ) : (
        <Field label={texts.fresh(unit)} kind="number" narrow {...typed("fresh")} />
      )}
    </fieldset>
  );
}

const containers = ["soft", "jar", "can"] as const;

/** A typed figure with the decimal mark of the person's own country. */
function asTyped(text: string): string {
  const value = readTyped(text);
  return value === null ? text : showNumber(speech.value, value, decimalsOf(value));
}

/** The bag that is at hand in one line; another one behind a fold, for most people have one kind. */
function Package({ draft, unpacked, change, typed }: Editing) {
  const texts = sayBags().pack;
  const all = sayBags();
  const { unit } = speech.value;
  const ml = (value: number): string => all.millilitres(showNumber(speech.value, value, 0));
  const volume = readTyped(draft.volume);
  const chosen = [
    all.containers[draft.container],
    volume === null ? null : ml(volume),
    draft.lot.trim() === "" ? null : draft.lot,
    draft.tare.trim() === ""
      ? texts.weighedEmpty
      : texts.empty(`${asTyped(draft.tare)}\u00a0${unit}`),
  ];
  const names = Object.keys(usualVolumes) as VolumeName[];
  return (
    <fieldset class="pack-part">
      <legend>{texts.package}</legend>
      <p>{chosen.filter((part) => part !== null).join(", ")}</p>
      <Fold summary={texts.anotherPackage}>
        {unpacked.packages.length > 1 && (
          <div class="answers">
            {unpacked.packages.map((one) => (
              <button
                key={`${one.container} ${one.volumeMl} ${one.lot ?? ""}`}
                type="button"
                onClick={() => change(withPackage(draft, one, unit))}
              >
                {[all.containers[one.container], ml(one.volumeMl), one.lot]
                  .filter((part) => part !== null)
                  .join(", ")}
              </button>
            ))}
          </div>
        )}
        <div class="fields">
          <Choice
            label={texts.container}
            value={draft.container}
            onValue={(container) => change({ container })}
            options={containers.map((one) => ({ value: one, label: all.containers[one] }))}
          />
          <Field
            label={texts.volume}
            hint={texts.volumeHint}
            kind="number"
            narrow
            {...typed("volume")}
          />
        </div>
        <div class="answers">
          {names.map((name) => (
            <button
              key={name}
              type="button"
              onClick={() => change({ volume: String(Math.round(usualVolumes[name])) })}
            >
              {all.volumes[name]} ({ml(usualVolumes[name])})
            </button>
          ))}
        </div>
        <div class="fields">
          <Field
            label={texts.tare(unit)}
            hint={texts.tareHint}
            kind="number"
            narrow
            {...typed("tare")}
          />
          <Field label={texts.lot} hint={texts.lotHint} {...typed("lot")} />
        </div>
      </Fold>
    </fieldset>
  );
}

function Absorber({
  draft,
  change,
  typed,
  preview,
}: Editing & { readonly preview: BagsPreview | null }) {
  const all = sayBags();
  const texts = all.pack.absorber;
  const need = preview?.absorber ?? null;
  const whyNot = preview?.absorberWhyNot ?? null;
  const cc = (value: number): string => showNumber(speech.value, value, 0);
  return (
    <fieldset class="pack-part">
      <legend>{texts.title}</legend>
      {whyNot !== null && (
        <p class="advice">
          <ServiceText text={whyNot} />
        </p>
      )}
      {draft.absorber === "none" && <p>{texts.noneChosen}</p>}
      {draft.absorber === "own" && (
        <p>{texts.need(all.absorbers(Number(draft.absorberCount), draft.absorberCc))}</p>
      )}
      {draft.absorber === "proposed" && need !== null && (
        <p>{texts.need(all.absorbers(need.absorbers.count, cc(need.absorbers.cc)))}</p>
      )}
      {draft.absorber !== "none" &&
        preview?.cautions.map((caution) => (
          <p key={caution} class="caution">
            <ServiceText text={caution} />
          </p>
        ))}
      <Fold summary={texts.change}>
        <div class="ticks">
          {(["proposed", "none", "own"] as const).map((one) => (
            <label key={one} class="tick">
              <input
                type="radio"
                name="absorber"
                checked={draft.absorber === one}
                onChange={() => change({ absorber: one })}
              />
              <span>{texts[one]}</span>
            </label>
          ))}
        </div>
        {draft.absorber === "own" && (
          <div class="fields">
            <Field label={texts.count} kind="number" narrow {...typed("absorberCount")} />
            <Field label={texts.cc} kind="number" narrow {...typed("absorberCc")} />
          </div>
        )}
        {need !== null && (
          <ul class="arithmetic">
            {need.arithmetic.map(({ text, source }) => (
              <li key={text}>
                <ServiceText text={text} />
                <span class="quiet block">
                  <ServiceText text={source} />
                </span>
              </li>
            ))}
          </ul>
        )}
      </Fold>
    </fieldset>
  );
}

const preparations: readonly Prepared[] = ["raw", "blanched", "cooked"];
const wentIns: readonly WentIn[] = ["fresh", "frozen"];

function ForTheLabel({ draft, change, typed }: Editing) {
  const texts = sayBags().pack.label;
  return (
    <Fold summary={texts.title}>
      <div class="fields">
        <Field label={texts.product} hint={texts.productHint} {...typed("product")} />
        <Field label={texts.supplier} {...typed("supplier")} />
        <Choice
          label={texts.prepared}
          value={draft.prepared}
          onValue={(prepared) => change({ prepared })}
          options={[
            { value: "", label: texts.notSaid },
            ...preparations.map((one) => ({ value: one, label: texts.preparations[one] })),
          ]}
        />
        <Choice
          label={texts.wentIn}
          value={draft.wentIn}
          onValue={(wentIn) => change({ wentIn })}
          options={[
            { value: "", label: texts.notSaid },
            ...wentIns.map((one) => ({ value: one, label: texts.wentInAs[one] })),
          ]}
        />
      </div>
    </Fold>
  );
}

type NotDryProps = {
  readonly batch: number;
  readonly preview: BagsPreview;
  readonly act: Acting;
  readonly onReason: (reason: string) => void;
};

/** The one question: which trays, why each, why it matters, and the answer that goes on the record. */
function NotDry({ batch, preview, act, onReason }: NotDryProps) {
  const texts = sayBags().pack.ask;
  const own = useSignal("");
  useFromTop("not dry");
  return (
    <section class="ask" data-question aria-labelledby="not-dry-title">
      <h2 id="not-dry-title">{texts.title}</h2>
      <ul>
        {preview.notDry.map(({ tray, name, why }) => (
          <li key={tray}>
            <span class="strong">{capital(trayName(speech.value, name))}</span>:{" "}
            <ServiceText text={why} />
          </li>
        ))}
      </ul>
      <p>{texts.why}</p>
      <div class="at-hand">
        <a class="button main" href={writeRoute({ page: "batch", batch, tray: null })}>
          {texts.back}
        </a>
      </div>
      <div class="answers reasons-to-pack">
        {texts.reasons.map((reason) => (
          <button key={reason} type="button" class="big" onClick={() => onReason(reason)}>
            {reason}
          </button>
        ))}
      </div>
      <Form
        act={act}
        onSend={() => {
          if (own.value.trim() !== "") onReason(own.value.trim());
        }}
      >
        <Field label={texts.own} hint={texts.ownHint} of={own} />
        <button type="submit" class="big" aria-disabled={own.value.trim() === ""}>
          {texts.pack}
        </button>
      </Form>
    </section>
  );
}
