/**
 * The devices of the network that were let in, in a file of their own beside the record: they are the same in
 * practice and in earnest, and no backup carries them away. Of a token, only its digest is kept.
 *
 * A code is eight digits, works once, for ten minutes, and is burnt by ten wrong tries: a guess hits with a chance
 * of at most 1 in 10,000,000. A token has 256 bits of chance; OWASP ASVS 5.0 asks for 128 (7.2.3). So long a secret
 * needs no slow digest: there is no list of likely ones to try.
 */
import { createHash, randomBytes, randomInt, timingSafeEqual } from "node:crypto";
import { existsSync, rmSync } from "node:fs";
import { join } from "node:path";
import { Fault } from "../faults.ts";
import { utcMs, type UtcMs } from "../units/quantity.ts";
import { readJson, replaceJson } from "./jsonfile.ts";
import { onDisk } from "./trouble.ts";

type Access = "full" | "read-only";
export type Device = {
  readonly id: number;
  readonly name: string;
  readonly access: Access;
  readonly pairedAt: UtcMs;
  /** To the hour. */
  readonly seenAt: UtcMs | null;
};
export type NewCode = { readonly code: string; readonly access: Access; readonly until: UtcMs };

/** Calls that write throw store.full and store.unwritable, and have then changed nothing. */
export type Devices = {
  list(): readonly Device[];
  ofToken(token: string): Device | null;
  /** Takes the place of a code that was not used. */
  newCode(access: Access): NewCode;
  /** Throws pairing.code-refused. The token is never shown again. */
  pair(code: string, name: string): { readonly device: Device; readonly token: string };
  /** Throws device.not-found. */
  revoke(id: number): void;
};

export const codeLivesMs = 10 * 60_000;
export const mostWrongTries = 10;
const seenEveryMs = 3_600_000;
const mostDevices = 200;

type KeptDevice = Device & { readonly digest: string };
type Kept = { readonly next: number; readonly devices: readonly KeptDevice[] };
type KeptCode = {
  readonly salt: string;
  readonly digest: string;
  readonly access: Access;
  readonly until: UtcMs;
};

const devicesFile = (folder: string): string => join(folder, "devices.json");
const codeFile = (folder: string): string => join(folder, "pairing-code.json");

const digestOf = (secret: string): string => createHash("sha256").update(secret).digest("hex");
const isSame = (a: string, b: string): boolean =>
  a.length === b.length && timingSafeEqual(Buffer.from(a), Buffer.from(b));

/** Makes a code; also beside a running service, which looks for it when a device offers one. */
export function writeCode(folder: string, access: Access, now: UtcMs): NewCode {
  const digits = String(randomInt(100_000_000)).padStart(8, "0");
  const salt = randomBytes(16).toString("hex");
  const until = utcMs(now + codeLivesMs);
  replaceJson(codeFile(folder), { salt, digest: digestOf(salt + digits), access, until });
  return { code: `${digits.slice(0, 4)}-${digits.slice(4)}`, access, until };
}

/** The devices of a data folder, which is there. `now` is the computer's own clock. Throws store.damaged. */
export function devicesIn(folder: string, now: () => UtcMs): Devices {
  let kept = readDevices(devicesFile(folder));
  /** Of the code with this salt. */
  let wrong: { readonly salt: string; readonly tries: number } = { salt: "", tries: 0 };
  const byDigest = new Map(kept.devices.map((one) => [one.digest, one]));

  const keep = (next: Kept): void => {
    replaceJson(devicesFile(folder), next);
    remember(next);
  };

  const remember = (next: Kept): void => {
    kept = next;
    byDigest.clear();
    for (const one of kept.devices) byDigest.set(one.digest, one);
  };

  const noteSeen = (device: KeptDevice): void => {
    const at = now();
    if (device.seenAt !== null && Math.abs(at - device.seenAt) < seenEveryMs) return;
    const seen = { ...device, seenAt: at };
    const next = {
      ...kept,
      devices: kept.devices.map((one) => (one.id === device.id ? seen : one)),
    };
    try {
      keep(next);
    } catch (thrown) {
      // A full disk is no reason to shut out who was let in, nor to be asked at every request.
      if (!(thrown instanceof Fault)) throw thrown;
      remember(next);
    }
  };

  return {
    list: () => kept.devices.map(withoutDigest),
    ofToken: (token) => {
      const device = byDigest.get(digestOf(token));
      if (device === undefined) return null;
      noteSeen(device);
      return withoutDigest(device);
    },
    newCode: (access) => writeCode(folder, access, now()),
    pair: (offered, name) => {
      const code = readCode(codeFile(folder));
      const left = code === null ? 0 : code.until - now();
      // More than it was given: the computer's clock went back in the meantime.
      if (code === null || left <= 0 || left > codeLivesMs) throw refusal();
      if (wrong.salt !== code.salt) wrong = { salt: code.salt, tries: 0 };
      if (wrong.tries >= mostWrongTries) throw refusal();
      if (!isSame(digestOf(code.salt + offered.replaceAll(/[^0-9]/g, "")), code.digest)) {
        wrong = { salt: code.salt, tries: wrong.tries + 1 };
        throw refusal();
      }
      if (kept.devices.length >= mostDevices)
        throw new Fault("pairing.code-refused", `${mostDevices} devices are paired already`);
      // First the code, so that a failure after it lets nobody in twice.
      onDisk(folder, () => rmSync(codeFile(folder), { force: true }));
      const token = randomBytes(32).toString("base64url");
      const device: KeptDevice = {
        id: kept.next,
        name,
        access: code.access,
        pairedAt: now(),
        seenAt: now(),
        digest: digestOf(token),
      };
      keep({ next: kept.next + 1, devices: [...kept.devices, device] });
      return { device: withoutDigest(device), token };
    },
    revoke: (id) => {
      const devices = kept.devices.filter((one) => one.id !== id);
      if (devices.length === kept.devices.length)
        throw new Fault("device.not-found", `no paired device has the number ${id}`);
      keep({ ...kept, devices });
    },
  };
}

/** The same words whatever was wrong, so that nothing can be learnt from them. */
const refusal = (): Fault =>
  new Fault("pairing.code-refused", "that code is wrong, used up or too old");

const withoutDigest = ({ id, name, access, pairedAt, seenAt }: KeptDevice): Device => ({
  id,
  name,
  access,
  pairedAt,
  seenAt,
});

const isRecord = (value: unknown): value is Readonly<Record<string, unknown>> =>
  typeof value === "object" && value !== null;
const accessOf = (value: unknown): Access | null =>
  value === "full" || value === "read-only" ? value : null;
const timeOf = (value: unknown): UtcMs | null =>
  Number.isFinite(value) ? utcMs(Number(value)) : null;

function readDevices(file: string): Kept {
  if (!existsSync(file)) return { next: 1, devices: [] };
  const seen = readJson(file);
  const list =
    isRecord(seen) && Array.isArray(seen["devices"]) ? seen["devices"].map(device) : [null];
  const devices = list.filter((one) => one !== null);
  const next = isRecord(seen) ? Number(seen["next"]) : Number.NaN;
  if (devices.length < list.length || !Number.isInteger(next))
    throw new Fault(
      "store.damaged",
      `${file} cannot be read: move it away, and pair every device again`,
    );
  return { next, devices };
}

function device(row: unknown): KeptDevice | null {
  if (!isRecord(row)) return null;
  const { id, name, digest } = row;
  const access = accessOf(row["access"]);
  const pairedAt = timeOf(row["pairedAt"]);
  if (!Number.isInteger(id) || typeof name !== "string" || typeof digest !== "string") return null;
  if (!/^[0-9a-f]{64}$/.test(digest) || access === null || pairedAt === null) return null;
  return { id: Number(id), name, access, pairedAt, seenAt: timeOf(row["seenAt"]), digest };
}

function readCode(file: string): KeptCode | null {
  if (!existsSync(file)) return null;
  const seen = readJson(file);
  if (!isRecord(seen)) return null;
  const { salt, digest } = seen;
  const access = accessOf(seen["access"]);
  const until = timeOf(seen["until"]);
  if (typeof salt !== "string" || typeof digest !== "string") return null;
  return access === null || until === null ? null : { salt, digest, access, until };
}
