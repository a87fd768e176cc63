/** Every weighing of a batch as it was taken, and its corrections; a correction is a new row beside the old. */
import { useSignal } from "@preact/signals";
import type { Batch, History, Weighing } from "../../../src/wire/batch.ts";
import type { WeighingEdit } from "../../../src/wire/requests.ts";
import type { WeighingKind } from "../../../src/wire/words.ts";
import { fromGrams, toGrams } from "../../../src/units/mass.ts";
import { grams } from "../../../src/units/quantity.ts";
import { csvAddress, jsonAddress, service } from "../ask.ts";
import { nowMs, say, speech } from "../page.ts";
import { capital, readTyped, showDuration, showMass, showTime, trayName } from "../show.ts";
import { Form, useAct } from "./act.tsx";
import { Correctable } from "./correctable.tsx";
import { Choice, Field, Fold } from "./field.tsx";
import { ReasonText, ServiceText } from "./service-text.tsx";

type Props = { readonly batch: Batch; readonly history: History | null };
const kinds: readonly WeighingKind[] = ["tare", "fresh", "dry"];

export function WeighingLog({ batch, history }: Props) {
  const texts = say().batch.weighings;
  const weighings = history?.weighings ?? batch.trays.flatMap((tray) => tray.weighings);
  return (
    <Fold summary={texts.open}>
      <p class="quiet">{texts.explain}</p>
      <ul class="log">
        {weighings.map((weighing) => (
          <Correctable
            key={weighing.id}
            line={
              <Line
                batch={batch}
                weighing={weighing}
                isInDoubt={history?.inDoubt.includes(weighing.id) ?? false}
              />
            }
            isPast={!weighing.current || weighing.struck}
            mayCorrect={weighing.current && !weighing.struck}
            word={texts.correct}
            label={texts.correctWhich(whatOf(batch, weighing), timeOf(weighing))}
            form={(onDone) => <Correction batch={batch} weighing={weighing} onDone={onDone} />}
          />
        ))}
      </ul>
      <p class="answers">
        <a class="button" href={csvAddress(batch.id, speech.value.locale)} download>
          {texts.csv}
        </a>
        <a class="button" href={jsonAddress(batch.id)} download>
          {texts.json}
        </a>
      </p>
    </Fold>
  );
}

const timeOf = (weighing: Weighing): string => showTime(speech.value, weighing.at, nowMs.value);

function whatOf(batch: Batch, weighing: Weighing): string {
  const tray = batch.trays.find((one) => one.id === weighing.tray);
  const name = tray === undefined ? say().none : trayName(speech.value, tray.name);
  return `${capital(name)}, ${say().weigh.kinds[weighing.kind]}`;
}

type LineProps = {
  readonly batch: Batch;
  readonly weighing: Weighing;
  /** The scale was out of tolerance at a check since. */
  readonly isInDoubt: boolean;
};

function Line({ batch, weighing, isInDoubt }: LineProps) {
  const texts = say().batch.weighings;
  const mass = (value: number): string => showMass(speech.value, value, weighing.divisionGrams);
  const notes = [
    weighing.netGrams === null || weighing.kind === "tare"
      ? null
      : say().weigh.takenNet(mass(weighing.netGrams)),
    weighing.dryingHours === null || weighing.kind !== "dry"
      ? null
      : showDuration(speech.value, weighing.dryingHours),
    weighing.source === "typed" ? texts.typed : null,
    weighing.zeroSeen ? null : texts.zeroUnseen,
    isInDoubt ? texts.scaleInDoubt : null,
    weighing.clockDoubt === null ? null : texts.clockDoubts[weighing.clockDoubt],
    weighing.struck ? texts.struck : weighing.current ? null : texts.replaced,
    weighing.reason === null ? null : texts.because(weighing.reason),
  ].filter((note) => note !== null);
  return (
    <>
      <span class="quiet">{timeOf(weighing)}</span> {whatOf(batch, weighing)}:{" "}
      <span class="strong">{mass(weighing.grossGrams)}</span>{" "}
      <span class="quiet">{notes.join(", ")}</span>
    </>
  );
}

type CorrectionProps = {
  readonly batch: Batch;
  readonly weighing: Weighing;
  readonly onDone: () => void;
};

function Correction({ batch, weighing, onDone }: CorrectionProps) {
  const texts = say().batch.weighings;
  const { unit } = speech.value;
  const act = useAct();
  const tray = useSignal(String(weighing.tray));
  const kind = useSignal(weighing.kind);
  const before = plainMass(weighing.grossGrams, unit);
  const gross = useSignal(before);
  const reason = useSignal("");

  const send = async (struck: boolean): Promise<void> => {
    const value = readTyped(gross.value);
    if (!struck && value === null) {
      act.refuse(say().weigh.typed.notANumber, gross);
      return;
    }
    const change: Omit<WeighingEdit, "reason"> = struck
      ? { struck: true }
      : {
          ...(Number(tray.value) === weighing.tray ? {} : { tray: Number(tray.value) }),
          ...(kind.value === weighing.kind ? {} : { kind: kind.value }),
          ...(gross.value === before || value === null ? {} : { grossGrams: toGrams(value, unit) }),
        };
    const why = reason.value.trim() || (struck ? texts.strike : texts.correct);
    const done = await act.run(() => service.editWeighing(weighing.id, { ...change, reason: why }));
    if (done !== null) onDone();
  };

  return (
    <Form
      onSend={() => void send(false)}
      act={act}
      send={texts.keep}
      look="big"
      beside={
        <button type="button" onClick={() => void send(true)}>
          {texts.strike}
        </button>
      }
    >
      <div class="fields" data-question>
        <Choice
          label={texts.tray}
          of={tray}
          options={batch.trays.map(({ id, name }) => ({
            value: String(id),
            label: capital(trayName(speech.value, name)),
          }))}
        />
        <Choice
          label={texts.kind}
          of={kind}
          options={kinds.map((one) => ({ value: one, label: say().weigh.kinds[one] }))}
        />
        <Field label={texts.gross(unit)} kind="number" narrow of={gross} />
        <Field label={texts.reason} hint={texts.reasonHint} of={reason} />
      </div>
    </Form>
  );
}

/** As typed back: no separator of thousands, and as many decimals as the mass has. */
const plainMass = (mass: number, unit: "g" | "kg" | "oz" | "lb"): string =>
  String(Number(fromGrams(grams(mass), unit).toFixed(unit === "g" ? 2 : 4)));

export function VerdictLog({ batch, history }: Props) {
  const texts = say().batch;
  const verdicts = history?.verdicts ?? [];
  if (verdicts.length === 0) return null;
  const nameOf = (id: number | null): string =>
    id === null
      ? texts.whole
      : trayName(speech.value, batch.trays.find((tray) => tray.id === id)?.name ?? "");
  return (
    <Fold summary={texts.verdictLog}>
      <ul class="log">
        {verdicts.map((verdict) => (
          <li key={`${verdict.at} ${verdict.tray ?? ""} ${verdict.round}`}>
            <span class="log-line">
              <span class="quiet">
                {showTime(speech.value, verdict.at, nowMs.value)}, {texts.round(verdict.round)},{" "}
                {nameOf(verdict.tray)}:
              </span>{" "}
              <span class="strong">{texts.words[verdict.verdict]}.</span>{" "}
              {verdict.reasons.length === 0 ? (
                <ServiceText text={verdict.text} />
              ) : (
                verdict.reasons.map((reason, i) => (
                  <span key={i}>
                    {i > 0 && "; "}
                    <ReasonText reason={reason} />
                  </span>
                ))
              )}
            </span>
          </li>
        ))}
      </ul>
    </Fold>
  );
}
