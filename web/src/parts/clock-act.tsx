/** The one act that a batch waits for: into the dryer, out of it, back in. */
import type { Batch } from "../../../src/wire/batch.ts";
import { service } from "../ask.ts";
import { benchAtMs, dryerCalled, nowMs, say, speech } from "../page.ts";
import { writeRoute } from "../route.ts";
import { listOf, showDuration, trayName } from "../show.ts";
import { ActButton } from "./act.tsx";

type Next = {
  readonly is: "in" | "out";
  readonly text: string;
  readonly missing: number;
  /** The trays that it is about; null: all of them. */
  readonly trays: number[] | null;
};

/** `missing`: trays that would better be weighed first. */
function nextAct(batch: Batch): Next | null {
  const { act } = say().weigh;
  if (batch.phase === "ended") return null;
  switch (batch.clock.state) {
    case "waiting": {
      const empty = batch.trays.filter((tray) => tray.freshGrams === null);
      const missing = empty.length;
      if (missing === 0) return { is: "in", text: act.start, missing, trays: null };
      // The service starts no tray whose fresh mass it does not know: nothing could be said about it later.
      const names = empty.map(({ name }) => trayName(speech.value, name));
      const loaded = batch.trays.filter((tray) => tray.freshGrams !== null);
      const trays = loaded.map(({ id }) => id);
      return { is: "in", text: act.startWithout(listOf(speech.value, names)), missing, trays };
    }
    case "in":
      return { is: "out", text: act.out, missing: 0, trays: null };
    case "out":
      return { is: "in", text: act.back, missing: batch.round.waiting.length, trays: null };
  }
}

type Props = {
  readonly batch: Batch;
  readonly named?: boolean;
  /** The act is offered, but it is not what this screen is for now. */
  readonly isAside?: boolean;
  /** Where no tray is being loaded, drying may begin without those that stay empty. */
  readonly mayLeaveOut?: boolean;
};

export function ClockAct({ batch, named = false, isAside = false, mayLeaveOut = false }: Props) {
  const { weigh } = say();
  const next = nextAct(batch);
  if (next === null || batch.trays.length === 0) return null;
  const waiting = next.missing > 0 && <p class="quiet">{weigh.stillWaiting(next.missing)}</p>;
  if (next.trays !== null && (next.trays.length === 0 || !mayLeaveOut)) return waiting;
  return (
    <div key={next.is} class="clock-act">
      <ActButton
        look={next.missing === 0 && !isAside ? "main" : "big"}
        asking={() => service.setClock(batch.id, { is: next.is, trays: next.trays })}
      >
        {named ? say().ofDryer(next.text, dryerCalled(batch.dryer)) : next.text}
      </ActButton>
      {waiting}
    </div>
  );
}

/** Dry by weight and where it can be broken and packed: then the clock is no longer what comes next. */
export const isDried = ({ verdict, clock }: Batch): boolean =>
  verdict === "stable" && clock.state !== "in";

/** What comes after drying: the pieces to break, where they are asked about elsewhere, and then the bags. */
export function AfterDrying({
  batch,
  isAsked = false,
}: {
  readonly batch: Batch;
  readonly isAsked?: boolean;
}) {
  if (!isDried(batch)) return null;
  const isBroken = batch.coresToCheck.length === 0;
  if (!isBroken && isAsked) return null;
  return (
    <a
      class="button main"
      href={writeRoute(
        isBroken
          ? { page: "pack", batch: batch.id }
          : { page: "batch", batch: batch.id, tray: null },
      )}
    >
      {isBroken ? say().bags.packNow : say().batch.breakNow}
    </a>
  );
}

/** In the dryer or on the bench, and for how long, by the service's clock. */
export function clockSentence(batch: Batch): string {
  const { clock } = say().batch;
  const { state, since, dryingHours, minutesOut, running } = batch.clock;
  const hoursSince = since === null ? 0 : (nowMs.value - Date.parse(since)) / 3_600_000;
  const dried = showDuration(speech.value, dryingHours);
  if (batch.phase === "ended") return clock.ended(dried);
  if (state === "waiting") return clock.waiting;
  if (!running) return clock.paused(dried);
  if (state === "in") return clock.in(showDuration(speech.value, hoursDriedNow(batch)));
  return clock.out(showDuration(speech.value, Math.max(hoursSince, (minutesOut ?? 0) / 60)));
}

/** The bench tells the hours as of its own moment; between two of them the running clock goes on. */
export function hoursDriedNow(batch: Batch): number {
  const { state, running, dryingHours } = batch.clock;
  return state === "in" && running ? dryingHours + hoursSinceBench() : dryingHours;
}

const hoursSinceBench = (): number => Math.max(0, nowMs.value - benchAtMs.value) / 3_600_000;
