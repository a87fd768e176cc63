/** Masses in figures to be read across the room, and how far one is from its goal. */
import type { ComponentChildren, CSSProperties } from "preact";
import { speech } from "../page.ts";
import { massParts, showMass, widthInEms, type MassPart } from "../show.ts";

/** The unit's size beside a figure of size 1; the style sheet has the same. */
const unitScale = 0.3;
/** Room for five figures at least, so that 99.9 and 1000.0 stand at the same size. */
const leastEms = 3.9;
/** The bar goes on beyond the goal by this share, so that too much can be seen. */
const barEnd = 1.2;

type WeightProps = {
  readonly parts: readonly MassPart[];
  readonly look?: string;
  /** Stands where the figures would. */
  readonly instead?: string | undefined;
  readonly children: ComponentChildren;
};

export function Weight({ parts, look = "", instead, children }: WeightProps) {
  const ems = Math.max(leastEms, widthInEms(parts, unitScale));
  return (
    <div class={`weight ${look}`} style={{ "--ems": String(ems) } as CSSProperties}>
      {instead === undefined ? (
        <p class="figures">
          {parts.map((part) => (
            <span key={part.unit} class="mass-part">
              <span class="digits">{part.figure}</span>
              <span class="unit">{part.unit}</span>
            </span>
          ))}
        </p>
      ) : (
        <p class="figures pour-done">{instead}</p>
      )}
      {children}
    </div>
  );
}

type Goal = { readonly targetGrams: number; readonly toleranceGrams: number };
type ToGoProps = {
  readonly is: "off" | "short" | "enough" | "over" | "open";
  readonly netGrams: number;
  /** Below zero: too much. null: as much as comes. */
  readonly toGoGrams: number | null;
  readonly divisionGrams: number;
  readonly goal: Goal | null;
  readonly word: string;
  readonly barLabel: string;
  readonly line: string;
};

/** What is still to go in, a bar that turns at the goal, and a word. */
export function ToGo({
  is,
  netGrams,
  toGoGrams,
  divisionGrams,
  goal,
  word,
  barLabel,
  line,
}: ToGoProps) {
  const shown = Math.abs(toGoGrams ?? netGrams);
  return (
    <Weight
      parts={massParts(speech.value, shown, divisionGrams, true)}
      look={`pour pour-${is}`}
      instead={is === "enough" ? word : undefined}
    >
      {goal !== null && (
        <Bar
          goal={goal}
          netGrams={netGrams}
          label={barLabel}
          said={`${showMass(speech.value, shown, divisionGrams)} ${word}`}
        />
      )}
      <p class="pour-word">
        {is !== "enough" && <strong>{word}</strong>}
        <span>{line}</span>
      </p>
    </Weight>
  );
}

type BarProps = {
  readonly goal: Goal;
  readonly netGrams: number;
  readonly said: string;
  readonly label: string;
};

/** Hatched while it fills, full ink at the goal, broken beyond it: told apart without any colour. */
function Bar({ goal: { targetGrams, toleranceGrams }, netGrams, said, label }: BarProps) {
  const share = (grams: number): string =>
    `${(Math.min(1, Math.max(0, grams / (targetGrams * barEnd))) * 100).toFixed(2)}%`;
  return (
    <div
      class="pour-bar"
      role="progressbar"
      aria-label={label}
      aria-valuemin={0}
      aria-valuemax={Number(targetGrams.toFixed(3))}
      aria-valuenow={Number(Math.min(targetGrams, Math.max(0, netGrams)).toFixed(3))}
      aria-valuetext={said}
      style={
        {
          "--filled": share(netGrams),
          "--from": share(targetGrams - toleranceGrams),
          "--to": share(targetGrams + toleranceGrams),
        } as CSSProperties
      }
    >
      <span class="pour-fill" />
      <span class="pour-aim" />
    </div>
  );
}
