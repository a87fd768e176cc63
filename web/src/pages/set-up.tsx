/** Which scale, which units, who is told? */
import { useSignal } from "@preact/signals";
import type { Bench, Scale, Settings } from "../../../src/wire/bench.ts";
import type { Ports, SettingsEdit } from "../../../src/wire/requests.ts";
import type { UnitWord } from "../../../src/wire/words.ts";
import { service } from "../ask.ts";
import { bench, nowMs, say, speech } from "../page.ts";
import { ActButton, Refused, useAct } from "../parts/act.tsx";
import { Choice, Field, Form } from "../parts/field.tsx";
import { WhichForm } from "../parts/scale-trouble.tsx";
import { capital, readTyped, showTime } from "../show.ts";
import { canSound, sound, turnSoundOn, type SoundName } from "../sound.ts";

export function SetUpPage() {
  const known = bench.value;
  const { setup } = say();
  if (known === null) return <p class="quiet">{say().connection.connecting}</p>;
  return (
    <>
      <h1>{setup.title}</h1>
      <Scales scales={known.scales} />
      <Reading settings={known.settings} />
      <Sound settings={known.settings} />
      <Alerts known={known} />
      <section>
        <h2>{setup.data}</h2>
        <p>{setup.folder(known.dataFolder)}</p>
        <p>{setup.backup}</p>
        <p class="quiet">{known.program}</p>
      </section>
    </>
  );
}

function Scales({ scales }: { readonly scales: readonly Scale[] }) {
  const { setup, look } = say();
  return (
    <section>
      <h2>{setup.scales}</h2>
      {scales.length === 0 && <p>{setup.noScales}</p>}
      <ul class="log">
        {scales.map((scale) => (
          <li key={scale.id}>
            <span class="log-line">
              <span class="strong">{look.links[scale.link]}</span>{" "}
              <span class="code">{scale.uri}</span>{" "}
              {scale.form !== null && (
                <span class="quiet">{setup.reads(scale.form, scale.unit ?? "")}</span>
              )}
            </span>
            {!scale.practice && (
              <ActButton
                label={setup.removeWhich(scale.uri)}
                asking={() => service.removeScale(scale.id)}
              >
                {setup.remove}
              </ActButton>
            )}
            {scale.link !== "up" && (scale.why !== null || scale.fix !== null) && (
              <p class="advice">
                {capital(scale.why ?? "")} {capital(scale.fix ?? look.fixes[scale.link])}
              </p>
            )}
            {scale.form === null && scale.candidates.length > 0 && <WhichForm scale={scale} />}
          </li>
        ))}
      </ul>
      <PortList />
      <TypedAddress />
    </section>
  );
}

function PortList() {
  const { setup } = say();
  const act = useAct();
  const listed = useSignal<Ports | null>(null);
  const list = async (): Promise<void> => {
    const done = await act.run(() => service.ports());
    if (done !== null) listed.value = done.body;
  };
  const ports = listed.value;
  return (
    <>
      <button type="button" class="big" aria-disabled={act.busy} onClick={() => void list()}>
        {setup.listPorts}
      </button>
      <p class="quiet">{setup.portsWhy}</p>
      <Refused why={act.refusal} />
      {ports !== null && (
        <div role="status">
          {ports.why !== null && <p class="advice">{capital(ports.why)}</p>}
          {ports.ports.length === 0 && ports.why === null && <p>{setup.noPorts}</p>}
        </div>
      )}
      <ul class="log">
        {ports?.ports.map((port) => (
          <li key={port.uri}>
            <span class="log-line">
              <span class="strong">{port.name}</span> <span class="quiet code">{port.uri}</span>
            </span>
            <ActButton
              look="big"
              label={setup.openWhich(port.name)}
              asking={() => service.addScale({ uri: port.uri })}
            >
              {setup.open}
            </ActButton>
          </li>
        ))}
      </ul>
    </>
  );
}

function TypedAddress() {
  const { setup } = say();
  const act = useAct();
  const uri = useSignal("");
  const open = async (): Promise<void> => {
    const address = uri.value.trim();
    if (address === "") return;
    const done = await act.run(() => service.addScale({ uri: address }));
    if (done !== null) uri.value = "";
  };
  return (
    <Form onSend={() => void open()}>
      <Field
        label={setup.address}
        hint={setup.addressHint}
        kind="url"
        value={uri.value}
        onValue={(text) => (uri.value = text)}
      />
      <button type="submit" class="plain" aria-disabled={act.busy}>
        {setup.addressOpen}
      </button>
      <Refused why={act.refusal} />
    </Form>
  );
}

const units: readonly UnitWord[] = ["g", "kg", "oz", "lb"];

function Reading({ settings }: { readonly settings: Settings }) {
  const { setup } = say();
  const act = useAct();
  const limit = useSignal(String(settings.limitPct));
  const tooLong = useSignal(String(settings.outTooLongMinutes));
  const said = useSignal<string | null>(null);
  const keep = async (): Promise<void> => {
    const limitPct = readTyped(limit.value);
    const outTooLongMinutes = readTyped(tooLong.value);
    if (limitPct === null || outTooLongMinutes === null) {
      said.value = setup.badNumber(limitPct === null ? setup.limit : setup.tooLong);
      return;
    }
    said.value = null;
    const done = await act.run(() => service.editSettings({ limitPct, outTooLongMinutes }));
    if (done !== null) said.value = setup.kept;
  };
  return (
    <section>
      <h2>{setup.reading}</h2>
      <Choice
        label={setup.unit}
        value={settings.displayUnit}
        onValue={(word) => {
          const displayUnit = units.find((unit) => unit === word);
          if (displayUnit !== undefined) void act.run(() => service.editSettings({ displayUnit }));
        }}
        options={units.map((unit) => ({ value: unit, label: setup.units[unit] }))}
      />
      <Form onSend={() => void keep()}>
        <Field
          label={setup.limit}
          hint={setup.limitHint}
          kind="number"
          value={limit.value}
          onValue={(text) => (limit.value = text)}
        />
        <Field
          label={setup.tooLong}
          kind="number"
          value={tooLong.value}
          onValue={(text) => (tooLong.value = text)}
        />
        <button type="submit" class="plain" aria-disabled={act.busy}>
          {setup.keep}
        </button>
      </Form>
      {said.value !== null && <p role="status">{said.value}</p>}
      <Refused why={act.refusal} />
    </section>
  );
}

const soundNames: readonly SoundName[] = ["taken", "question", "alert"];

function Sound({ settings }: { readonly settings: Settings }) {
  const { setup } = say();
  const act = useAct();
  const hear = (name: SoundName): void => {
    void turnSoundOn().then(() => sound(name));
  };
  return (
    <section>
      <h2>{setup.sound}</h2>
      <label class="tick">
        <input
          type="checkbox"
          checked={settings.sound}
          onChange={(event) => {
            const wanted: SettingsEdit = { sound: event.currentTarget.checked };
            void act.run(() => service.editSettings(wanted));
          }}
        />
        <span>{setup.soundOn}</span>
      </label>
      {!canSound.value && <p class="quiet">{setup.soundBlocked}</p>}
      <p>{setup.soundTest}</p>
      <div class="answers">
        {soundNames.map((name) => (
          <button key={name} type="button" class="plain" onClick={() => hear(name)}>
            {setup.soundNames[name]}
          </button>
        ))}
      </div>
      <Refused why={act.refusal} />
    </section>
  );
}

function Alerts({ known }: { readonly known: Bench }) {
  const { setup } = say();
  const act = useAct();
  const trial = useAct();
  const webhook = useSignal(known.settings.webhook ?? "");
  const said = useSignal<string | null>(null);
  const keep = async (): Promise<void> => {
    const address = webhook.value.trim();
    said.value = null;
    const done = await act.run(() =>
      service.editSettings({ webhook: address === "" ? null : address }),
    );
    if (done !== null) said.value = setup.kept;
  };
  const tryIt = async (): Promise<void> => {
    said.value = null;
    const done = await trial.run(() => service.tryAlert());
    if (done !== null) said.value = setup.tried;
  };
  return (
    <section>
      <h2>{setup.alerts}</h2>
      <Form onSend={() => void keep()}>
        <Field
          label={setup.webhook}
          hint={setup.webhookHint}
          kind="url"
          value={webhook.value}
          onValue={(text) => (webhook.value = text)}
        />
        <div class="answers">
          <button type="submit" class="plain" aria-disabled={act.busy}>
            {setup.keep}
          </button>
          {known.settings.webhook !== null && (
            <button
              type="button"
              class="plain"
              aria-disabled={trial.busy}
              onClick={() => void tryIt()}
            >
              {setup.tryIt}
            </button>
          )}
        </div>
      </Form>
      {said.value !== null && <p role="status">{said.value}</p>}
      <Refused why={act.refusal ?? trial.refusal} />
      {known.sending.map((sending) => (
        <p key={sending.channel} class={sending.failed === null ? "quiet" : "refused"}>
          {sending.failed !== null
            ? setup.failed(sending.failed)
            : sending.at !== null &&
              setup.lastSent(showTime(speech.value, sending.at, nowMs.value))}
        </p>
      ))}
      <Notifications />
    </section>
  );
}

function Notifications() {
  const { setup } = say();
  const permission = useSignal("Notification" in window ? Notification.permission : null);
  return (
    <>
      <h3>{setup.notify}</h3>
      {permission.value === null ? (
        <p>{window.isSecureContext ? setup.notifyNone : setup.notifyInsecure}</p>
      ) : permission.value === "granted" ? (
        <p>{setup.notifyOn}</p>
      ) : permission.value === "denied" ? (
        <p>{window.isSecureContext ? setup.notifyDenied : setup.notifyInsecure}</p>
      ) : (
        <button
          type="button"
          class="plain"
          onClick={() => {
            void Notification.requestPermission().then((answer) => (permission.value = answer));
          }}
        >
          {setup.notifyAllow}
        </button>
      )}
    </>
  );
}
