/** How much more into this bag: the figure, a bar that turns at the target, and a word. */
import type { CSSProperties } from "preact";
import type { BagTask } from "../../../src/wire/bag.ts";
import { speech } from "../page.ts";
import { sayBags } from "../bag-texts.ts";
import type { Fill } from "../pack.ts";
import { massParts, showMass, widthInEms } from "../show.ts";

/** The bar's end, as a share of the target: too much has to be seen as well. */
const barEnd = 1.2;
const unitScale = 0.3;
const leastEms = 3.9;

type Props = {
  readonly task: BagTask & { readonly targetGrams: number; readonly toleranceGrams: number };
  readonly fill: Fill;
  readonly divisionGrams: number;
};

export function ToGo({ task, fill, divisionGrams }: Props) {
  const texts = sayBags().pack.at;
  const word = { short: texts.toGo, enough: texts.enough, over: texts.over }[fill.is];
  const mass = (value: number): string => showMass(speech.value, value, divisionGrams);
  const parts = massParts(speech.value, Math.abs(fill.toGoGrams), divisionGrams, true);
  const ems = Math.max(leastEms, widthInEms(parts, unitScale));
  return (
    <div class={`weight to-go to-go-${fill.is}`} style={{ "--ems": String(ems) } as CSSProperties}>
      {fill.is === "enough" ? (
        <p class="figures enough">{word}</p>
      ) : (
        <p class="figures">
          {parts.map((part) => (
            <span key={part.unit} class="mass-part">
              <span class="digits">{part.figure}</span>
              <span class="unit">{part.unit}</span>
            </span>
          ))}
        </p>
      )}
      <Bar task={task} fill={fill} said={`${mass(Math.abs(fill.toGoGrams))} ${word}`} />
      <p class="to-go-word">
        {fill.is !== "enough" && <strong>{word}</strong>}
        <span>{texts.inIt(mass(Math.max(0, fill.netGrams)), mass(task.targetGrams))}</span>
      </p>
    </div>
  );
}

/** Hatched while it fills, full ink at the target, broken where it runs over: no colour is needed to tell them apart. */
function Bar({ task, fill, said }: Pick<Props, "task" | "fill"> & { readonly said: string }) {
  const { targetGrams, toleranceGrams } = task;
  const share = (value: number): string =>
    `${(Math.min(1, Math.max(0, value / (targetGrams * barEnd))) * 100).toFixed(2)}%`;
  return (
    <div
      class="bar"
      role="progressbar"
      aria-label={sayBags().pack.at.bar}
      aria-valuemin={0}
      aria-valuemax={Number(targetGrams.toFixed(3))}
      aria-valuenow={Number(Math.min(targetGrams, Math.max(0, fill.netGrams)).toFixed(3))}
      aria-valuetext={said}
      style={
        {
          "--filled": share(fill.netGrams),
          "--from": share(targetGrams - toleranceGrams),
          "--to": share(targetGrams + toleranceGrams),
        } as CSSProperties
      }
    >
      <span class="bar-fill" />
      <span class="bar-aim" />
    </div>
  );
}
