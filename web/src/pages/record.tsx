/** What happened, then and over the years? */
import { useSignal } from "@preact/signals";
import { service } from "../ask.ts";
import { bench, dryerCalled, foodCalled, say, speech } from "../page.ts";
import { sayKitchen } from "../kitchen-texts.ts";
import { Refused } from "../parts/act.tsx";
import { LogImport } from "../parts/log-import.tsx";
import { Field } from "../parts/field.tsx";
import { useFetched } from "../parts/fetched.ts";
import { VerdictMark } from "../parts/verdict-mark.tsx";
import { writeRoute } from "../route.ts";
import { batchName, showDate, showMass } from "../show.ts";
import { bagNumberIn } from "../wedge.ts";
import { EndedBatch } from "./batch.tsx";

type Props = { readonly batch: number | null; readonly tray: number | null };

export function RecordPage({ batch, tray }: Props) {
  if (batch === null) return <Batches />;
  return (
    <>
      <p class="back">
        <a href={writeRoute({ page: "record", batch: null, tray: null })} class="button">
          {sayKitchen().record.back}
        </a>
      </p>
      <EndedBatch key={batch} id={batch} tray={tray} />
    </>
  );
}

function Batches() {
  const texts = sayKitchen().record;
  const again = useSignal(0);
  // What an open one has come to is in the list too.
  const open = bench.value?.batches.map(({ id, verdict }) => `${id} ${verdict}`).join() ?? "";
  const typed = useSignal("");
  const { body, why } = useFetched(`all ${open} ${again.value} ${typed.value}`, () =>
    service.batches("all", typed.value.trim()),
  );
  const bag = bagNumberIn(typed.value);
  const newestFirst = [...(body ?? [])].sort((a, b) => b.number - a.number);
  return (
    <>
      <h1>{texts.title}</h1>
      <div class="fields" role="search">
        <Field label={texts.search} hint={texts.searchHint} of={typed} />
      </div>
      <Refused why={why} />
      <p role="status">
        {body !== null &&
          newestFirst.length === 0 &&
          (typed.value.trim() === "" ? texts.none : texts.noneFound)}
      </p>
      {bag !== null && (
        <p>
          <a class="button" href={writeRoute({ page: "shelf", bag: null, code: bag })}>
            {texts.bag(bag)}
          </a>
        </p>
      )}
      <ul class="ledger">
        {newestFirst.map((batch) => (
          <li key={batch.id}>
            <a
              href={writeRoute({
                page: batch.endedAt === null ? "batch" : "record",
                batch: batch.id,
                tray: null,
              })}
            >
              <span class="strong">{batchName(speech.value, batch)}</span>
              <span class="quiet">
                {say().batch.number(batch.number)}, {showDate(speech.value, batch.startedAt)},{" "}
                {dryerCalled(batch.dryer)}
                {batch.endedAt === null ? `, ${texts.open}` : ""}
              </span>
              <span class="ledger-verdict">
                {batch.verdict !== null && <VerdictMark verdict={batch.verdict} />}
                {batch.verdict === null ? say().batch.noVerdict : say().batch.words[batch.verdict]}
              </span>
              <span>
                {batch.foods.map(foodCalled).join("; ")}
                {batch.freshGrams !== null && batch.netGrams !== null && (
                  <span class="quiet block">
                    {texts.to(
                      showMass(speech.value, batch.freshGrams, null),
                      showMass(speech.value, batch.netGrams, null),
                    )}
                  </span>
                )}
              </span>
            </a>
          </li>
        ))}
      </ul>
      <section class="folds">
        <LogImport onKept={() => again.value++} />
      </section>
    </>
  );
}
