/** Is it dry, which tray is behind, when do I weigh next? */
import { useSignal } from "@preact/signals";
import type { Batch, Tray } from "../../../src/wire/batch.ts";
import { service } from "../ask.ts";
import { bench, dryerCalled, go, openBatch, say, speech } from "../page.ts";
import { ActButton, Refused } from "../parts/act.tsx";
import { AfterDrying, ClockAct, clockSentence, isDried } from "../parts/clock-act.tsx";
import { ClockLog, Interruptions } from "../parts/clock-log.tsx";
import { useFetched } from "../parts/fetched.ts";
import { Fold } from "../parts/field.tsx";
import { lazily } from "../parts/lazily.tsx";
import { NextWeighing } from "../parts/next-weighing.tsx";
import { Photos } from "../parts/photos.tsx";
import { ProvableBefore } from "../parts/provable-before.tsx";
import { TrayRow } from "../parts/tray-row.tsx";
import { Asked, AskedOfGaps, VerdictBlock, whatFollows } from "../parts/verdict-block.tsx";
import { VerdictMark } from "../parts/verdict-mark.tsx";
import { VerdictLog, WeighingLog } from "../parts/weighing-log.tsx";
import { writeRoute } from "../route.ts";
import { batchName, showDate } from "../show.ts";

const EditTrays = lazily(() => import("../parts/edit-trays.tsx").then((part) => part.EditTrays));
const Yields = lazily(() => import("../parts/yields.tsx").then((part) => part.Yields));

type Props = { readonly batch: number | null; readonly tray: number | null };

export function BatchPage({ batch: id, tray }: Props) {
  const open = bench.value?.batches ?? [];
  const only = open.length === 1 ? open[0] : undefined;
  const known = id === null ? only : openBatch(id);
  if (known !== null && known !== undefined)
    return <WholeBatch key={known.id} batch={known} tray={tray} />;
  if (id !== null && bench.value !== null) return <EndedBatch key={id} id={id} tray={tray} />;
  return <OpenBatches batches={open} />;
}

function OpenBatches({ batches }: { readonly batches: readonly Batch[] }) {
  const texts = say().batch;
  return (
    <>
      <h1>{texts.open}</h1>
      <AskedOfGaps batches={batches} />
      {batches.length === 0 && (
        <>
          <p>{texts.noneOpen}</p>
          <div class="at-hand">
            <a class="button main" href={writeRoute({ page: "plan" })}>
              {say().weigh.planOne}
            </a>
          </div>
        </>
      )}
      <ul class="ledger">
        {batches.map((batch) => (
          <li key={batch.id}>
            <a href={writeRoute({ page: "batch", batch: batch.id, tray: null })}>
              <span class="strong">{batchName(speech.value, batch)}</span>
              <span class="quiet">
                {dryerCalled(batch.dryer)} · {clockSentence(batch)}
              </span>
              <span class="ledger-verdict">
                {batch.verdict !== null && <VerdictMark verdict={batch.verdict} />}
                {batch.verdict === null ? texts.noVerdict : texts.words[batch.verdict]}
              </span>
              <span>{whatFollows(batch)}</span>
            </a>
          </li>
        ))}
      </ul>
    </>
  );
}

/** A batch that has ended is not on the bench; the service gives it from the record. */
export function EndedBatch({ id, tray }: { readonly id: number; readonly tray: number | null }) {
  const { body, why } = useFetched(`${id} ${bench.value?.nextWeighing}`, () => service.batch(id));
  if (why !== null) return <Refused why={why} />;
  if (body === null) return <p class="quiet">{say().connection.connecting}</p>;
  return <WholeBatch batch={body} tray={tray} />;
}

/** What the curves and the history depend on: they are fetched again when it changes. */
const signatureOf = (batch: Batch): string =>
  JSON.stringify([
    batch.id,
    batch.phase,
    batch.moments,
    batch.interruptions,
    batch.gaps,
    batch.trays.map((tray) => [
      tray.name,
      tray.tareGrams,
      tray.food,
      tray.waterPct,
      tray.thicknessMm,
      tray.coreCheck,
      tray.verdict?.verdict,
      tray.weighings.map((one) => [one.id, one.dryingHours]),
    ]),
  ]);

function WholeBatch({ batch, tray }: { readonly batch: Batch; readonly tray: number | null }) {
  const signature = signatureOf(batch);
  const curves = useFetched(signature, () => service.curves(batch.id));
  const history = useFetched(signature, () => service.history(batch.id));
  const openTray = useSignal<number | null>(tray ?? trayToOpen(batch));
  const gave = useSignal(false);
  const edited = useSignal(false);
  const isEnded = batch.phase === "ended";
  const isAside = isDried(batch);
  const clock = <ClockAct batch={batch} isAside={isAside} mayLeaveOut />;
  return (
    <>
      <Head batch={batch} />
      <VerdictBlock batch={batch} />
      {!isEnded && (
        <>
          <section class="clock">
            <div>
              <p class="strong">{clockSentence(batch)}</p>
              <NextWeighing batch={batch} />
            </div>
            {isAside && clock}
          </section>
          <div class="at-hand">
            <AfterDrying batch={batch} isAsked />
            {!isAside && clock}
          </div>
        </>
      )}
      <ProvableBefore batch={batch} />
      <Asked batch={batch} />
      <h2>{say().batch.trays}</h2>
      <ul class="trays">
        {batch.trays.map((one) => (
          <TrayRow
            key={one.id}
            batch={batch}
            tray={one}
            curve={curves.body?.find((curve) => curve.tray === one.id) ?? null}
            isOpen={openTray.value === one.id}
            onToggle={() => (openTray.value = openTray.peek() === one.id ? null : one.id)}
          />
        ))}
      </ul>
      <Refused why={curves.why} />
      <Cautions />
      {batch.verdict !== null && (
        <p>
          <a class="button big" href={writeRoute({ page: "pack", batch: batch.id })}>
            {say().bags.packNow}
          </a>
        </p>
      )}
      <section class="folds">
        {batch.verdict !== null && (
          <Fold summary={say().batch.gave} onToggle={(open) => (gave.value = open)}>
            {gave.value && <Yields batch={batch} />}
          </Fold>
        )}
        <ClockLog batch={batch} history={history.body} />
        <Interruptions batch={batch} />
        <WeighingLog batch={batch} history={history.body} />
        <VerdictLog batch={batch} history={history.body} />
        <Photos batch={batch} />
        {!isEnded && (
          <Fold summary={say().batch.editTrays.open} onToggle={(open) => (edited.value ||= open)}>
            {edited.value && <EditTrays batch={batch} />}
          </Fold>
        )}
        {!isEnded && <EndBatch batch={batch} />}
      </section>
    </>
  );
}

/** The tray that holds the batch up, for there the decision lies. */
function trayToOpen(batch: Batch): number | null {
  const weighed = (tray: Tray): boolean => tray.weighings.some((one) => one.kind === "dry");
  const torn = batch.trays.find((tray) => (tray.verdict?.contradiction ?? null) !== null);
  const behind = batch.trays.find((tray) => batch.behind.includes(tray.id) && weighed(tray));
  return (torn ?? behind ?? batch.trays.find(weighed))?.id ?? null;
}

function Head({ batch }: { readonly batch: Batch }) {
  const texts = say().batch;
  const parts = [
    texts.number(batch.number),
    dryerCalled(batch.dryer),
    showDate(speech.value, batch.startedAt),
    batch.phase === "ended" ? clockSentence(batch) : null,
  ].filter((part) => part !== null);
  return (
    <header class="batch-head">
      <h1>{batchName(speech.value, batch)}</h1>
      <p class="quiet">{parts.join(" · ")}</p>
    </header>
  );
}

function Cautions() {
  const texts = say().batch.cautions;
  return (
    <section class="cautions">
      <h2>{texts.title}</h2>
      <ul>
        {texts.general.map((caution) => (
          <li key={caution}>{caution}</li>
        ))}
      </ul>
    </section>
  );
}

function EndBatch({ batch }: { readonly batch: Batch }) {
  const texts = say().batch.end;
  return (
    <Fold summary={texts.open}>
      <p>{texts.explain}</p>
      {batch.verdict !== "stable" && <p>{texts.notStable}</p>}
      <ActButton
        look="big"
        asking={() => service.endBatch(batch.id)}
        after={() => go({ page: "record", batch: batch.id, tray: null })}
      >
        {texts.button}
      </ActButton>
    </Fold>
  );
}
