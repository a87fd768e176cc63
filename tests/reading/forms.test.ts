import { expect, test } from "vitest";
import { noFacts, type FormName } from "../../src/reading/form.ts";
import { formNamed, forms } from "../../src/reading/forms.ts";
import { framesIn } from "../../src/reading/frame.ts";
import { said } from "../../src/reading/piece.ts";
import { grams } from "../../src/units/quantity.ts";
import fc from "../rig/properties.ts";
import { lineOf } from "../rig/scale.ts";

const read = (form: FormName, raw: string): unknown => {
  const what = said(formNamed(form), noFacts, raw);
  return what?.is === "weight" ? [what.mass, what.division, what.unit] : (what?.is ?? null);
};

// Example lines made up from the descriptions of the forms.
test.each<[FormName, string, unknown]>([
  ["marked", "ST,GS,+    123.4 g", [123.4, 0.1, "g"]],
  ["marked", "ST,+00123.45  g", [123.45, 0.01, "g"]],
  ["marked", "ST,GS    20.7g", [20.7, 0.1, "g"]],
  ["marked", "US,NT,-      2.1 g", [-2.1, 0.1, "g"]],
  ["marked", "ST,GS,+   1.2345 kg", [1234.5, 0.1, "kg"]],
  ["marked", "OL,GS,--------", "over"],
  ["marked", "OL,+9999999E+19", "over"],
  ["marked", "OL,-9999999E+19", "under"],
  ["marked", "UL", "under"],
  ["marked", "QT,GS,+     12 pcs", "unreadable"],
  ["marked", "ST,TR,+    10.0 g", "unreadable"],
  ["marked", "ST,GS,+    12.3 ct", "unreadable"],
  ["marked", "ST,GS,+    12.3 ozt", "unreadable"],
  ["marked", "ST,GS,+    12.3 t", "unreadable"],
  ["marked", "ST,GS,+    12.3 G", "unreadable"],
  ["marked", "ST,GS,+    12.3", "unreadable"],
  ["marked", "ST,GS,+-    12.3 g", null],
  ["marked", "xST,GS,+    12.3 g", null],
  ["marked", "ST,GS,+    12.3 g 4", null],
  ["prefixed", "wn000125.4kg", [125400, 100, "kg"]],
  ["prefixed", "wx000125.4kg", null],
  ["flagged", "+  98.50 g   S", [98.5, 0.01, "g"]],
  ["flagged", "N, 98.50 g   S", [98.5, 0.01, "g"]],
  ["answer", "S S     12.34 g", [12.34, 0.01, "g"]],
  ["answer", "S I", "unreadable"],
  ["answer", "S +", "over"],
  ["poll-frame", " 1G      12.300kg ", [12300, 1, "kg"]],
  ["poll-frame", " 1G     12.300kg ", null],
  ["poll-frame", "O1G            kg ", "over"],
  ["number-unit", "250.3 g", [250.3, 0.1, "g"]],
  ["number-unit", "2,5 kg", [2500, 100, "kg"]],
  ["number-unit", "1,250 kg", "unreadable"],
  ["number-unit", "Err g", "unreadable"],
  ["number-unit", "001234 g", null],
  ["number-unit", "- 0.0 g", [0, 0.1, "g"]],
  ["bare", "  250.3", "unreadable"],
  // The two examples of reports are made up after the usage table named in the form.
  ["usb-report", "usb 030402ffd204", [123.4, 0.1, "g"]],
  ["usb-report", "usb 03050bff3400", [-5.2 * 28.349523125, 0.1 * 28.349523125, "oz"]],
  ["usb-report", "usb 030203fd0000", [0, 1, "kg"]],
  ["usb-report", "usb 030602000000", "over"],
  ["usb-report", "usb 030102000000", "unreadable"],
  ["usb-report", "usb 030404ff0100", "unreadable"],
  ["usb-report", "usb 0304027f0100", "unreadable"],
  ["usb-report", "usb 030902ff0100", null],
  ["usb-report", "usb 030402ffd2", null],
  ["usb-report", "usb 030402ffd20400", null],
  ["bare", "------", "over"],
  ["bare", " 888888", "unreadable"],
  ["number-unit", "8888.8 g", [8888.8, 0.1, "g"]],
  ["implied-point", "+001234 g", "unreadable"],
  ["pounds-ounces", "2 lb  3.5 oz", [35.5 * 28.349523125, 0.1 * 28.349523125, "lb:oz"]],
  ["pounds-ounces", "-2:3.5", [-35.5 * 28.349523125, 0.1 * 28.349523125, "lb:oz"]],
  ["pounds-ounces", "2 lb 16.0 oz", "unreadable"],
  ["pounds-ounces", "2 lb 3.5", null],
])("%s: %j", (form, raw, wanted) => {
  const found = read(form, raw);
  if (!Array.isArray(wanted) || !Array.isArray(found)) return expect(found).toEqual(wanted);
  expect(found[2]).toBe(wanted[2]);
  expect(found[0]).toBeCloseTo(wanted[0], 9);
  expect(found[1]).toBeCloseTo(wanted[1], 9);
});

test("a minus before zero is no negative mass in any form", () => {
  const what = said(formNamed("pounds-ounces"), noFacts, "-0 lb 0.0 oz");
  expect(what?.is === "weight" && Object.is(what.mass, 0)).toBe(true);
});

test("a declared step may be coarser than the decimals, never finer", () => {
  const step = (division: number, raw: string): unknown => {
    const what = said(formNamed("number-unit"), { ...noFacts, division: grams(division) }, raw);
    return what?.is === "weight" ? what.division : what;
  };
  expect(step(0.2, "250.4 g")).toBe(0.2);
  expect(step(0.1, "1.25 kg")).toBe(10);
});

test.each([
  { form: "marked", unit: "g", step: 0.1 },
  { form: "flagged", unit: "g", step: 0.01 },
  { form: "number-unit", unit: "kg", step: 0.001 },
  { form: "answer", unit: "oz", step: 0.05 },
  { form: "poll-frame", unit: "lb", step: 0.005 },
  { form: "pounds-ounces", unit: "oz", step: 0.1 },
] as const satisfies { form: FormName; unit: string; step: number }[])(
  "what a $form scale shows in $unit comes back within rounding over its range",
  ({ form, unit, step }) => {
    const gramsPer = { g: 1, kg: 1000, oz: 28.349523125, lb: 453.59237 }[unit];
    fc.assert(
      fc.property(fc.integer({ min: -90_000, max: 90_000 }), fc.boolean(), (counts, still) => {
        const shown = counts * step;
        const raw = lineOf({ form, unit, step }, shown, still).replaceAll(/[\r\n]/g, "");
        const what = said(formNamed(form), noFacts, raw);
        expect(what?.is).toBe("weight");
        if (what?.is !== "weight") return;
        expect(Math.abs(what.mass - shown * gramsPer)).toBeLessThan(1e-6);
        expect([null, still]).toContain(what.scaleSaysStill);
      }),
    );
  },
);

test("no form throws or weighs a line of random bytes with an infinite mass", () => {
  const line = fc.string({
    unit: fc.constantFrom(...Array.from(" +-.,0123456789gkozlbSTUNGOLDIw:Er\x02")),
    maxLength: 40,
  });
  fc.assert(
    fc.property(line, (raw) => {
      for (const form of forms) {
        const what = said(form, noFacts, raw);
        if (what?.is === "weight")
          expect(Number.isFinite(what.mass) && what.division > 0).toBe(true);
      }
    }),
    { numRuns: 2000 },
  );
});

test("a long bad line costs no form more than 5 ms", () => {
  const bad = [" ", "1", "-", "1,", "ST,", "0-", ". ", "- ", "S "].map(
    (part) => `${part.repeat(256).slice(0, 255)}!`,
  );
  for (const form of forms) {
    for (const raw of bad) {
      const tookMs = [1, 2, 3].map(() => {
        const started = performance.now();
        said(form, noFacts, raw);
        return performance.now() - started;
      });
      // The best of three: the machine may be busy with something else, a runaway pattern never is quick.
      expect(Math.min(...tookMs), `${form.name} on ${raw.slice(0, 8)}…`).toBeLessThan(5);
    }
  }
});

test("a frame is found again right after rubbish, and a wrong check byte never becomes a weight", () => {
  const form = formNamed("xor-frame-text");
  const text = "S  12.34kg";
  let check = 0;
  for (const letter of text) check ^= letter.charCodeAt(0);
  const frame = `\x01\x02${text}${String.fromCharCode(check)}\x03\x04`;
  expect(frame).toHaveLength(15);
  const spoilt = frame.replace("12.34", "12.35");
  const { found, rest } = framesIn(form, `\x01\x02ab\x01${frame}${spoilt}${frame}\x01\x02S`);
  expect(found.map((one) => [one.is, one.raw])).toEqual([
    ["skipped", "\x01\x02ab\x01"],
    ["frame", frame],
    ["skipped", spoilt],
    ["frame", frame],
  ]);
  expect(rest).toBe("\x01\x02S");
});
