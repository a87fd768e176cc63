/** How long until weighing again could settle the question, in words and as a bar that fills. */
import type { Batch } from "../../../src/wire/batch.ts";
import { nowMs, say, speech } from "../page.ts";
import { showDuration, showTime } from "../show.ts";
import { hoursDriedNow } from "./clock-act.tsx";

export function NextWeighing({ batch }: { readonly batch: Batch }) {
  const texts = say().batch;
  const next = batch.nextWeighing;
  if (next === null) return null;
  const dried = hoursDriedNow(batch);
  const left = next.dryingHours - dried;
  if (next.due || left <= 0) return <p class="next due">{texts.nextDue}</p>;
  const time = showDuration(speech.value, left);
  if (next.at === null) return <p class="next">{texts.nextAfter(time)}</p>;
  const last = Math.max(0, ...batch.trays.map((tray) => tray.weighings.at(-1)?.dryingHours ?? 0));
  return (
    <div class="next">
      <p>{texts.nextIn(time, showTime(speech.value, next.at, nowMs.value))}</p>
      <progress
        aria-label={texts.toGo}
        max={Math.max(0.01, next.dryingHours - last)}
        value={Math.max(0, dried - last)}
      />
    </div>
  );
}
