/**
 * The number of a weight line. In: its text, sign included ("-    2.1", "12.3-"). Out: the value and the
 * decimals shown, or that a comma leaves it open. What a single comma before three digits means is never
 * guessed: 1,250 is 1.25 in one country and 1250 in another.
 */
type ReadNumber =
  | { readonly is: "number"; readonly value: number; readonly decimals: number }
  | { readonly is: "open-comma" };

export type CommaMeaning = "decimal" | "thousands" | null;

/** Patterns of the place where a number stands; the last two are what a scale shows instead of one. */
export const numberPlace = String.raw`(?:(?<number>(?:[+-] *|0+-)?[\d.,]+(?: *-)?)|(?<over>(?:[+-] *)?-{3,}|O\.?L\.?)|(?<error>(?:[+-] *)?(?:Err?\.?\d{0,2}|E{2,})))`;
/** Letters after the number; which of them are a unit is for `unitOf` to say. */
export const unitPlace = String.raw`(?<unit>[A-Za-z%]{1,3})`;

const signed = /^(?<before>[+-] *|0+-)?(?<digits>[\d.,]{1,15})(?<after> *-)?$/;
const plain = /^\d*(?:\.(?<fraction>\d*))?$/;
const oneComma = /^(?<whole>\d*),(?<fraction>\d+)$/;
const groups = /^\d{1,3}(?:,\d{3})+(?:\.(?<fraction>\d+))?$/;

export function readNumber(text: string, comma: CommaMeaning): ReadNumber | null {
  const parts = signed.exec(text)?.groups;
  if (!parts?.["digits"] || !/\d/.test(parts["digits"])) return null;
  if (parts["before"] && parts["after"]) return null;
  const negative = (parts["before"] ?? "").includes("-") || parts["after"] !== undefined;
  const size = unsigned(parts["digits"], comma);
  if (size?.is !== "number") return size;
  // A zero with a minus is zero.
  return { ...size, value: negative && size.value !== 0 ? -size.value : size.value };
}

function unsigned(digits: string, comma: CommaMeaning): ReadNumber | null {
  const point = plain.exec(digits);
  if (point) return decimal(digits, point.groups?.["fraction"]);
  const single = oneComma.exec(digits)?.groups;
  if (single) {
    const { whole = "", fraction = "" } = single;
    const meaning = onlyDecimal(whole, fraction) ? "decimal" : comma;
    if (meaning === null) return { is: "open-comma" };
    if (meaning === "decimal") return decimal(`${whole}.${fraction}`, fraction);
    return decimal(whole + fraction, undefined);
  }
  const grouped = groups.exec(digits);
  if (!grouped) return null;
  return decimal(digits.replaceAll(",", ""), grouped.groups?.["fraction"]);
}

const decimal = (text: string, fraction: string | undefined): ReadNumber => ({
  is: "number",
  value: Number(text),
  decimals: fraction?.length ?? 0,
});

/** A group of thousands has three digits after the comma, and one to three before it of which the first is not 0. */
const onlyDecimal = (whole: string, fraction: string): boolean =>
  fraction.length !== 3 || whole.length > 3 || whole === "" || whole.startsWith("0");

/** Whether one of these lines can only be read with a decimal comma: a scale does not change its comma. */
export function commaShownBy(lines: readonly string[]): CommaMeaning {
  for (const line of lines) {
    const parts = /(?<![\d.,])(?<whole>\d*),(?<fraction>\d+)(?![\d.,])/.exec(line)?.groups;
    if (parts && onlyDecimal(parts["whole"] ?? "", parts["fraction"] ?? "")) return "decimal";
  }
  return null;
}

/** "00123": digits padded with zeros and no point, as scales write that leave the point out. */
export const isPadded = (number: string): boolean => /^[+-]? *0\d{3,}$/.test(number);
