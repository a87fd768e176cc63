import type { BuiltIn, Form, FormName } from "./form.ts";
import { answer } from "./forms/answer.ts";
import { bare } from "./forms/bare.ts";
import { flagged } from "./forms/flagged.ts";
import { impliedPoint } from "./forms/implied-point.ts";
import { marked } from "./forms/marked.ts";
import { numberUnit } from "./forms/number-unit.ts";
import { pollFrame } from "./forms/poll-frame.ts";
import { poundsOunces } from "./forms/pounds-ounces.ts";
import { prefixed } from "./forms/prefixed.ts";
import { statusFrame, statusFrameSum } from "./forms/status-frame.ts";
import { unitWhenStill } from "./forms/unit-when-still.ts";
import { usbReport } from "./forms/usb-report.ts";
import { xorFrames } from "./forms/xor-frame.ts";

/** Of two forms that explain the same lines with the same masses the earlier one says more. */
export const forms: readonly BuiltIn[] = [
  marked,
  pollFrame,
  answer,
  prefixed,
  statusFrameSum,
  statusFrame,
  ...xorFrames,
  flagged,
  numberUnit,
  poundsOunces,
  bare,
  impliedPoint,
  unitWhenStill,
  usbReport,
];

const byName: ReadonlyMap<string, Form> = new Map(forms.map((form) => [form.name, form]));

/** `own`: the forms of the settings file. */
export const isFormName = (text: string, own: readonly Form[]): text is FormName =>
  byName.has(text) || own.some(({ name }) => name === text);

export function formNamed(name: FormName, own: readonly Form[] = []): Form {
  const form = byName.get(name) ?? own.find((one) => one.name === name);
  if (!form) throw new RangeError(`no form is called ${name}`);
  return form;
}
