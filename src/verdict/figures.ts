/** Figures as people write them in a table. */

/** A plain decimal number; null where it is none. `,` is a decimal mark only where it does not separate cells. */
export function numberIn(text: string, commaIsDecimal: boolean): number | null {
  const plain = commaIsDecimal ? text.replace(",", ".") : text;
  return /^[+-]?(\d+\.?\d*|\.\d+)(e[+-]?\d+)?$/i.test(plain) ? Number(plain) : null;
}

/**
 * Division of a scale from figures it showed: the finest decimal place written, and 2 or 5 of it where many figures
 * leave no other explanation. Never finer than the figures, so that it never claims more than they can.
 */
export function inferredDivision(written: readonly string[]): number {
  const plain = written.map((text) => text.replace(",", "."));
  const decimals = plain.reduce(
    (most, text) => Math.max(most, /\.(\d+)/.exec(text)?.[1]?.length ?? 0),
    0,
  );
  const steps = plain.map((text) => Math.round(Number(text) * 10 ** decimals));
  const allBy = (step: number, atLeast: number): boolean =>
    steps.length >= atLeast && steps.every((value) => value % step === 0);
  const factor = allBy(5, 4) ? 5 : allBy(2, 8) ? 2 : 1;
  return Number((factor / 10 ** decimals).toPrecision(6));
}

const iso =
  /^(\d{4})-(\d{2})-(\d{2})(?:[T ](\d{2}):(\d{2})(?::(\d{2})(?:[.,](\d+))?)?)?\s*(Z|[+-]\d{2}(?::?\d{2})?)?$/i;

/** Milliseconds since 1970 UTC of an ISO 8601 time; without an offset it counts as UTC. Null where it is none. */
export function utcIn(text: string): number | null {
  const match = iso.exec(text.trim());
  if (match === null) return null;
  const [year, month, day, hour, minute, second] = match
    .slice(1, 7)
    .map((part) => Number(part ?? 0));
  const lengths = [31, isLeap(year!) ? 29 : 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31];
  if (month! < 1 || month! > 12 || day! < 1 || day! > lengths[month! - 1]!) return null;
  if (hour! > 24 || minute! > 59 || second! > 60) return null;
  const days =
    daysBefore(year!) + lengths.slice(0, month! - 1).reduce((sum, one) => sum + one, 0) + day! - 1;
  const fractionMs = match[7] === undefined ? 0 : Number(`0.${match[7]}`) * 1000;
  const localMs = ((days * 24 + hour!) * 60 + minute!) * 60_000 + second! * 1000 + fractionMs;
  return localMs - offsetMinutes(match[8] ?? "Z") * 60_000;
}

const isLeap = (year: number): boolean => (year % 4 === 0 && year % 100 !== 0) || year % 400 === 0;

/** Days from 1970-01-01 to the first of January of `year`. */
function daysBefore(year: number): number {
  const leaps = (before: number): number =>
    Math.floor(before / 4) - Math.floor(before / 100) + Math.floor(before / 400);
  return (year - 1970) * 365 + leaps(year - 1) - leaps(1969);
}

function offsetMinutes(text: string): number {
  if (text.toUpperCase() === "Z") return 0;
  const sign = text.startsWith("-") ? -1 : 1;
  const digits = text.slice(1).replace(":", "").padEnd(4, "0");
  return sign * (Number(digits.slice(0, 2)) * 60 + Number(digits.slice(2)));
}
