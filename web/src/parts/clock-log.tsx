/** The drying clock's moments, and the ways to set right what was forgotten; nothing said before is lost. */
import { useSignal } from "@preact/signals";
import type { Batch, ClockMoment, History } from "../../../src/wire/batch.ts";
import { service } from "../ask.ts";
import { nowMs, say, speech } from "../page.ts";
import { fromLocalField, listOf, showTime, toLocalField, trayName } from "../show.ts";
import { ActButton, Form, useAct } from "./act.tsx";
import { Correctable } from "./correctable.tsx";
import { Choice, Field, Fold } from "./field.tsx";

type Props = { readonly batch: Batch; readonly history: History | null };

export function ClockLog({ batch, history }: Props) {
  const texts = say().batch.clockLog;
  const moments = history?.moments ?? batch.moments;
  const isEnded = batch.phase === "ended";
  return (
    <Fold summary={texts.open}>
      <p class="quiet">{texts.explain}</p>
      <ul class="log">
        {moments.map((moment) => (
          <Correctable
            key={moment.id}
            line={<Moment batch={batch} moment={moment} />}
            isPast={!moment.current}
            mayCorrect={moment.current && !isEnded}
            word={texts.setRight}
            label={texts.setRightWhich(texts[moment.is], timeOf(moment))}
            form={(onDone) => <MomentForm batch={batch} moment={moment} onDone={onDone} />}
          />
        ))}
      </ul>
      {!isEnded && <ForgottenForm batch={batch} />}
    </Fold>
  );
}

const timeOf = (moment: ClockMoment): string => showTime(speech.value, moment.at, nowMs.value);

function Moment({ batch, moment }: { readonly batch: Batch; readonly moment: ClockMoment }) {
  const texts = say().batch.clockLog;
  const names = batch.trays
    .filter((tray) => moment.trays?.includes(tray.id))
    .map((tray) => trayName(speech.value, tray.name));
  const notes = [
    names.length > 0 ? texts.some(listOf(speech.value, names)) : null,
    moment.implied ? texts.implied : null,
    moment.struck ? texts.struck : !moment.current ? texts.replaced : null,
    moment.reason === null ? null : say().batch.weighings.because(moment.reason),
  ].filter((note) => note !== null);
  return (
    <>
      <span class="strong">{timeOf(moment)}</span> {texts[moment.is]}{" "}
      <span class="quiet">{notes.join(", ")}</span>
    </>
  );
}

type FormProps = {
  readonly batch: Batch;
  readonly moment: ClockMoment;
  readonly onDone: () => void;
};

function MomentForm({ batch, moment, onDone }: FormProps) {
  const texts = say().batch.clockLog;
  const act = useAct();
  const movedFrom = Date.parse(moment.at);
  const at = useSignal(toLocalField(movedFrom));
  const reason = useSignal("");
  const keep = async (struck: boolean): Promise<void> => {
    const when = fromLocalField(at.value, movedFrom);
    const change = struck || when === null ? { struck } : { at: when };
    const done = await act.run(() =>
      service.editMoment(batch.id, moment.id, {
        ...change,
        reason: reason.value.trim() || texts.setRight,
      }),
    );
    if (done !== null) onDone();
  };
  return (
    <Form
      onSend={() => void keep(false)}
      act={act}
      send={texts.keep}
      look="big"
      beside={
        <button type="button" onClick={() => void keep(true)}>
          {texts.strike}
        </button>
      }
    >
      <div class="fields" data-question>
        <Field label={texts.at} kind="when" narrow of={at} />
        <Field label={texts.reason} hint={texts.reasonHint} of={reason} />
      </div>
    </Form>
  );
}

function ForgottenForm({ batch }: { readonly batch: Batch }) {
  const texts = say().batch.clockLog;
  const act = useAct();
  const is = useSignal<"in" | "out">("out");
  const at = useSignal("");
  return (
    <Form
      act={act}
      send={texts.add}
      onSend={() => {
        const when = fromLocalField(at.value, nowMs.peek());
        void act
          .run(() =>
            service.setClock(batch.id, { is: is.value, ...(when === null ? {} : { at: when }) }),
          )
          .then((done) => {
            if (done !== null) at.value = "";
          });
      }}
    >
      <h3>{texts.forgotten}</h3>
      <div class="fields">
        <Choice
          label={texts.what}
          of={is}
          options={[
            { value: "out", label: texts.out },
            { value: "in", label: texts.in },
          ]}
        />
        <Field label={texts.at} kind="when" narrow of={at} />
      </div>
    </Form>
  );
}

export function Interruptions({ batch }: { readonly batch: Batch }) {
  const texts = say().batch.interruptions;
  const act = useAct();
  const from = useSignal("");
  const to = useSignal("");
  const reason = useSignal("");
  const time = (iso: string): string => showTime(speech.value, iso, nowMs.value);
  const isEnded = batch.phase === "ended";
  const gap = say().batch.gap;
  return (
    <Fold summary={texts.open} onToggle={() => (from.value = toLocalField(nowMs.peek()))}>
      <p class="quiet">{texts.explain}</p>
      <ul class="log">
        {batch.interruptions.map((one) => (
          <li key={one.id}>
            <span class="log-line">
              <span class="strong">{time(one.from)}</span>{" "}
              {one.to === null ? texts.lasts : say().until(time(one.to))}{" "}
              <span class="quiet">{one.reason}</span>
            </span>
            {one.to === null && !isEnded && (
              <ActButton
                asking={() =>
                  service.endInterruption(batch.id, one.id, new Date(nowMs.peek()).toISOString())
                }
              >
                {texts.over}
              </ActButton>
            )}
          </li>
        ))}
        {batch.gaps
          .filter((one) => one.dryerRan !== null)
          .map((one) => (
            <li key={`gap ${one.id}`}>
              <span class="strong">{time(one.from)}</span> {say().until(time(one.to))}{" "}
              <span class="quiet">{one.dryerRan === true ? gap.ran : gap.stood}</span>
            </li>
          ))}
      </ul>
      {!isEnded && (
        <Form
          act={act}
          send={texts.note}
          onSend={() => {
            const start = fromLocalField(from.value, nowMs.peek());
            if (start === null) return;
            void act
              .run(() =>
                service.noteInterruption(batch.id, {
                  from: start,
                  to: fromLocalField(to.value, nowMs.peek()),
                  reason: reason.value.trim() || texts.open,
                }),
              )
              .then((done) => {
                if (done !== null) reason.value = "";
              });
          }}
        >
          <div class="fields">
            <Field label={texts.from} kind="when" narrow of={from} />
            <Field label={texts.to} kind="when" narrow hint={texts.toHint} of={to} />
            <Field label={texts.reason} hint={texts.reasonHint} of={reason} />
          </div>
        </Form>
      )}
    </Fold>
  );
}
