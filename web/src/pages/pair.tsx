/** What a device sees that was not let in yet: the one thing to do about it. */
import { useSignal } from "@preact/signals";
import { service } from "../ask.ts";
import { enter, say } from "../page.ts";
import { Form, useAct } from "../parts/act.tsx";
import { Field } from "../parts/field.tsx";

export function PairPage() {
  const { pair } = say();
  const act = useAct();
  const code = useSignal("");
  const name = useSignal("");
  const send = async (): Promise<void> => {
    const asked = { code: code.value.trim(), name: name.value.trim() };
    const missing = [code, name].filter(({ value }) => value.trim() === "");
    if (missing.length > 0) {
      act.refuse(pair.noCode, ...missing);
      return;
    }
    const done = await act.run(() => service.pair(asked));
    if (done !== null) await enter();
  };
  return (
    <main id="main" class="page-pair">
      <h1>{pair.title}</h1>
      <p>{pair.explain}</p>
      <Form onSend={() => void send()} act={act} send={pair.button} look="main">
        <Field label={pair.code} hint={pair.codeHint} kind="figures" required of={code} />
        <Field label={pair.name} hint={pair.nameHint} required of={name} />
      </Form>
    </main>
  );
}
