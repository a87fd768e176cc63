/** How much more into this bag: the figure, a bar that turns at the target, and a word. */
import type { CSSProperties } from "preact";
import type { BagTask } from "../../../src/wire/bag.ts";
import { speech } from "../page.ts";
import { sayBags } from "../bag-texts.ts";
import type { Fill } from "../pack.ts";
import { massParts, showMass, widthInEms } from "../show.ts";
import { PourBar } from "./pour.tsx";

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
    <div class={`weight pour pour-${fill.is}`} style={{ "--ems": String(ems) } as CSSProperties}>
      {fill.is === "enough" ? (
        <p class="figures pour-done">{word}</p>
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
      <PourBar
        label={texts.bar}
        netGrams={fill.netGrams}
        targetGrams={task.targetGrams}
        toleranceGrams={task.toleranceGrams}
        said={`${mass(Math.abs(fill.toGoGrams))} ${word}`}
      />
      <p class="pour-word">
        {fill.is !== "enough" && <strong>{word}</strong>}
        <span>{texts.inIt(mass(Math.max(0, fill.netGrams)), mass(task.targetGrams))}</span>
      </p>
    </div>
  );
}
