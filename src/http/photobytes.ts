/** What an uploaded picture is, by its bytes and not by what was said of it. */

type PhotoType = "image/jpeg" | "image/png" | "image/webp";

const startsWith = (bytes: Buffer, at: number, wanted: readonly number[]): boolean =>
  wanted.every((byte, i) => bytes[at + i] === byte);
const ascii = (text: string): number[] => [...Buffer.from(text, "latin1")];

/**
 * JPEG by its start-of-image and end-of-image markers (ITU-T T.81, B.1.1.3), PNG by its signature, first and last
 * chunk (RFC 2083, 3.1 and 4.1), WebP by its RIFF header and length (RFC 9649, 2.4); null: none of these, or a part.
 */
export function photoTypeOf(bytes: Buffer): PhotoType | null {
  if (bytes.length < 32) return null;
  if (startsWith(bytes, 0, [0xff, 0xd8, 0xff]))
    return startsWith(bytes, bytes.length - 2, [0xff, 0xd9]) ? "image/jpeg" : null;
  if (startsWith(bytes, 0, [0x89, 0x50, 0x4e, 0x47, 0x0d, 0x0a, 0x1a, 0x0a]))
    return startsWith(bytes, 12, ascii("IHDR")) &&
      startsWith(bytes, bytes.length - 8, ascii("IEND"))
      ? "image/png"
      : null;
  if (startsWith(bytes, 0, ascii("RIFF")) && startsWith(bytes, 8, ascii("WEBP"))) {
    const length = bytes.readUInt32LE(4) + 8;
    return length === bytes.length ? "image/webp" : null;
  }
  return null;
}
