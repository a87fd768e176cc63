/** What `listen` hears, in words for a person or as one JSON object a line for a program. */
import type { Chunk } from "../port/port.ts";
import type { ScaleReport } from "../port/scale.ts";
import type { Candidate, FormName, Said } from "../reading/form.ts";
import type { TryOut } from "../reading/tryout.ts";
import type { Reading } from "../reading/reading.ts";
import type { SettledWeight } from "../settle/settled.ts";
import type { Grams, UtcMs } from "../units/quantity.ts";

type Heard =
  | { readonly is: "bytes"; readonly chunk: Chunk }
  /** `settled`: at rest after this reading. */
  | { readonly is: "reading"; readonly reading: Reading; readonly settled: boolean }
  /** A line held against the form that is tried out. */
  | {
      readonly is: "tried";
      readonly form: FormName;
      readonly raw: string;
      readonly tried: TryOut;
      readonly atUtcMs: UtcMs;
    }
  | { readonly is: "settled"; readonly weight: SettledWeight }
  | { readonly is: "lifted"; readonly atUtcMs: UtcMs }
  | { readonly is: "link"; readonly report: ScaleReport; readonly atUtcMs: UtcMs };

export type Telling = (heard: Heard) => void;

export const inJson =
  (out: (line: string) => void): Telling =>
  (heard) => {
    out(
      JSON.stringify({
        type: heard.is,
        at: new Date(momentOf(heard)).toISOString(),
        ...fieldsOf(heard),
      }),
    );
  };

function fieldsOf(heard: Heard): object {
  switch (heard.is) {
    case "bytes":
      return { hex: Buffer.from(heard.chunk.bytes).toString("hex") };
    case "reading": {
      const { is: state, atMonoMs: _mono, atUtcMs: _utc, ...rest } = heard.reading;
      if (heard.reading.is !== "weight") return { state, ...rest, settled: heard.settled };
      const { mass, division, unit, basis, scaleSaysStill, raw } = heard.reading;
      return {
        state,
        raw,
        grams: mass,
        division,
        unit,
        basis,
        scaleSaysStill,
        settled: heard.settled,
      };
    }
    case "tried": {
      const { parts, stoppedAt, leftOver, wrongCheck, says } = heard.tried;
      return { form: heard.form, raw: heard.raw, parts, stoppedAt, leftOver, wrongCheck, says };
    }
    case "settled": {
      const { mass, division, zeroSeen } = heard.weight;
      return { grams: mass, division, zeroSeen };
    }
    case "lifted":
      return {};
    case "link": {
      const { link, why, fix, form, unit, question, candidates } = heard.report;
      return { link, why, fix, form, unit, question, candidates: candidates.map(candidateFields) };
    }
  }
}

const candidateFields = ({ form, unit, division, raw, reading }: Candidate): object => ({
  form,
  unit,
  division,
  raw,
  grams: reading.is === "weight" ? reading.mass : null,
});

function momentOf(heard: Heard): UtcMs {
  switch (heard.is) {
    case "bytes":
      return heard.chunk.atUtcMs;
    case "reading":
      return heard.reading.atUtcMs;
    case "settled":
      return heard.weight.atUtcMs;
    case "tried":
    case "lifted":
    case "link":
      return heard.atUtcMs;
  }
}

export const inWords =
  (out: (line: string) => void): Telling =>
  (heard) => {
    for (const line of linesOf(heard)) out(line);
  };

const row = (what: string, text: string): string => `${what.padEnd(8)} ${text}`;

function linesOf(heard: Heard): readonly string[] {
  switch (heard.is) {
    case "bytes":
      return [row("bytes", escaped(heard.chunk.bytes))];
    case "reading":
      return [row("reading", readingInWords(heard.reading, heard.settled))];
    case "tried":
      return triedInWords(heard.raw, heard.tried);
    case "settled":
      return [row("settled", inGrams(heard.weight.mass, heard.weight.division))];
    case "lifted":
      return [row("lifted", "the load was taken off")];
    case "link":
      return linkInWords(heard.report);
  }
}

function triedInWords(
  raw: string,
  { parts, stoppedAt, leftOver, wrongCheck, says }: TryOut,
): readonly string[] {
  const matched = parts.map(({ name, text }) => `${name} "${visible(text)}"`).join("  ");
  const lines = [row("line", `"${visible(raw)}"`), row("matched", matched || "no part")];
  if (stoppedAt !== null) lines.push(row("stopped", `at the part ${stoppedAt}`));
  if (leftOver !== "") lines.push(row("left", `"${visible(leftOver)}"`));
  if (wrongCheck) lines.push(row("check", "the check byte is not the one that was declared"));
  else if (says === null && leftOver === "")
    lines.push(row("length", "not the one that was declared"));
  lines.push(row("says", saidInWords(says)));
  return lines;
}

const visible = (text: string): string => escaped(Buffer.from(text, "latin1"));

function saidInWords(says: Said | null): string {
  if (says === null) return "nothing: the line is not of this form";
  if (says.is === "unreadable") return says.why;
  if (says.is !== "weight") return says.is;
  const own = { true: "still", false: "moving", null: "says nothing" }[`${says.scaleSaysStill}`];
  return `${inGrams(says.mass, says.division)}  (scale: ${own}, ${says.basis})`;
}

function readingInWords(reading: Reading, settled: boolean): string {
  switch (reading.is) {
    case "weight": {
      const own = { true: "still", false: "moving", null: "says nothing" }[
        `${reading.scaleSaysStill}`
      ];
      const mass = inGrams(reading.mass, reading.division);
      return `${mass}  ${settled ? "settled" : "not settled"}  (scale: ${own}, ${reading.basis})`;
    }
    case "over":
      return "over: more than the scale can weigh";
    case "under":
      return "under: less than the scale can show";
    case "unreadable":
      return `unreadable: ${reading.why}: "${escaped(Buffer.from(reading.raw, "latin1"))}"`;
  }
}

function linkInWords(report: ScaleReport): readonly string[] {
  const { link, why, fix, form, title, unit, question, candidates } = report;
  const lines = [row("link", why === null ? link : `${link}: ${why}`)];
  if (fix !== null) lines.push(row("", fix));
  if (form !== null) {
    lines.push(row("form", `${form}${title ? `: ${title}` : ""}${unit ? `, in ${unit}` : ""}`));
  }
  if (question !== null) lines.push(row("question", question));
  for (const one of candidates) lines.push(row("", candidateInWords(one)));
  return lines;
}

/** An answer is given by adding options to the scale's address. */
function candidateInWords({ form, unit, division, reading, raw }: Candidate): string {
  const options = [
    `form=${form}`,
    ...(unit === null ? [] : [`unit=${unit}`]),
    ...(division === null ? [] : [`division=${Number(division.toPrecision(9))}`]),
  ].join("&");
  const makes = reading.is === "weight" ? inGrams(reading.mass, reading.division) : reading.is;
  return `?${options}  makes "${raw.trim()}" ${makes}`;
}

/** Never finer than the division: 0.1 oz is 2.8 g, so its readings are shown in whole grams. */
const inGrams = (mass: Grams, division: Grams): string =>
  `${mass.toFixed(Math.max(0, Math.ceil(-Math.log10(division) - 1e-9)))} g`;

/** Control characters and bytes above 7E as \r, \n or \x.., so that what is not text can be seen. */
function escaped(bytes: Uint8Array): string {
  let text = "";
  for (const byte of bytes) {
    if (byte === 0x0d) text += "\\r";
    else if (byte === 0x0a) text += "\\n";
    else if (byte === 0x5c) text += "\\\\";
    else if (byte >= 0x20 && byte <= 0x7e) text += String.fromCharCode(byte);
    else text += `\\x${byte.toString(16).padStart(2, "0")}`;
  }
  return text;
}
