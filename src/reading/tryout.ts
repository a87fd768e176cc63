/** A line held against one form, part by part: which parts matched, and what was left over. For whoever writes a form. */
import { isRight } from "./checksum.ts";
import type { Facts, Form, Said } from "./form.ts";
import { partsOf, said } from "./piece.ts";

export type TryOut = {
  readonly parts: readonly { readonly name: string; readonly text: string }[];
  /** The first part that did not match; null: all did. */
  readonly stoppedAt: string | null;
  /** What no part explains. */
  readonly leftOver: string;
  /** Every part matched, and the check byte is not the right one. */
  readonly wrongCheck: boolean;
  readonly says: Said | null;
};

export function tryOut(form: Form, facts: Facts, raw: string): TryOut {
  const says = said(form, facts, raw);
  const { steps } = form;
  if (steps === undefined) {
    const named = Object.entries(partsOf(form, raw) ?? {});
    const parts = named.flatMap(([name, text]) => (text === undefined ? [] : [{ name, text }]));
    return { parts, stoppedAt: null, leftOver: says === null ? raw : "", wrongCheck: false, says };
  }
  for (let count = steps.length; ; count--) {
    const matched = begins(steps.slice(0, count), raw, count === steps.length && says !== null);
    if (matched === null) continue;
    const parts = matched.map((text, at) => ({ name: steps[at]?.name ?? "", text }));
    const leftOver = raw.slice(matched.join("").length);
    const stoppedAt = steps[count]?.name ?? null;
    const wrongCheck =
      stoppedAt === null &&
      leftOver === "" &&
      form.check !== undefined &&
      !isRight(raw, form.check);
    return { parts, stoppedAt, leftOver, wrongCheck, says };
  }
}

/** The texts of the parts where the line begins with them, or null. No parts begin every line. */
function begins(steps: NonNullable<Form["steps"]>, raw: string, whole: boolean): string[] | null {
  const source = steps.map((step, at) => `(?<p${at}>${step.source})`).join("");
  const groups = new RegExp(`^${source}${whole ? "$" : ""}`).exec(raw);
  if (groups === null) return null;
  return steps.map((_, at) => groups.groups?.[`p${at}`] ?? "");
}
