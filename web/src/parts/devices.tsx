/** The devices of the network that are let in, and the code for the next one. */
import { sayKitchen } from "../kitchen-texts.ts";
import { useSignal } from "@preact/signals";
import type { AccessWord, Device, PairingCode } from "../../../src/wire/device.ts";
import { service } from "../ask.ts";
import { enter, mayOnlyLook, nowMs, pairing, speech } from "../page.ts";
import { showTime } from "../show.ts";
import { Refused, useAct } from "./act.tsx";
import { useFetched } from "./fetched.ts";

export function Devices() {
  const { setup } = sayKitchen();
  const known = pairing.value;
  if (known === null || mayOnlyLook.value) return null;
  return (
    <section>
      <h2>{setup.devices}</h2>
      {known.needed ? <Paired own={known.device?.id ?? null} /> : <p>{setup.devicesAlone}</p>}
    </section>
  );
}

function Paired({ own }: { readonly own: number | null }) {
  const { setup } = sayKitchen();
  const act = useAct();
  const changed = useSignal<readonly Device[] | null>(null);
  const { body, why } = useFetched("devices", service.devices);
  const devices = changed.value ?? body;
  const code = useSignal<PairingCode | null>(null);
  const revoke = async (id: number): Promise<void> => {
    const done = await act.run(() => service.revoke(id));
    if (done !== null) changed.value = done.body;
    await enter();
  };
  const make = async (access: AccessWord): Promise<void> => {
    const done = await act.run(() => service.newCode({ access }));
    if (done !== null) code.value = done.body;
  };
  return (
    <>
      {devices?.length === 0 && <p>{setup.devicesNone}</p>}
      <ul class="log">
        {devices?.map((device) => (
          <li key={device.id}>
            <span class="log-line">
              <span class="strong">{device.name}</span>{" "}
              <span class="quiet">
                {[
                  ...(device.id === own ? [setup.deviceYou] : []),
                  setup.deviceAccess[device.access],
                  setup.devicePaired(showTime(speech.value, device.paired, nowMs.value)),
                  ...(device.seen === null
                    ? []
                    : [setup.deviceSeen(showTime(speech.value, device.seen, nowMs.value))]),
                ].join(", ")}
              </span>
            </span>
            <button
              type="button"
              aria-disabled={act.busy}
              aria-label={setup.deviceRevokeWhich(device.name)}
              onClick={() => void revoke(device.id)}
            >
              {setup.deviceRevoke}
            </button>
          </li>
        ))}
      </ul>
      <div class="answers">
        <button type="button" aria-disabled={act.busy} onClick={() => void make("full")}>
          {setup.deviceCode}
        </button>
        <button type="button" aria-disabled={act.busy} onClick={() => void make("read-only")}>
          {setup.deviceCodeLook}
        </button>
      </div>
      <p role="status" class="strong">
        {code.value !== null &&
          setup.deviceCodeSays(
            code.value.code,
            showTime(speech.value, code.value.until, nowMs.value),
          )}
      </p>
      <Refused why={act.refusal ?? why} />
    </>
  );
}
