/** Scales that come, go, and are told how to be read. */
import { realpathSync } from "node:fs";
import { resolve } from "node:path";
import { Fault } from "../faults.ts";
import { usualEveryMs } from "../port/asker.ts";
import { isRefused, isWindowsPort, readAddress, readScaleUri } from "../port/uri.ts";
import type { Form } from "../reading/form.ts";
import { isFormName } from "../reading/forms.ts";
import type { ScaleUnit } from "../reading/reading.ts";
import { grams } from "../units/quantity.ts";
import type { Bench as WireBench } from "../wire/bench.ts";
import type * as ask from "../wire/requests.ts";
import { scaleOrFault } from "./loads.ts";
import type { Service } from "./service.ts";
import type { Work } from "./work.ts";

type ScaleDesk = Pick<
  Service,
  "addScale" | "removeScale" | "chooseForm" | "sayAsking" | "pressKey" | "takeBytes"
>;

export function scaleDesk(work: Work): ScaleDesk {
  let before: Promise<unknown> = Promise.resolve();
  /** One after the other: leaving practice and closing a port take a while, and two people may ask at once. */
  function inTurn<T>(change: () => Promise<T>): Promise<T> {
    const done = before.then(change);
    before = done.catch(() => undefined);
    return done;
  }

  /** Choosing a real scale ends practice: the real folder is opened, and the practice one left as it is. */
  async function addOne({ uri }: ask.NewScale): Promise<WireBench> {
    refuseAddress(uri, work.set.ownForms);
    refuseFile(uri, work.set.ownForms);
    const there = work.scaleAt(uri);
    if (there?.uri === uri) return work.bench();
    if (there !== null)
      throw new Fault(
        "link.refused",
        `that scale is set up already, as ${there.uri}: take it away first`,
      );
    await work.leavePractice();
    work.set.store.rememberScale(uri);
    work.addReal(uri);
    return work.bench();
  }

  async function removeOne(scaleId: string): Promise<WireBench> {
    const scale = scaleOrFault(work.engine.present, scaleId);
    // Without the practice scale there is nothing to practise with: weights are typed, of real food.
    if (work.set.hand !== null) {
      await work.leavePractice();
      return work.bench();
    }
    work.set.store.forgetScale(scale.uri);
    await work.scales.remove(scaleId);
    return work.bench();
  }

  return {
    addScale: (asked: ask.NewScale) => inTurn(() => addOne(asked)),
    removeScale: (scaleId: string) => inTurn(() => removeOne(scaleId)),

    chooseForm(scaleId: string, asked: ask.FormChoice): WireBench {
      const { uri } = scaleOrFault(work.engine.present, scaleId);
      const { form, unit = null, divisionGrams = null } = asked;
      if (!isFormName(form, work.set.ownForms))
        throw new Fault("input.invalid", `${form} is not a form of line`);
      if (unit !== null && !isScaleUnit(unit))
        throw new Fault("input.invalid", `${unit} is not a unit: g, kg, oz, lb or lb:oz`);
      const choice = {
        form,
        ...(unit === null ? {} : { unit }),
        ...(divisionGrams === null ? {} : { division: grams(divisionGrams) }),
      };
      work.set.store.chooseForm(uri, choice);
      work.scales.chooseForm(scaleId, choice);
      return work.bench();
    },

    sayAsking(scaleId: string, { ask, everyMs = usualEveryMs }: ask.AskingSaid): WireBench {
      const { uri, canBeAsked } = scaleOrFault(work.engine.present, scaleId);
      if (!canBeAsked)
        throw new Fault(
          "input.invalid",
          `${uri} cannot be asked, or its address says already what to send`,
        );
      const said = { ask, everyMs };
      work.set.store.sayAsking(uri, said);
      work.scales.sayAsking(scaleId, said);
      return work.bench();
    },

    takeBytes(scaleId: string, asked: ask.PageBytes): ask.PageWrites {
      scaleOrFault(work.engine.present, scaleId);
      const send = work.scales.takeBytes(scaleId, {
        sender: asked.sender,
        ended: asked.ended ?? false,
        chunks: asked.chunks.map(({ agoMs, hex }) => ({ agoMs, bytes: Buffer.from(hex, "hex") })),
      });
      return { send: send === null ? null : Buffer.from(send).toString("hex") };
    },

    async pressKey(scaleId: string, asked: ask.KeyPress): Promise<WireBench> {
      scaleOrFault(work.engine.present, scaleId);
      await work.scales.pressKey(scaleId, asked.what);
      return work.bench();
    },
  };
}

/** Refuses an address that cannot name a scale, before anything is opened or kept. */
export function refuseAddress(uri: string, own: readonly Form[]): void {
  const address = readAddress(uri, own);
  if (isRefused(address)) throw new Fault("link.refused", address.why);
  if (address.place.is === "practice")
    throw new Fault("link.refused", "the practice scale comes by itself where there is no other");
}

/** Whoever is let in may name a device of this computer, but not have it open a file. */
function refuseFile(uri: string, own: readonly Form[]): void {
  const { place } = readScaleUri(uri, own);
  if (place.is === "replay")
    throw new Fault(
      "link.refused",
      "a capture is played with --scale, when the program is started",
    );
  const path = place.is === "serial" || place.is === "hid" ? place.path : null;
  if (path !== null && !isDevice(path))
    throw new Fault("link.refused", `${path} is not a device of this computer`);
}

function isDevice(path: string): boolean {
  if (isWindowsPort(path)) return true;
  let real = resolve(path);
  try {
    // A lasting name may be a link from elsewhere.
    real = realpathSync(path);
  } catch {
    // Not plugged in: its name tells.
  }
  return real.startsWith("/dev/");
}

const isScaleUnit = (text: string): text is ScaleUnit =>
  ["g", "kg", "oz", "lb", "lb:oz"].includes(text);
