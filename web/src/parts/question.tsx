import type { Question } from "../../../src/wire/bench.ts";
import { service } from "../ask.ts";
import { askedIfEmpty, questionTitle, say, speech, trayNamed } from "../page.ts";
import { capital, showMass } from "../show.ts";
import { ServiceText } from "./service-text.tsx";
import { Refused, useAct } from "./act.tsx";

type Candidate = Question["candidates"][number];

type Props = {
  readonly scale: string;
  readonly question: Question;
  readonly divisionGrams: number | null;
};

/** A load that the program will not take by itself: whose it is, or whether it may be trusted. */
export function LoadQuestion({ scale, question, divisionGrams }: Props) {
  const { weigh } = say();
  const act = useAct();
  const isOfOne = askedIfEmpty(question) !== null;
  const asksWhich = question.is === "which-tray" && !isOfOne;
  const no = isOfOne ? weigh.notEmpty : asksWhich ? weigh.noneOfThem : weigh.zeroNo;
  const answer = (tray: number | null, kind?: Candidate["kind"]): void => {
    const chosen = kind === undefined ? {} : { kind };
    void act.run(() => service.answerLoad(scale, { load: question.load, tray, ...chosen }));
  };
  return (
    <section class="ask" data-question aria-labelledby="question-title">
      <h1 id="question-title">{questionTitle(question)}</h1>
      <p class="quiet">
        <ServiceText text={question.why} />
      </p>
      <div class="answers">
        {question.candidates.map((one) => {
          const name = trayNamed(one.batch, one.name);
          return (
            <button
              key={`${one.tray} ${one.kind}`}
              type="button"
              class="big"
              onClick={() => answer(one.tray, one.kind)}
            >
              <span>{asksWhich ? capital(name) : weigh.zeroYes(name)}</span>
              <span class="quiet">
                {one.netGrams === null
                  ? weigh.kinds[one.kind]
                  : weigh.asFood(showMass(speech.value, one.netGrams, divisionGrams))}
              </span>
            </button>
          );
        })}
        <button type="button" class="big" onClick={() => answer(null)}>
          {no}
        </button>
      </div>
      <Refused why={act.refusal} />
    </section>
  );
}
