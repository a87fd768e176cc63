import {
  existsSync,
  mkdirSync,
  readdirSync,
  readFileSync,
  rmSync,
  statSync,
  writeFileSync,
} from "node:fs";
import { join } from "node:path";
import { beforeEach, describe, expect, test } from "vitest";
import { isFault } from "../../src/faults.ts";
import { codeLivesMs, devicesIn, mostWrongTries, writeCode } from "../../src/store/devices.ts";
import { utcMs } from "../../src/units/quantity.ts";
import { tempFolder } from "./folder.ts";

let folder: string;
let nowMs = 1_780_000_000_000;
const now = () => utcMs(nowMs);
const open = () => devicesIn(folder, now);

beforeEach(() => {
  folder = tempFolder();
  nowMs = 1_780_000_000_000;
});

const refusal = (work: () => unknown): unknown => {
  try {
    work();
  } catch (thrown) {
    return thrown;
  }
  return null;
};
const allText = (): string =>
  readdirSync(folder)
    .map((name) => readFileSync(join(folder, name), "latin1"))
    .join("\n");

describe("a code", () => {
  test("lets one device in, once, with the access that it was made for", () => {
    const devices = open();
    const { code, access } = devices.newCode("read-only");
    expect(code).toMatch(/^\d{4}-\d{4}$/);
    expect(access).toBe("read-only");
    const { device, token } = devices.pair(code, "Tablet");
    expect(device).toMatchObject({ id: 1, name: "Tablet", access: "read-only" });
    expect(devices.ofToken(token)).toMatchObject({ id: 1 });
    expect(
      isFault(
        refusal(() => devices.pair(code, "Another")),
        "pairing.code-refused",
      ),
    ).toBe(true);
    expect(devices.list()).toHaveLength(1);
  });

  test.each([
    ["as it is shown", (code: string) => code],
    ["without the dash", (code: string) => code.replace("-", "")],
    ["with blanks", (code: string) => ` ${code.replace("-", " ")} `],
  ])("is taken %s", (_name, typed) => {
    const devices = open();
    expect(devices.pair(typed(devices.newCode("full").code), "x").device.id).toBe(1);
  });

  test("is made by another program beside the service, and takes the place of the one before", () => {
    const devices = open();
    const first = devices.newCode("full");
    const second = writeCode(folder, "full", now());
    expect(refusal(() => devices.pair(first.code, "x"))).not.toBeNull();
    expect(devices.pair(second.code, "x").device.id).toBe(1);
  });

  test("is too old after ten minutes, and when the computer's clock goes back", () => {
    const devices = open();
    const { code } = devices.newCode("full");
    nowMs += codeLivesMs;
    expect(refusal(() => devices.pair(code, "x"))).not.toBeNull();
    nowMs -= 2 * codeLivesMs;
    expect(refusal(() => devices.pair(code, "x"))).not.toBeNull();
    nowMs += codeLivesMs + 1;
    expect(devices.pair(code, "x").device.id).toBe(1);
  });

  test("is burnt by ten wrong tries, also for the right one after them", () => {
    const devices = open();
    const { code } = devices.newCode("full");
    const wrong = code.startsWith("0") ? "1111-1111" : "0000-0000";
    for (let tries = 0; tries < mostWrongTries; tries++)
      expect(refusal(() => devices.pair(wrong, "x"))).not.toBeNull();
    expect(refusal(() => devices.pair(code, "x"))).not.toBeNull();
    expect(devices.list()).toEqual([]);
    expect(devices.pair(devices.newCode("full").code, "x").device.id).toBe(1);
  });

  test("that was wrong, used, or never made is refused in the same words", () => {
    const devices = open();
    const never = String(refusal(() => devices.pair("1234-5678", "x")));
    const { code } = devices.newCode("full");
    const wrong = String(refusal(() => devices.pair(code.startsWith("0") ? "11111111" : "0", "x")));
    devices.pair(code, "x");
    const used = String(refusal(() => devices.pair(code, "x")));
    expect(new Set([never, wrong, used]).size).toBe(1);
  });
});

describe("what is kept", () => {
  test("holds neither code nor token, and is for its owner alone", () => {
    const devices = open();
    const { code } = devices.newCode("full");
    const plain = code.replace("-", "");
    expect(allText()).not.toMatch(new RegExp(`${code}|${plain}`));
    const { token } = devices.pair(code, "Tablet");
    // 256 bits in base64url: RFC 4648, section 5.
    expect(token).toMatch(/^[\w-]{43}$/);
    expect(allText()).not.toContain(token);
    for (const name of readdirSync(folder))
      expect(statSync(join(folder, name)).mode & 0o077, name).toBe(0);
  });

  test("is there after a restart, and what was taken back is not", () => {
    const before = open();
    const stays = before.pair(before.newCode("full").code, "Stays").token;
    const goes = before.pair(before.newCode("full").code, "Goes").token;
    before.revoke(2);
    expect(before.ofToken(goes)).toBeNull();
    const after = open();
    expect(after.ofToken(stays)).toMatchObject({ name: "Stays" });
    expect(after.ofToken(goes)).toBeNull();
    expect(after.pair(after.newCode("full").code, "New").device.id).toBe(3);
    expect(
      isFault(
        refusal(() => after.revoke(2)),
        "device.not-found",
      ),
    ).toBe(true);
  });

  test("when a device was seen is kept to the hour, so that a page does not wear out the disk", () => {
    const devices = open();
    const { token } = devices.pair(devices.newCode("full").code, "x");
    const written = statSync(join(folder, "devices.json")).ino;
    nowMs += 3_599_000;
    devices.ofToken(token);
    expect(statSync(join(folder, "devices.json")).ino).toBe(written);
    nowMs += 1000;
    devices.ofToken(token);
    expect(open().list()[0]?.seenAt).toBe(nowMs);
  });

  test("a disk that refuses to note when a device was seen is asked once an hour, not at every request", () => {
    const devices = open();
    const { token } = devices.pair(devices.newCode("full").code, "Tablet");
    const [file, arriving] = ["devices.json", "devices.json.arriving"].map((name) =>
      join(folder, name),
    ) as [string, string];
    rmSync(file);
    mkdirSync(join(file, "in the way"), { recursive: true });
    nowMs += 3_600_000;
    expect(devices.ofToken(token)).toMatchObject({ id: 1 });
    expect(existsSync(arriving)).toBe(true);
    rmSync(arriving);
    nowMs += 1000;
    expect(devices.ofToken(token)).toMatchObject({ id: 1 });
    expect(existsSync(arriving)).toBe(false);
    rmSync(file, { recursive: true });
    nowMs += 3_600_000;
    devices.ofToken(token);
    expect(open().list()[0]?.seenAt).toBe(nowMs);
  });

  test.each(["", "{", "[]", '{"next":1}', '{"next":2,"devices":[{"id":1}]}', "\0\0\0"])(
    "%j in place of the list lets nobody in by mistake",
    (text) => {
      writeFileSync(join(folder, "devices.json"), text);
      expect(isFault(refusal(open), "store.damaged")).toBe(true);
    },
  );

  test.each(["", "{", '{"salt":"","digest":"","access":"full","until":1e999}'])(
    "%j in place of a code lets nobody in",
    (text) => {
      const devices = open();
      writeFileSync(join(folder, "pairing-code.json"), text);
      expect(
        isFault(
          refusal(() => devices.pair("", "x")),
          "pairing.code-refused",
        ),
      ).toBe(true);
    },
  );
});
