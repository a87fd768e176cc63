/** One tray of a batch: verdict, why, how much is left, and its curve when it is opened. */
import type { Batch, Curve, Tray, Weighing } from "../../../src/wire/batch.ts";
import type { WeighingEdit } from "../../../src/wire/requests.ts";
import { service } from "../ask.ts";
import { foodCalled, inOwnWords, say, speech } from "../page.ts";
import {
  capital,
  showMoreHours,
  showMass,
  showMassRange,
  showNumber,
  showPercent,
  trayName,
} from "../show.ts";
import { ActButton } from "./act.tsx";
import { Criteria } from "./criteria.tsx";
import { DryingCurve } from "./curve.tsx";
import { PastBatches } from "./past-batches.tsx";
import { Portions } from "./portions.tsx";
import { LastInterval } from "./last-interval.tsx";
import { ReasonText, ServiceText } from "./service-text.tsx";
import { isBehindOthers } from "./verdict-block.tsx";
import { VerdictMark } from "./verdict-mark.tsx";

type Props = {
  readonly batch: Batch;
  readonly tray: Tray;
  readonly curve: Curve | null;
  readonly isOpen: boolean;
  readonly onToggle: () => void;
};

const divisionOf = (tray: Tray): number | null => tray.weighings.at(-1)?.divisionGrams ?? null;

export function TrayRow({ batch, tray, curve, isOpen, onToggle }: Props) {
  const texts = say().batch;
  const name = capital(trayName(speech.value, tray.name));
  return (
    <li class={isOpen ? "tray open" : "tray"}>
      <button type="button" class="tray-head" aria-expanded={isOpen} onClick={onToggle}>
        <span class="tray-verdict">
          {tray.verdict !== null && <VerdictMark verdict={tray.verdict.verdict} />}
          <span>{tray.verdict === null ? say().none : texts.words[tray.verdict.verdict]}</span>
        </span>
        <span class="tray-name">
          <span class="strong">{name}</span>
          <span class="quiet">
            {tray.food === null ? texts.tray.noFood : foodCalled(tray.food)}
          </span>
        </span>
        <Masses tray={tray} />
        <ToGo batch={batch} tray={tray} />
      </button>
      <Reasons tray={tray} />
      <Contradiction batch={batch} tray={tray} />
      {isOpen && <Detail batch={batch} tray={tray} curve={curve} />}
    </li>
  );
}

function Masses({ tray }: { readonly tray: Tray }) {
  const { columns } = say().batch;
  const division = divisionOf(tray);
  return (
    <span class="tray-mass">
      <span class="strong">
        {tray.netGrams === null ? say().none : showMass(speech.value, tray.netGrams, division)}
      </span>
      {tray.freshGrams !== null && (
        <span class="quiet">{columns.of(showMass(speech.value, tray.freshGrams, division))}</span>
      )}
    </span>
  );
}

function ToGo({ batch, tray }: { readonly batch: Batch; readonly tray: Tray }) {
  const texts = say().batch;
  const more = tray.verdict?.more_hours ?? null;
  return (
    <span class="tray-togo">
      {more !== null && <span class="strong">{showMoreHours(speech.value, more)}</span>}
      {isBehindOthers(batch, tray) && <span class="behind">{texts.tray.behind}</span>}
    </span>
  );
}

function Reasons({ tray }: { readonly tray: Tray }) {
  const texts = say().batch;
  const reasons = tray.verdict?.reasons ?? [];
  return (
    <div class="reasons">
      {tray.tareGrams === null && <p>{texts.tray.noTare}</p>}
      {reasons.map((reason) => (
        <p key={reason.code}>
          <ReasonText reason={reason} />
        </p>
      ))}
      {tray.coreCheck !== null && <p>{texts.core.found[tray.coreCheck.finding]}</p>}
    </div>
  );
}

/** Weighings that cannot all be true, and the ways to mend them. */
function Contradiction({ batch, tray }: { readonly batch: Batch; readonly tray: Tray }) {
  const texts = say().batch.contradiction;
  const found = tray.verdict?.contradiction ?? null;
  if (found === null) return null;
  const { weighing, meant } = found;
  const other = batch.trays.find((one) => one.name === found.otherTray);
  const pair = other && pairOf(tray, other, weighing);
  const edit = (asked: Omit<WeighingEdit, "reason">, text: string, reason = text) => (
    <ActButton look="big" asking={() => service.editWeighing(weighing!, { ...asked, reason })}>
      {text}
    </ActButton>
  );
  return (
    <div class="contradiction">
      <p>
        <strong>{texts.title}.</strong> <ReasonText reason={found} />
      </p>
      {batch.phase !== "ended" && weighing !== null && (
        <div class="answers">
          {pair && (
            <ActButton look="big" asking={() => swap(pair)}>
              {texts.swap(trayName(speech.value, tray.name), trayName(speech.value, other!.name))}
            </ActButton>
          )}
          {found.foodTaken && edit({ foodTaken: true }, texts.took)}
          {meant !== null &&
            edit(
              { grossGrams: meant.grossGrams },
              texts.meant(showMass(speech.value, meant.netGrams, divisionOf(tray))),
            )}
          {edit({ struck: true }, texts.strike, texts.strikeReason)}
        </div>
      )}
    </div>
  );
}

/** The weighing in doubt and the one of the other tray in the same round: the nearest in time. */
function pairOf(
  tray: Tray,
  other: Tray,
  weighing: number | null,
): readonly [Weighing, Weighing] | undefined {
  const mine = tray.weighings.find((one) => one.id === weighing);
  if (mine === undefined) return;
  const away = (one: Weighing): number => Math.abs(Date.parse(one.at) - Date.parse(mine.at));
  const theirs = other.weighings
    .filter((one) => one.kind === mine.kind)
    .sort((a, b) => away(a) - away(b))[0];
  return theirs && [mine, theirs];
}

const swap = ([mine, theirs]: readonly [Weighing, Weighing]) =>
  service.swapWeighings(mine.id, {
    with: theirs.id,
    reason: say().batch.contradiction.swapReason,
  });

type DetailProps = Pick<Props, "batch" | "tray" | "curve">;

function Detail({ batch, tray, curve }: DetailProps) {
  const texts = say().batch;
  const division = divisionOf(tray);
  return (
    <div class="detail">
      {curve !== null && (
        <div class="pictures">
          <section>
            <h3>{texts.curve.title}</h3>
            <DryingCurve curve={curve} verdict={tray.verdict} divisionGrams={division} />
          </section>
          <section>
            <h3>{texts.last.title}</h3>
            <LastInterval
              curve={curve}
              provableGrams={tray.verdict?.provable_g ?? null}
              divisionGrams={division}
            />
          </section>
        </div>
      )}
      {curve !== null && <PastBatches batch={batch} tray={tray} curve={curve} />}
      {tray.portions.length > 1 && <Portions batch={batch} tray={tray} />}
      <Figures tray={tray} />
      {curve !== null && <Criteria criteria={curve.criteria} />}
    </div>
  );
}

function Figures({ tray }: { readonly tray: Tray }) {
  const texts = say().batch.tray;
  const division = divisionOf(tray);
  const { verdict } = tray;
  // What the fresh food may have held tells less than the weighings have proved by then.
  const isStable = verdict?.verdict === "stable";
  const percents = (span: { low: number; high: number }): string =>
    say().range(showPercent(speech.value, span.low), showPercent(speech.value, span.high));
  const water = tray.waterPct === null ? null : showPercent(speech.value, tray.waterPct / 100);
  return (
    <ul class="facts">
      {verdict !== null && verdict.remaining_g !== null && (
        <li>{texts.remaining(showMassRange(speech.value, verdict.remaining_g, division))}</li>
      )}
      {verdict !== null && (
        <li>
          {texts.pDry(showPercent(speech.value, verdict.p_dry))}
          {verdict.verdict !== "unsure" &&
            `. ${texts.confidence(
              say().batch.words[verdict.verdict],
              showPercent(speech.value, verdict.confidence),
            )}`}
        </li>
      )}
      {!isStable && tray.moistureWetBasis !== null && tray.moistureDryBasis !== null && (
        <li>{texts.moisture(percents(tray.moistureWetBasis), percents(tray.moistureDryBasis))}</li>
      )}
      {tray.yieldFraction !== null && (
        <li>{texts.yields(showPercent(speech.value, tray.yieldFraction, 1))}</li>
      )}
      {water !== null && (
        <li>
          {tray.foodSource === null
            ? texts.waterOwn(water)
            : texts.waterFrom(water, inOwnWords(tray.foodSource))}
        </li>
      )}
      {tray.thicknessMm !== null && (
        <li>
          {texts.thickness(
            showNumber(speech.value, tray.thicknessMm, Number.isInteger(tray.thicknessMm) ? 0 : 1),
          )}
        </li>
      )}
      {tray.cautions.map((caution) => (
        <li key={caution} class="caution">
          <ServiceText text={caution} />
        </li>
      ))}
    </ul>
  );
}
