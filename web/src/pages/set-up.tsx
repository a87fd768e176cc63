/** Which scale, which units, who is told? */
import { sayKitchen } from "../kitchen-texts.ts";
import { useSignal } from "@preact/signals";
import { useRef } from "preact/hooks";
import type { Bench, Scale, Settings } from "../../../src/wire/bench.ts";
import type { Ports, SettingsEdit } from "../../../src/wire/requests.ts";
import type { UnitWord } from "../../../src/wire/words.ts";
import { service } from "../ask.ts";
import {
  awake,
  chooseLanguage,
  chosenLanguage,
  notifications,
  notify,
  type Ability,
} from "../device.ts";
import { announced, bench, inOwnWords, nowMs, say, speech } from "../page.ts";
import { ActButton, Form, Refused, useAct } from "../parts/act.tsx";
import { Devices } from "../parts/devices.tsx";
import { Choice, Field } from "../parts/field.tsx";
import { lazily } from "../parts/lazily.tsx";
import { Lessons } from "../parts/lessons.tsx";
import { ServiceText } from "../parts/service-text.tsx";
import { ScaleHere } from "../parts/scale-here.tsx";
import { AskingScale, WhichForm } from "../parts/scale-trouble.tsx";
import { writeRoute } from "../route.ts";
import { isMadeUp, readTyped, scaleName, showDuration, showTime } from "../show.ts";
import { isLanguage, languageNames } from "../texts.ts";
import { canSound, sound, turnSoundOn, type SoundName } from "../sound.ts";

const KitchenSetUp = lazily(() => import("../parts/kitchen.tsx").then((part) => part.KitchenSetUp));

export function SetUpPage() {
  const known = bench.value;
  const { setup } = sayKitchen();
  if (known === null) return <p class="quiet">{say().connection.connecting}</p>;
  return (
    <>
      <h1>{setup.title}</h1>
      <Scales scales={known.scales} />
      <DeviceLanguage />
      <Reading settings={known.settings} />
      <Sound settings={known.settings} />
      <KitchenSetUp />
      <Lessons settings={known.settings} />
      <Alerts known={known} />
      <Devices />
      <section>
        <h2>{setup.data}</h2>
        <p>{setup.folder(known.dataFolder)}</p>
        <Backup state={known.backup} />
        <p>{setup.backup}</p>
        <p class="quiet">{known.program}</p>
      </section>
    </>
  );
}

function Backup({ state }: { readonly state: Bench["backup"] }) {
  const { setup } = sayKitchen();
  if (state === null) return <p>{setup.backupNone}</p>;
  const at = state.at === null ? null : showTime(speech.value, state.at, nowMs.value);
  return (
    <>
      <p>{setup.backupEvery(state.folder, String(state.everyHours))}</p>
      <p>{at === null ? setup.backupNever : setup.backupAt(at)}</p>
      {state.failed !== null && (
        <p class="refused">
          {setup.backupFailed} <ServiceText text={state.failed} />
        </p>
      )}
    </>
  );
}

function Scales({ scales }: { readonly scales: readonly Scale[] }) {
  const { setup } = sayKitchen();
  const { look } = say();
  const title = useRef<HTMLHeadingElement>(null);
  /** What was opened further down shows at the top how it fares; who has gone on meanwhile is not called back. */
  const open: Opening = async (uri) => {
    const from = document.activeElement;
    const answer = await service.addScale({ uri });
    if (answer.is !== "done") return answer;
    if (document.activeElement === from) title.current?.focus();
    announced.value = setup.opened;
    return answer;
  };
  return (
    <section>
      <h2 ref={title} tabIndex={-1}>
        {setup.scales}
      </h2>
      {scales.length === 0 && <p>{setup.noScales}</p>}
      <ul class="log">
        {scales.map((scale) => (
          <li key={scale.id}>
            <span class="log-line">
              <span class="strong">{look.links[scale.link]}</span>{" "}
              {!isMadeUp(scale) && scaleName(speech.value, scale.id)}{" "}
              <span class="code">{scale.uri}</span>{" "}
              {scale.form !== null && (
                <span class="quiet">{setup.reads(scale.form, scale.unit ?? "")}</span>
              )}
            </span>
            {scale.link === "up" && (
              <a class="button" href={writeRoute({ page: "weigh", scale: scale.id })}>
                {say().nav.weigh}
              </a>
            )}
            <ActButton
              label={setup.removeWhich(scale.uri)}
              asking={() => service.removeScale(scale.id)}
            >
              {setup.remove}
            </ActButton>
            {scale.link !== "up" && (scale.why !== null || scale.fix !== null) && (
              <p class="advice">
                {scale.why !== null && (
                  <>
                    <ServiceText text={scale.why} />
                    {". "}
                  </>
                )}
                {scale.fix === null ? look.fixes[scale.link] : <ServiceText text={scale.fix} />}
              </p>
            )}
            {(scale.offersAsking === true || (scale.asking ?? null) !== null) && (
              <AskingScale scale={scale} />
            )}
            {scale.form === null && scale.candidates.length > 0 && <WhichForm scale={scale} />}
          </li>
        ))}
      </ul>
      <PortList open={open} />
      <TypedAddress open={open} />
      <ScaleHere scales={scales} />
    </section>
  );
}

type Opening = (uri: string) => ReturnType<typeof service.addScale>;
type OpeningProps = { readonly open: Opening };

function PortList({ open }: OpeningProps) {
  const { setup } = sayKitchen();
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
      <div role="status">
        {ports !== null && ports.why !== null && (
          <p class="advice">
            <ServiceText text={ports.why} />
          </p>
        )}
        {ports?.ports.length === 0 && ports.why === null && <p>{setup.noPorts}</p>}
      </div>
      <ul class="log">
        {ports?.ports.map((port) => (
          <li key={port.uri}>
            <span class="log-line">
              <span class="strong">{port.name}</span> <span class="quiet code">{port.uri}</span>
            </span>
            <ActButton look="big" label={setup.openWhich(port.name)} asking={() => open(port.uri)}>
              {setup.open}
            </ActButton>
          </li>
        ))}
      </ul>
    </>
  );
}

function TypedAddress({ open }: OpeningProps) {
  const { setup } = sayKitchen();
  const act = useAct();
  const uri = useSignal("");
  const openTyped = async (): Promise<void> => {
    const address = uri.value.trim();
    if (address === "") return;
    const done = await act.run(() => open(address));
    if (done !== null) uri.value = "";
  };
  return (
    <Form onSend={() => void openTyped()} act={act} send={setup.addressOpen}>
      <Field label={setup.address} hint={setup.addressHint} kind="url" of={uri} />
    </Form>
  );
}

const units: readonly UnitWord[] = ["g", "kg", "oz", "lb"];

function Reading({ settings }: { readonly settings: Settings }) {
  const { setup } = sayKitchen();
  const act = useAct();
  const opened = useSignal(settings);
  const limit = useSignal(String(settings.limitPct));
  const tooLong = useSignal(String(settings.outTooLongMinutes));
  const keep = async (): Promise<void> => {
    const limitPct = readTyped(limit.value);
    const outTooLongMinutes = readTyped(tooLong.value);
    if (limitPct === null || outTooLongMinutes === null) {
      const isLimit = limitPct === null;
      act.refuse(setup.badNumber(isLimit ? setup.limit : setup.tooLong), isLimit ? limit : tooLong);
      return;
    }
    const before = opened.value;
    const seen = { limitPct: before.limitPct, outTooLongMinutes: before.outTooLongMinutes };
    const done = await act.run(() => service.editSettings({ limitPct, outTooLongMinutes, seen }));
    if (done === null) return;
    opened.value = done.body.settings;
    act.tell(setup.kept);
  };
  return (
    <section>
      <h2>{setup.reading}</h2>
      <Choice
        label={setup.unit}
        value={settings.displayUnit}
        onValue={(displayUnit) => void act.run(() => service.editSettings({ displayUnit }))}
        options={units.map((unit) => ({ value: unit, label: say().look.units[unit] }))}
      />
      <Form onSend={() => void keep()} act={act} send={setup.keep}>
        <Field label={setup.limit} hint={setup.limitHint} kind="number" of={limit} />
        <Field label={setup.tooLong} kind="number" of={tooLong} />
      </Form>
    </section>
  );
}

const soundNames: readonly SoundName[] = ["taken", "question", "alert"];

function Sound({ settings }: { readonly settings: Settings }) {
  const { setup } = sayKitchen();
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
          <button key={name} type="button" onClick={() => hear(name)}>
            {setup.soundNames[name]}
          </button>
        ))}
      </div>
      <Refused why={act.refusal} />
    </section>
  );
}

type Said =
  | { readonly is: "kept" }
  | { readonly is: "sent" }
  | { readonly is: "failed"; readonly why: string };

/** The button that sends a trial by one way, and what came of it. */
function TryIt({ channel }: { readonly channel: Channel }) {
  const { setup } = sayKitchen();
  const trial = useAct();
  const said = useSignal<Said | null>(null);
  const tryIt = async (): Promise<void> => {
    said.value = null;
    const done = await trial.run(() => service.tryAlert({ channel }));
    if (done === null) return;
    const { sent, why } = done.body;
    said.value = sent ? { is: "sent" } : { is: "failed", why: why ?? "" };
  };
  return (
    <>
      <button type="button" aria-disabled={trial.busy} onClick={() => void tryIt()}>
        {setup.channelSaid(setup.channels[channel], setup.tryIt)}
      </button>
      <div role="status">
        {said.value?.is === "sent" && <p>{setup.tried}</p>}
        {said.value?.is === "failed" && (
          <p class="refused">{setup.failed(inOwnWords(said.value.why), false)}</p>
        )}
      </div>
      <Refused why={trial.refusal} />
    </>
  );
}

type Channel = Bench["sending"][number]["channel"];

function Alerts({ known }: { readonly known: Bench }) {
  const { setup } = sayKitchen();
  return (
    <section>
      <h2>{setup.alerts}</h2>
      <Webhook settings={known.settings} />
      {known.settings.webhook !== null && <TryIt channel="webhook" />}
      <Mqtt settings={known.settings} />
      {known.settings.mqtt !== null && <TryIt channel="mqtt" />}
      {known.sending.map((sending) => (
        <p key={sending.channel} class={sending.failed === null ? "quiet" : "refused"}>
          {sending.failed !== null
            ? setup.channelSaid(
                setup.channels[sending.channel],
                setup.failed(inOwnWords(sending.failed), sending.waiting > 0),
              )
            : sending.at !== null &&
              setup.channelSaid(
                setup.channels[sending.channel],
                setup.lastSent(
                  showTime(speech.value, sending.at, nowMs.value),
                  sending.lateMinutes > 0 && showDuration(speech.value, sending.lateMinutes / 60),
                ),
              )}
        </p>
      ))}
      <Notifications />
      <Awake />
      <h3>{setup.install}</h3>
      <p>{isSecureContext ? setup.installHow : setup.installInsecure}</p>
    </section>
  );
}

function Webhook({ settings }: { readonly settings: Settings }) {
  const { setup } = sayKitchen();
  const act = useAct();
  const webhook = useSignal(settings.webhook ?? "");
  const opened = useSignal(settings.webhook);
  const keep = async (): Promise<void> => {
    const address = webhook.value.trim();
    const seen = { webhook: opened.value };
    const done = await act.run(() =>
      service.editSettings({ webhook: address === "" ? null : address, seen }),
    );
    if (done === null) return;
    opened.value = done.body.settings.webhook;
    act.tell(setup.kept);
  };
  return (
    <Form
      onSend={() => void keep()}
      act={act}
      send={setup.keep}
      sendLabel={setup.channelSaid(setup.channels.webhook, setup.keep)}
    >
      <Field label={setup.webhook} hint={setup.webhookHint} kind="url" of={webhook} />
    </Form>
  );
}

const usualPrefix = "stillweight";

function Mqtt({ settings }: { readonly settings: Settings }) {
  const { setup } = sayKitchen();
  const act = useAct();
  const opened = useSignal(settings.mqtt);
  const before = settings.mqtt;
  const url = useSignal(before?.url ?? "");
  const prefix = useSignal(before?.prefix ?? usualPrefix);
  const user = useSignal(before?.user ?? "");
  const password = useSignal("");
  const keep = async (forget: boolean): Promise<void> => {
    const address = url.value.trim();
    const sent = password.value;
    const typed = sent === "" ? {} : { password: sent };
    const mqtt =
      address === ""
        ? null
        : {
            url: address,
            prefix: prefix.value.trim(),
            user: user.value.trim() === "" ? null : user.value.trim(),
            ...(forget ? { password: null } : typed),
          };
    const done = await act.run(() => service.editSettings({ mqtt, seen: { mqtt: opened.value } }));
    if (done === null) return;
    opened.value = done.body.settings.mqtt;
    // One that was typed while the answer was on its way stays.
    if (password.value === sent) password.value = "";
    act.tell(setup.kept);
  };
  return (
    <Form
      onSend={() => void keep(false)}
      act={act}
      send={setup.keep}
      sendLabel={setup.channelSaid(setup.channels.mqtt, setup.keep)}
      beside={
        before?.hasPassword === true && (
          <button type="button" aria-disabled={act.busy} onClick={() => void keep(true)}>
            {setup.mqttForget}
          </button>
        )
      }
    >
      <Field label={setup.mqtt} hint={setup.mqttHint} kind="url" of={url} />
      <p class="quiet">{setup.mqttWhat}</p>
      <Field label={setup.mqttPrefix} hint={setup.mqttPrefixHint} of={prefix} />
      <Field label={setup.mqttUser} of={user} />
      <Field
        label={setup.mqttPassword}
        hint={before?.hasPassword === true ? setup.mqttPasswordKept : setup.mqttPasswordNone}
        kind="password"
        of={password}
      />
    </Form>
  );
}

function Notifications() {
  const { setup } = sayKitchen();
  const can = useSignal(notifications());
  const isShown = useSignal<boolean | null>(null);
  const said: Readonly<Record<Ability, string>> = {
    yes: setup.notifyOn,
    ask: "",
    denied: setup.notifyDenied,
    insecure: setup.notifyInsecure,
    none: setup.notifyNone,
  };
  return (
    <>
      <h3>{setup.notify}</h3>
      {said[can.value] !== "" && <p>{said[can.value]}</p>}
      {can.value === "ask" && (
        <button
          type="button"
          onClick={() => {
            void Notification.requestPermission().then(() => (can.value = notifications()));
          }}
        >
          {setup.notifyAllow}
        </button>
      )}
      {can.value === "yes" && (
        <button
          type="button"
          onClick={() => (isShown.value = notify(say().program, say().alerts.trial))}
        >
          {setup.notifyTry}
        </button>
      )}
      <p role="status">
        {isShown.value !== null && (isShown.value ? setup.notifyTried : setup.notifyFailed)}
      </p>
    </>
  );
}

function Awake() {
  const { setup } = sayKitchen();
  const said: Readonly<Record<Ability, string>> = {
    yes: setup.awakeOn,
    ask: setup.awakeOn,
    denied: setup.awakeRefused,
    insecure: setup.awakeInsecure,
    none: setup.awakeNone,
  };
  return (
    <>
      <h3>{setup.awake}</h3>
      <p>{said[awake.value]}</p>
    </>
  );
}

function DeviceLanguage() {
  const { setup } = sayKitchen();
  return (
    <section>
      <h2>{setup.language}</h2>
      <Choice
        label={setup.language}
        isLabelUnseen
        value={chosenLanguage.value ?? ""}
        onValue={(tag) => chooseLanguage(isLanguage(tag) ? tag : null)}
        options={[
          { value: "", label: setup.languageAuto },
          ...Object.entries(languageNames).map(([value, label]) => ({ value, label })),
        ]}
      />
    </section>
  );
}
