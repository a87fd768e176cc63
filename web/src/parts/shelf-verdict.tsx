/** What the weighings of a bag say: the word large, then the figures that a person may want. */
import type { ShelfFinding } from "../../../src/wire/bag.ts";
import { sayBags } from "../bag-texts.ts";
import { nowMs, say, speech } from "../page.ts";
import { showDate, showMass, showMassRange, showNumber, showPercent } from "../show.ts";
import { ShelfMark } from "./shelf-mark.tsx";
import { WithCode } from "./with-code.tsx";

/** What is reckoned from many weighings, or from none, has an uncertainty of its own beside it. */
const fineGrams = 0.01;
const fine = (value: number): string => showMass(speech.value, value, fineGrams);

type Gain = Pick<ShelfFinding, "gainGrams" | "gainPct" | "divisionGrams">;

/** A gain is told no finer than the scale, and so is its share. */
export function gainWords({ gainGrams, gainPct, divisionGrams }: Gain): string {
  const stepPct = (divisionGrams * gainPct) / gainGrams;
  const share = showPercent(speech.value, gainPct / 100, stepPct < 0.5 ? 1 : 0);
  return `${showMass(speech.value, gainGrams, divisionGrams)} (${share})`;
}

/** A bound is rounded up, so that it stays one. */
const atMost = (value: number, { divisionGrams: step }: Gain): string =>
  showMass(speech.value, Math.ceil(value / step - 1e-9) * step, step);

type Props = { readonly finding: ShelfFinding; readonly name: string; readonly bagCode: string };

export function ShelfVerdict({ finding, name, bagCode }: Props) {
  const texts = sayBags().shelf;
  return (
    <section class="verdict shelf-verdict">
      <ShelfMark word={finding.word} />
      <div>
        <h1>
          <span class="verdict-word">{say().bags.shelfWords[finding.word]}</span>
          <span class="block quiet">
            <WithCode text={name} code={bagCode} />
          </span>
        </h1>
        {!finding.reasons.some(({ code }) => code === "not-weighed") && (
          <p class="follows">{texts.gain(gainWords(finding))}</p>
        )}
        <WeighAgain finding={finding} />
        {finding.reasons.map(({ code, offsetGrams, uGrams }) => (
          <p key={code}>
            {offsetGrams === undefined || uGrams === undefined
              ? (texts.reasons[code] ?? "")
              : texts.otherScale(fine(offsetGrams), fine(uGrams))}
          </p>
        ))}
        <p>{texts.provable(atMost(finding.provableGrams, finding))}</p>
        <p class="quiet">{texts.noOxygen}</p>
      </div>
    </section>
  );
}

function WeighAgain({ finding }: { readonly finding: ShelfFinding }) {
  const texts = sayBags().shelf;
  const again = finding.weighAgain;
  if (again === null) return null;
  if (again.to === null) return <p class="follows">{texts.secondTime}</p>;
  const isNow = Date.parse(again.from) <= nowMs.value;
  const to = showDate(speech.value, again.to);
  return (
    <p class="follows">
      {isNow ? texts.baselineNow(to) : texts.baseline(showDate(speech.value, again.from), to)}
    </p>
  );
}

/** Both ends to the figure in which they differ: the scale tells no more of it. */
function paceWords({ low, high }: NonNullable<ShelfFinding["gainPerMonthGrams"]>): string {
  const step = Math.max(fineGrams, 10 ** Math.floor(Math.log10(high - low)));
  return low > 0
    ? showMassRange(speech.value, { low, high }, step)
    : sayBags().shelf.atMost(showMass(speech.value, Math.max(0, high), step));
}

const limits = [3, 5, 8, 10, 12] as const;

/** Beside the verdict: how fast it goes, and to which moisture a person counts. */
export function ShelfFigures({
  finding,
  limitPct,
  onLimit,
}: {
  readonly finding: ShelfFinding;
  readonly limitPct: number;
  readonly onLimit: (pct: number) => void;
}) {
  const texts = sayBags().shelf;
  const { gainPerMonthGrams: pace, monthsLeft: left } = finding;
  const months = (value: number): string => showNumber(speech.value, value, value < 10 ? 1 : 0);
  return (
    <>
      <ul class="facts">
        {pace !== null && <li>{texts.perMonth(paceWords(pace))}</li>}
        {left !== null && left.estimate !== null && (
          <li>
            {texts.monthsLeft(
              months(left.estimate),
              left.high === null
                ? texts.orMore(months(left.low))
                : say().range(months(left.low), months(left.high)),
              showPercent(speech.value, left.limitPct / 100),
            )}
          </li>
        )}
        {left !== null && left.estimate === null && (
          <li>
            {texts.monthsAtLeast(months(left.low), showPercent(speech.value, left.limitPct / 100))}
          </li>
        )}
        {finding.baselineGrams !== null && (
          <li>
            {texts.baselineIs(showMass(speech.value, finding.baselineGrams, finding.divisionGrams))}
          </li>
        )}
        {finding.buoyancyGrams > 0 && (
          <li>{texts.buoyancy(atMost(finding.buoyancyGrams, finding))}</li>
        )}
        {finding.oxygenGrams > 0 && <li>{texts.oxygen(atMost(finding.oxygenGrams, finding))}</li>}
        {finding.gainGrams >= finding.provableGrams && (
          <li>{texts.teaspoons(showNumber(speech.value, finding.teaspoons, 1))}</li>
        )}
      </ul>
      <div class="field narrow limit">
        <label for="limit">{texts.limit}</label>
        <select
          id="limit"
          value={String(limitPct)}
          onChange={({ currentTarget }) => onLimit(Number(currentTarget.value))}
        >
          {limits.map((pct) => (
            <option key={pct} value={String(pct)} selected={pct === limitPct}>
              {showPercent(speech.value, pct / 100)}
            </option>
          ))}
        </select>
      </div>
    </>
  );
}
