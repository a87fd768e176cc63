import type { Alert } from "../../../src/wire/bench.ts";
import { alertText } from "../alert-text.ts";
import { service } from "../ask.ts";
import { bench, nowMs, say, speech, translated } from "../page.ts";
import { writeRoute } from "../route.ts";
import { showTime } from "../show.ts";
import { ActButton } from "./act.tsx";

/**
 * The region stands before anything is in it, so that what comes into it is read out. The newest is first: on a phone
 * they lie beside each other.
 */
export function AlertBar() {
  const alerts = [...(bench.value?.alerts ?? [])].reverse();
  return (
    <div role="alert" aria-label={say().alerts.label} class="alerts">
      {alerts.map((alert) => (
        <OneAlert key={alert.id} alert={alert} />
      ))}
    </div>
  );
}

function OneAlert({ alert }: { readonly alert: Alert }) {
  const texts = say().alerts;
  const text = alertText(speech.value, alert, bench.value, translated);
  return (
    <div class="alert">
      <p>
        {text} <span class="quiet">{showTime(speech.value, alert.at, nowMs.value)}</span>
      </p>
      {alert.batch !== null && (
        <a class="button" href={writeRoute({ page: "batch", batch: alert.batch, tray: null })}>
          {texts.look}
        </a>
      )}
      <ActButton label={texts.acknowledgeWhich(text)} asking={() => service.acknowledge(alert.id)}>
        {texts.acknowledge}
      </ActButton>
    </div>
  );
}
