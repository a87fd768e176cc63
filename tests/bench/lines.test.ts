import { expect, test } from "vitest";
import {
  checked,
  complaint,
  framesFound,
  Mill,
  mostKept,
  mutated,
  nonsense,
  pieceOf,
  singleBytesTaken,
  wholeLine,
} from "../../bench/lines/damage.ts";
import type { Facts } from "../../src/reading/form.ts";
import { noFacts } from "../../src/reading/form.ts";
import { formNamed, forms } from "../../src/reading/forms.ts";
import { said } from "../../src/reading/piece.ts";
import { grams } from "../../src/units/quantity.ts";
import fc from "../rig/properties.ts";
import { lineOf, seeded } from "../rig/scale.ts";

const seed = 20261125;
// NIST Handbook 44, Appendix C: the avoirdupois pound is 453.59237 g exactly, the ounce a sixteenth of it.
const gramsPer = { g: 1, kg: 1000, oz: 453.59237 / 16, lb: 453.59237 } as const;

test.each(forms.map(({ name }) => name))(
  "what a %s scale shows comes back, in every unit and step that the form can carry",
  (name) => {
    const units = name === "pounds-ounces" ? (["oz"] as const) : (["g", "kg", "oz", "lb"] as const);
    const steps =
      name === "pounds-ounces" ? [1, 0.1, 0.01] : [10, 5, 1, 0.5, 0.2, 0.1, 0.05, 0.01, 0.001];
    const tens = name === "implied-point" ? [1, 0.1, 0.01, 0.001] : steps;
    const most = name.startsWith("xor") ? 999 : 9999;
    fc.assert(
      fc.property(
        fc.constantFrom(...units),
        fc.constantFrom(...tens),
        fc.integer({ min: -most, max: most }),
        fc.boolean(),
        (unit, step, counts, still) => {
          const shown = counts * step;
          const line = lineOf({ form: name, unit, step }, shown, still);
          // Five digits and a point are all that the place of a framed number holds.
          fc.pre(!name.startsWith("xor") || line.length === 15);
          fc.pre(!name.startsWith("status") || step <= 5);
          // Two bytes of counts in the step's power of ten.
          fc.pre(name !== "usb-report" || Math.abs(shown) <= 65_535 * Math.min(step, 1) * 0.2);
          const declared: Facts =
            name === "bare" || name === "implied-point" || name === "unit-when-still"
              ? { ...noFacts, unit, division: grams(step * gramsPer[unit]) }
              : noFacts;
          const form = formNamed(name);
          const what = said(form, declared, pieceOf(form, line));
          expect(what?.is, JSON.stringify(line)).toBe("weight");
          if (what?.is !== "weight") return;
          expect(Math.abs(what.mass - shown * gramsPer[unit])).toBeLessThan(1e-6);
          expect([null, still]).toContain(what.scaleSaysStill);
        },
      ),
      { seed, numRuns: 300 },
    );
  },
);

test("no damaged line and no nonsense makes a form throw or gives an impossible weight", () => {
  const chance = seeded(seed);
  for (let count = 0; count < 15_000; count++) {
    const form = forms[count % forms.length]!;
    const text =
      count % 5 === 0
        ? nonsense(chance)
        : mutated(wholeLine(form.name, chance), 1 + (count % 4), chance);
    expect(complaint(pieceOf(form, text))).toBeNull();
    expect(complaint(text)).toBeNull();
  }
});

test.each(checked.map(({ name }) => name))(
  "%s: no single damaged byte becomes a weight",
  (name) => {
    const chance = seeded(seed);
    for (let count = 0; count < 4; count++) {
      const frame = wholeLine(name, chance);
      expect(singleBytesTaken(formNamed(name), frame)).toEqual([]);
    }
  },
);

test.each(forms.filter(({ cut }) => cut !== "line").map(({ name }) => name))(
  "%s: a frame that lost or gained a byte is left out, and those around it are found",
  (name) => {
    const chance = seeded(seed);
    const form = formNamed(name);
    for (let count = 0; count < 40; count++) {
      const [before, spoilt, after] = [0, 1, 2].map(() => wholeLine(name, chance)) as [
        string,
        string,
        string,
      ];
      const at = 3 + Math.floor(chance() * (spoilt.length - 6));
      const shorter = spoilt.slice(0, at) + spoilt.slice(at + 1);
      const longer = `${spoilt.slice(0, at)}0${spoilt.slice(at)}`;
      for (const wrong of [shorter, longer])
        expect(framesFound(form, before + wrong + after)).toEqual([before, after]);
    }
  },
);

test.each([null, "marked", "status-frame-sum", "xor-frame"] as const)(
  "bytes without an end, and nonsense without end, are not kept (form %s)",
  (name) => {
    const chance = seeded(seed);
    const mill = new Mill(name);
    for (let count = 0; count < 400; count++) {
      mill.push("1".repeat(1000));
      expect(mill.keptCharacters()).toBeLessThan(mostKept);
    }
    for (let count = 0; count < 1000; count++) mill.push(nonsense(chance));
    expect(mill.keptCharacters()).toBeLessThan(mostKept);
    expect(mill.cutter.discardedBytes).toBeGreaterThan(300_000);
  },
);
