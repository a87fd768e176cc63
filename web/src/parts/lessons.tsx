/** What ended batches found of their foods, and which of it counts for the next lot. */
import { sayKitchen } from "../kitchen-texts.ts";
import { useSignal } from "@preact/signals";
import type { Settings } from "../../../src/wire/bench.ts";
import type { LessonShown } from "../../../src/wire/requests.ts";
import { service } from "../ask.ts";
import { foodCalled, inOwnWords, speech } from "../page.ts";
import { showNumber, showPercent } from "../show.ts";
import { ActButton, Form, Refused, useAct } from "./act.tsx";
import { useFetched } from "./fetched.ts";
import { Field, Fold } from "./field.tsx";

export function Lessons({ settings }: { readonly settings: Settings }) {
  const { lessons } = sayKitchen().setup;
  const act = useAct();
  const again = useSignal(0);
  const { body, why } = useFetched(`${again.value}`, () => service.lessons());
  return (
    <section>
      <h2>{lessons.title}</h2>
      <label class="tick">
        <input
          type="checkbox"
          checked={settings.learning}
          onChange={(event) => {
            const learning = event.currentTarget.checked;
            void act.run(() => service.editSettings({ learning }));
          }}
        />
        <span>{lessons.learn}</span>
      </label>
      <p class="quiet">{lessons.explain}</p>
      {body?.length === 0 && <p>{lessons.none}</p>}
      <ul class="log">
        {body?.map((lesson) => (
          <Lesson key={lesson.id} lesson={lesson} onChanged={() => again.value++} />
        ))}
      </ul>
      <Refused why={act.refusal ?? why} />
    </section>
  );
}

type Props = { readonly lesson: LessonShown; readonly onChanged: () => void };

function Lesson({ lesson, onChanged }: Props) {
  const { lessons } = sayKitchen().setup;
  const act = useAct();
  const reason = useSignal("");
  const edit = (counts: boolean, text: string) =>
    service.editLesson(lesson.id, { counts, reason: text });
  const leaveOut = async (): Promise<void> => {
    if ((await act.run(() => edit(false, reason.value))) !== null) onChanged();
  };
  const water = showPercent(speech.value, lesson.waterPct / 100);
  return (
    <li>
      <span class="log-line">
        {lessons.line(
          foodCalled(lesson.food),
          water,
          showNumber(speech.value, lesson.batchNumber, 0),
        )}
      </span>
      {!lesson.counts && <span class="quiet">{lessons.leftOut(inOwnWords(lesson.why ?? ""))}</span>}
      {lesson.counts ? (
        <Fold summary={lessons.leaveOut}>
          <Form onSend={() => void leaveOut()} act={act} send={lessons.leaveOut}>
            <Field label={lessons.why} of={reason} />
          </Form>
        </Fold>
      ) : (
        <ActButton asking={() => edit(true, lessons.again)} after={onChanged}>
          {lessons.countAgain}
        </ActButton>
      )}
    </li>
  );
}
