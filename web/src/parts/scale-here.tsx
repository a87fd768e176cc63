/** A scale that is plugged into this device. */
import { sayKitchen } from "../kitchen-texts.ts";
import { useSignal } from "@preact/signals";
import type { Scale } from "../../../src/wire/bench.ts";
import { service } from "../ask.ts";
import { canReadHere, here, pickDevice, readHere, scaleAt, stopHere } from "../serial.ts";
import { Form, Refused, useAct } from "./act.tsx";
import { Field } from "./field.tsx";

const usualName = "tablet";

export function ScaleHere({ scales }: { readonly scales: readonly Scale[] }) {
  const { setup } = sayKitchen();
  const texts = setup.here;
  const able = canReadHere();
  return (
    <>
      <h3>{texts.title}</h3>
      {able === "yes" ? (
        <ReadHere scales={scales} />
      ) : (
        <p class="advice">{able === "insecure" ? texts.insecure : texts.noBrowser}</p>
      )}
    </>
  );
}

function ReadHere({ scales }: { readonly scales: readonly Scale[] }) {
  const texts = sayKitchen().setup.here;
  const act = useAct();
  const name = useSignal(usualName);
  const baud = useSignal("9600");
  const now = here.value;
  const begin = async (): Promise<void> => {
    const uri = `page:${name.value.trim()}?baud=${baud.value.trim()}`;
    const device = await pickDevice();
    if (device === null) return;
    const known = scaleAt(uri, scales);
    const added = known === undefined ? await act.run(() => service.addScale({ uri })) : null;
    const scale = known ?? scaleAt(uri, added?.body.scales ?? []);
    if (scale !== undefined) await readHere(device, scale.id, uri);
  };
  const said = now.is === "reading" ? texts.reading : texts.lost;
  if (now.is !== "off")
    return (
      <>
        <p>{said}</p>
        <button type="button" onClick={() => void stopHere()}>
          {texts.stop}
        </button>
      </>
    );
  return (
    <Form onSend={() => void begin()} act={act} send={texts.begin}>
      <p class="quiet">{texts.explain}</p>
      <Field label={texts.name} hint={texts.nameHint} kind="text" of={name} />
      <Field label={texts.speed} hint={texts.speedHint} kind="number" of={baud} />
      <Refused why={now.why} />
    </Form>
  );
}
