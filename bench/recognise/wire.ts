/** What becomes of bytes between a scale and a program that opened the line with other settings. */

/** Seven bits and a parity bit, read as eight bits. */
export function withParity(bytes: Uint8Array, parity: "even" | "odd" | "mark"): Uint8Array {
  return Uint8Array.from(bytes, (byte) => {
    let ones = parity === "odd" ? 1 : 0;
    for (let left = byte & 0x7f; left > 0; left >>= 1) ones += left & 1;
    return parity === "mark" || ones % 2 === 1 ? byte | 0x80 : byte & 0x7f;
  });
}

/**
 * Eight bits, no parity, one stop bit, sent at one speed and sampled at another: a receiver waits for the start
 * bit's edge and looks at the middle of each of its own bits. A missing stop bit gives a zero byte, as Linux
 * hands it over by default (from memory). `faster`: the receiver's speed over the scale's. Between bytes the
 * line rests for `restBits`.
 */
export function atOtherSpeed(bytes: Uint8Array, faster: number, restBits: number): Uint8Array {
  const bits: number[] = [];
  for (const byte of bytes) {
    bits.push(0);
    for (let at = 0; at < 8; at++) bits.push((byte >> at) & 1);
    for (let at = 0; at < 1 + restBits; at++) bits.push(1);
  }
  const level = (at: number): number => bits[Math.floor(at)] ?? 1;
  const each = 1 / faster;
  const seen: number[] = [];
  let at = 0;
  while (at < bits.length) {
    if (level(at) === 1) {
      at = Math.floor(at) + 1;
      continue;
    }
    let byte = 0;
    for (let bit = 0; bit < 8; bit++) byte |= level(at + (1.5 + bit) * each) << bit;
    const framed = level(at + 9.5 * each) === 1;
    seen.push(framed ? byte : 0);
    at += 9.5 * each;
    // A receiver that missed the stop bit waits for the line to rest before it looks for the next edge.
    while (!framed && at < bits.length && level(at) === 0) at = Math.floor(at) + 1;
  }
  return Uint8Array.from(seen);
}
