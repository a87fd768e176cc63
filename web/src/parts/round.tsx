/** A round along the shelf at the scale, and its list at the end. */
import type { ScaleTask, Scale } from "../../../src/wire/bench.ts";
import { sayBags } from "../bag-texts.ts";
import { foodCalled, say } from "../page.ts";
import { byUrgency, type RoundLine } from "../round.ts";
import { writeRoute } from "../route.ts";
import { capital } from "../show.ts";
import { BagAtScale, BagTakenNote } from "./bag-at-scale.tsx";
import { ShelfMark } from "./shelf-mark.tsx";
import { gainWords } from "./shelf-verdict.tsx";

type StepProps = {
  readonly scale: Scale;
  readonly task: ScaleTask;
  readonly done: readonly RoundLine[];
  /** The bag that is asked for a second time. */
  readonly again: number | null;
  readonly onPass: (bag: number) => void;
  readonly onEnd: () => void;
};

export function RoundStep({ scale, task, done, again, onPass, onEnd }: StepProps) {
  const texts = sayBags().shelf.round;
  const last = done.at(-1) ?? null;
  const on = task.bag;
  return (
    <>
      {last !== null && <LastFinding line={last} isAgain={again === last.bag} />}
      {on !== null && <BagAtScale scale={scale} task={{ ...task, bag: on }} bag={null} />}
      <div class="answers round-step">
        {on !== null && (
          <button type="button" class="big" onClick={() => onPass(on.bag)}>
            {texts.pass(on.code)}
          </button>
        )}
        <button type="button" class="big" onClick={onEnd}>
          {texts.end}
        </button>
      </div>
      <p class="quiet">{texts.soFar(done.length)}</p>
      {task.bagTaken !== null && last !== null && task.bagTaken.bag === last.bag && (
        <BagTakenNote taken={task.bagTaken} divisionGrams={scale.divisionGrams} />
      )}
    </>
  );
}

/** Read across the room while the next bag is being fetched. */
function LastFinding({ line, isAgain }: { readonly line: RoundLine; readonly isAgain: boolean }) {
  return (
    <section class="verdict shelf-verdict">
      <ShelfMark word={line.word} />
      <div>
        <p class="verdict-word">{say().bags.shelfWords[line.word]}</p>
        <p>
          {capital(sayBags().bag(line.code))}, {foodCalled(line.product)}
        </p>
        {isAgain && <p class="follows">{sayBags().shelf.secondTime}</p>}
      </div>
    </section>
  );
}

type ListProps = {
  readonly done: readonly RoundLine[];
  readonly passed: number;
  readonly onAgain: () => void;
  readonly onClose: () => void;
};

export function RoundList({ done, passed, onAgain, onClose }: ListProps) {
  const texts = sayBags().shelf.round;
  const lines = byUrgency(done);
  const gaining = lines.filter(({ word }) => word === "gaining-moisture").length;
  return (
    <>
      <h1>{texts.over(lines.length, gaining)}</h1>
      <ul class="bag-lines round-list">
        {lines.map((line) => (
          <li key={line.bag}>
            <a href={writeRoute({ page: "shelf", bag: line.bag })}>
              <span class="strong">{capital(sayBags().bag(line.code))}</span>
              <span>{foodCalled(line.product)}</span>
              <span class="figure">{gainWords(line)}</span>
              <span class="finding">
                <ShelfMark word={line.word} />
                {say().bags.shelfWords[line.word]}
              </span>
            </a>
          </li>
        ))}
      </ul>
      {passed > 0 && <p>{texts.passed(passed)}</p>}
      <p class="strong">{sayBags().shelf.noOxygen}</p>
      <div class="at-hand no-print">
        <button type="button" class="main" onClick={onClose}>
          {texts.close}
        </button>
      </div>
      <div class="answers no-print">
        <button type="button" class="big" onClick={() => window.print()}>
          {sayBags().labels.print}
        </button>
        <button type="button" class="big" onClick={onAgain}>
          {texts.again}
        </button>
      </div>
    </>
  );
}
