import { readdirSync, readFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, test } from "vitest";
import { noFacts, type FormName } from "../../src/reading/form.ts";
import { forms } from "../../src/reading/forms.ts";
import type { Reading, ScaleUnit } from "../../src/reading/reading.ts";
import type { Declared } from "../../src/reading/recognise.ts";
import { grams } from "../../src/units/quantity.ts";
import fc from "../rig/properties.ts";
import { Ear } from "./hear.ts";

const folder = join(import.meta.dirname, "..", "..", "fixtures", "streams");
const names = readdirSync(folder)
  .filter((name) => name.endsWith(".bin"))
  .map((name) => name.slice(0, -".bin".length));

type Header = {
  readonly settings: { readonly bits: number };
  readonly declared: {
    readonly form?: FormName;
    readonly unit?: ScaleUnit;
    readonly division?: number;
  };
};
type Expected = { readonly form: FormName; readonly readings: readonly Record<string, unknown>[] };

const text = (name: string, end: string): string => readFileSync(join(folder, name + end), "utf8");

function fixture(name: string): { bytes: Buffer; declared: Declared; expected: Expected } {
  const { declared } = JSON.parse(text(name, ".json")) as Header;
  return {
    bytes: readFileSync(join(folder, `${name}.bin`)),
    declared: {
      form: declared.form ?? null,
      facts: {
        ...noFacts,
        unit: declared.unit ?? null,
        division: declared.division === undefined ? null : grams(declared.division),
      },
    },
    expected: JSON.parse(text(name, ".expect.json")) as Expected,
  };
}

/** Masses to a microgram: a conversion may end in another last bit. */
function told(reading: Reading): Record<string, unknown> {
  if (reading.is !== "weight") return { is: reading.is };
  const { is, mass, division, unit, basis, scaleSaysStill } = reading;
  return { is, grams: round(mass), division: round(division), unit, basis, scaleSaysStill };
}

const round = (value: number): number => Math.round(value * 1e6) / 1e6 + 0;

const asTold = (expected: Record<string, unknown>): Record<string, unknown> =>
  expected["is"] === "weight"
    ? {
        ...expected,
        grams: round(Number(expected["grams"])),
        division: round(Number(expected["division"])),
      }
    : expected;

test("every form has a stream that shows it", () => {
  const shown = new Set(names.map((name) => fixture(name).expected.form));
  expect(forms.map(({ name }) => name).filter((name) => !shown.has(name))).toEqual([]);
});

describe.each(names)("%s", (name) => {
  const { bytes, declared, expected } = fixture(name);
  const wanted = expected.readings.map(asTold);

  test("is read as its answer says", () => {
    const ear = new Ear(declared).hear(bytes);
    expect(ear.readings.map(told)).toEqual(wanted);
    expect(ear.report.form).toBe(expected.form);
    expect(ear.report.question).toBeNull();
  });

  test("is read the same however the bytes are cut", () => {
    const cuts = fc.array(fc.integer({ min: 1, max: bytes.length - 1 }), { maxLength: 40 });
    fc.assert(
      fc.property(cuts, (offsets) => {
        const ear = new Ear(declared);
        let from = 0;
        for (const to of [...offsets.toSorted((a, b) => a - b), bytes.length]) {
          ear.hear(bytes.subarray(from, to), 10);
          from = to;
        }
        expect(ear.readings.map(told)).toEqual(wanted);
      }),
      { numRuns: 40 },
    );
  });

  test("is read byte by byte", () => {
    const ear = new Ear(declared);
    for (const byte of bytes) ear.hear(new Uint8Array([byte]), 1);
    expect(ear.readings.map(told)).toEqual(wanted);
  });
});
