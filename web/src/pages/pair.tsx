/** What a device sees that was not let in yet: the one thing to do about it. */
import { useSignal } from "@preact/signals";
import { service } from "../ask.ts";
import { enter, say } from "../page.ts";
import { Refused, useAct } from "../parts/act.tsx";
import { Field, Form } from "../parts/field.tsx";

export function PairPage() {
  const { pair } = say();
  const act = useAct();
  const code = useSignal("");
  const name = useSignal("");
  const isMissing = useSignal(false);
  const send = async (): Promise<void> => {
    const asked = { code: code.value.trim(), name: name.value.trim() };
    isMissing.value = asked.code === "" || asked.name === "";
    if (isMissing.value) return;
    const done = await act.run(() => service.pair(asked));
    if (done !== null) await enter();
  };
  return (
    <main id="main" class="page-pair">
      <h1>{pair.title}</h1>
      <p>{pair.explain}</p>
      <Form onSend={() => void send()}>
        <Field
          label={pair.code}
          hint={pair.codeHint}
          kind="figures"
          required
          value={code.value}
          onValue={(text) => (code.value = text)}
        />
        <Field
          label={pair.name}
          hint={pair.nameHint}
          required
          value={name.value}
          onValue={(text) => (name.value = text)}
        />
        <button type="submit" class="main" aria-disabled={act.busy}>
          {pair.button}
        </button>
        {isMissing.value && (
          <p class="refused" role="alert">
            {pair.noCode}
          </p>
        )}
        <Refused why={act.refusal} />
      </Form>
    </main>
  );
}
