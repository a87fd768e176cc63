/** Is it dry? The batch's word, what follows from it, and what the program asks. */
import type { Batch, Gap, Tray } from "../../../src/wire/batch.ts";
import type { CoreFinding } from "../../../src/wire/words.ts";
import { service } from "../ask.ts";
import { dryerCalled, nowMs, say, speech } from "../page.ts";
import type { Told } from "../reason-text.ts";
import { capital, listOf, showMoreHours, showTime, trayName } from "../show.ts";
import { ActButton } from "./act.tsx";
import { ReasonText } from "./service-text.tsx";
import { VerdictMark } from "./verdict-mark.tsx";

export function VerdictBlock({ batch }: { readonly batch: Batch }) {
  const texts = say().batch;
  if (batch.verdict === null)
    return (
      <section class="verdict">
        <div>
          <p class="verdict-word">{texts.noVerdict}</p>
          {batch.phase !== "ended" && <p class="quiet">{texts.noVerdictWhy}</p>}
        </div>
      </section>
    );
  const follows = whatFollows(batch);
  return (
    <section class="verdict">
      <VerdictMark verdict={batch.verdict} />
      <div>
        <p class="verdict-word">{texts.words[batch.verdict]}</p>
        <p>{texts.meanings[batch.verdict]}</p>
        {follows !== "" && <p class="follows">{follows}</p>}
        {reasonsOf(batch).map(({ who, reason }) => (
          <p key={reason.text}>
            {who !== null && `${who}: `}
            <ReasonText reason={reason} />
          </p>
        ))}
        {batch.verdict === "stable" && (
          <p class="quiet">
            {texts.aboutWeight} {canBreak(batch) && texts.breakFirst}
          </p>
        )}
      </div>
    </section>
  );
}

const mostReasons = 2;

/** Why the batch has its word: the reasons of the trays that have it too, each once, with their names. */
function reasonsOf(
  batch: Batch,
): readonly { readonly who: string | null; readonly reason: Told }[] {
  if (batch.verdict === "stable") return [];
  const isBehind = (tray: Tray): number => (batch.behind.includes(tray.id) ? 0 : 1);
  const trays = batch.trays
    .filter((tray) => tray.verdict?.verdict === batch.verdict)
    .sort((a, b) => isBehind(a) - isBehind(b));
  const found = new Map<string, { readonly reason: Told; readonly names: string[] }>();
  for (const tray of trays) {
    const reason = tray.verdict?.contradiction ?? tray.verdict?.reasons[0];
    if (reason === undefined) continue;
    const names = found.get(reason.text)?.names ?? [];
    found.set(reason.text, { reason, names: [...names, trayName(speech.value, tray.name)] });
  }
  return [...found.values()].slice(0, mostReasons).map(({ reason, names }) => ({
    who: names.length === batch.trays.length ? null : capital(listOf(speech.value, names)),
    reason,
  }));
}

/** Where all are behind, none holds the others up. */
export const isBehindOthers = (batch: Batch, tray: Tray): boolean =>
  batch.behind.length < batch.trays.length && batch.behind.includes(tray.id);

/** "2 to 3.5 more hours; tray 3 is behind". */
export function whatFollows(batch: Batch): string {
  const texts = say().batch;
  const hours = batch.moreHours === null ? "" : showMoreHours(speech.value, batch.moreHours);
  const names = batch.trays
    .filter((tray) => isBehindOthers(batch, tray))
    .map((tray) => trayName(speech.value, tray.name));
  if (names.length === 0) return capital(hours);
  const behind = texts.behind(listOf(speech.value, names), names.length);
  return capital(hours === "" ? behind : texts.joined(hours, behind));
}

/** Whether there are pieces to break, and the trays are where they can be: not while all are in the dryer. */
const canBreak = ({ coresToCheck, clock }: Batch): boolean =>
  coresToCheck.length > 0 && clock.state !== "in";

/** What only a person can know: whether the dryer ran on, and how the thickest piece is inside. */
export function Asked({ batch }: { readonly batch: Batch }) {
  if (batch.phase === "ended") return null;
  const trays = batch.trays.filter((tray) => batch.coresToCheck.includes(tray.id));
  return (
    <>
      <AskedOfGaps batches={[batch]} />
      {canBreak(batch)
        ? trays.map((tray) => <AskCore key={tray.id} tray={tray} />)
        : trays.length > 0 && (
            <p class="advice strong">{say().batch.core.whenOut(namesOf(trays))}</p>
          )}
    </>
  );
}

const namesOf = (trays: readonly Tray[]): string =>
  listOf(
    speech.value,
    trays.map((tray) => trayName(speech.value, tray.name)),
  );

/** Asked wherever a person looks first after the program was away; each dryer is named where there are several. */
export function AskedOfGaps({ batches }: { readonly batches: readonly Batch[] }) {
  return (
    <>
      {batches.flatMap((batch) =>
        batch.gaps
          .filter((gap) => gap.dryerRan === null)
          .map((gap) => (
            <AskGap
              key={gap.id}
              gap={gap}
              dryer={batches.length > 1 ? dryerCalled(batch.dryer) : null}
            />
          )),
      )}
    </>
  );
}

function AskGap({ gap, dryer }: { readonly gap: Gap; readonly dryer: string | null }) {
  const texts = say().batch.gap;
  const time = (iso: string): string => showTime(speech.value, iso, nowMs.value);
  return (
    <section class="ask" data-question aria-labelledby={`gap-${gap.id}`}>
      <h2 id={`gap-${gap.id}`}>{texts.title(time(gap.from), time(gap.to), dryer)}</h2>
      <p class="quiet">{texts.why}</p>
      <div class="answers">
        <ActButton look="big" asking={() => service.answerGap(gap.id, true)}>
          {texts.yes}
        </ActButton>
        <ActButton look="big" asking={() => service.answerGap(gap.id, false)}>
          {texts.no}
        </ActButton>
      </div>
    </section>
  );
}

const findings: readonly CoreFinding[] = ["dry", "cold", "soft"];

function AskCore({ tray }: { readonly tray: Tray }) {
  const texts = say().batch.core;
  return (
    <section class="ask" aria-labelledby={`core-${tray.id}`}>
      <h2 id={`core-${tray.id}`}>{texts.title(trayName(speech.value, tray.name))}</h2>
      <p class="quiet">{texts.explain}</p>
      <p>{texts.ask}</p>
      <div class="answers">
        {findings.map((finding) => (
          <ActButton
            key={finding}
            look="big"
            asking={() => service.checkCore(tray.id, { finding })}
          >
            {texts.findings[finding]}
          </ActButton>
        ))}
      </div>
    </section>
  );
}
