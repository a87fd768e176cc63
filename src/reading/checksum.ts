/** The check byte of a frame. In: the frame and what its form says of it. Out: whether it is the right one. */

/** xor: exclusive-or of the bytes covered. sum: with it, the sum of all, seven bits each, is a multiple of 128. */
export const checkKinds = ["xor", "sum"] as const;
export type Checksum = {
  readonly kind: (typeof checkKinds)[number];
  /** The first byte that it covers, from 0; the last is the one before it. */
  readonly from: number;
  /** Where it stands, from 0. */
  readonly at: number;
};

export function isRight(raw: string, { kind, from, at }: Checksum): boolean {
  const check = raw.charCodeAt(at);
  return kind === "xor" ? xorOf(raw, from, at) === check : sumOf(raw, from, at + 1) === 0;
}

function xorOf(raw: string, from: number, to: number): number {
  let check = 0;
  for (let at = from; at < to; at++) check ^= raw.charCodeAt(at);
  return check;
}

function sumOf(raw: string, from: number, to: number): number {
  let sum = 0;
  for (let at = from; at < to; at++) sum += raw.charCodeAt(at) & 0x7f;
  return sum & 0x7f;
}
