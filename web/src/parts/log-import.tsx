/** A log kept by hand, as a CSV file: looked at first, then brought into the record, all of it or nothing. */
import { useSignal } from "@preact/signals";
import { useId } from "preact/hooks";
import type { LogImport as Found, NewImport } from "../../../src/wire/requests.ts";
import { service } from "../ask.ts";
import { foodCalled, nowMs, say, speech } from "../page.ts";
import { sayKitchen } from "../kitchen-texts.ts";
import { fromLocalField, showDate, showMass, toLocalField } from "../show.ts";
import { Refused, useAct } from "./act.tsx";
import { Field, Fold } from "./field.tsx";
import { ServiceText } from "./service-text.tsx";

const mostLetters = 1_000_000;

export function LogImport({ onKept }: { readonly onKept: () => void }) {
  const texts = sayKitchen().record.bringIn;
  const id = useId();
  const act = useAct();
  const csv = useSignal<string | null>(null);
  const dryer = useSignal("");
  const startedAt = useSignal(toLocalField(nowMs.peek()));
  const found = useSignal<Found | null>(null);
  const said = useSignal("");

  const asked = (): NewImport | null => {
    const iso = fromLocalField(startedAt.value, nowMs.peek());
    if (csv.value === null || dryer.value.trim() === "") return null;
    const body = { csv: csv.value, dryer: dryer.value.trim() };
    return iso === null ? body : { ...body, startedAt: iso };
  };
  const look = async (): Promise<void> => {
    const body = asked();
    said.value = body === null ? texts.missing : "";
    if (body === null) return;
    const done = await act.run(() => service.previewImport(body));
    found.value = done?.body ?? null;
  };
  const keep = async (): Promise<void> => {
    const body = asked();
    if (body === null) return;
    const done = await act.run(() => service.importLog(body));
    if (done === null) return;
    said.value = texts.kept(done.body.batches.length);
    found.value = null;
    csv.value = null;
    onKept();
  };
  const read = (file: File | undefined): void => {
    found.value = null;
    csv.value = null;
    said.value = "";
    if (file === undefined) return;
    void file.text().then((text) => {
      if (text.length > mostLetters) said.value = texts.tooLong;
      else csv.value = text;
    });
  };

  return (
    <Fold summary={texts.title}>
      <p>{texts.explain}</p>
      <div class="field">
        <label for={id}>{texts.file}</label>
        <input
          id={id}
          type="file"
          accept=".csv,.tsv,.txt,text/csv"
          onChange={(event) => read(event.currentTarget.files?.[0])}
        />
      </div>
      <Field label={say().plan.dryer} hint={sayKitchen().plan.dryerHint} of={dryer} />
      <Field label={texts.startedAt} hint={texts.startedAtHint} kind="when" of={startedAt} />
      <button type="button" aria-disabled={act.busy} onClick={() => void look()}>
        {texts.look}
      </button>
      <p role="status">{said.value}</p>
      <Refused why={act.refusal} />
      <div role="status">{found.value !== null && <Preview found={found.value} />}</div>
      {found.value !== null && found.value.problems.length === 0 && (
        <button type="button" class="big" aria-disabled={act.busy} onClick={() => void keep()}>
          {texts.keep(found.value.batches.length)}
        </button>
      )}
    </Fold>
  );
}

function Preview({ found }: { readonly found: Found }) {
  const texts = sayKitchen().record.bringIn;
  const mass = (grams: number | null): string =>
    grams === null ? "" : showMass(speech.value, grams, null);
  return (
    <>
      {found.problems.length > 0 && <p class="strong">{texts.problems(found.problems.length)}</p>}
      <ul class="log">
        {found.problems.map(({ line, text }) => (
          <li key={`${line} ${text}`}>
            <span class="strong">{texts.line(line)}</span> <ServiceText text={text} />
          </li>
        ))}
      </ul>
      {found.notes.map((note) => (
        <p key={note} class="quiet">
          <ServiceText text={note} />
        </p>
      ))}
      {found.batches.map((batch) => (
        <div key={batch.batch}>
          <p class="strong">
            <ServiceText text={batch.name} />, {showDate(speech.value, batch.startedAt)}
          </p>
          <ul class="facts">
            {batch.trays.map((tray) => (
              <li key={tray.name}>
                {tray.food === null ? tray.name : `${tray.name}, ${foodCalled(tray.food)}`}:{" "}
                {sayKitchen().record.to(mass(tray.freshGrams), mass(tray.lastGrams))},{" "}
                {texts.weighings(tray.weighings)}
              </li>
            ))}
          </ul>
        </div>
      ))}
    </>
  );
}
