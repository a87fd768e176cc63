import { execFileSync } from "node:child_process";
import { closeSync, mkdtempSync, openSync, rmSync, writeSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { expect, onTestFinished, test } from "vitest";
import { hidPort, isScale, type HidSystem } from "../../src/port/hid.ts";
import type { LinkReport } from "../../src/port/port.ts";
import { openScale } from "../../src/port/scale.ts";
import type { Reading } from "../../src/reading/reading.ts";
import { clock } from "./fakes.ts";

// Reports made up after the USB-IF's HID Point of Sale Usage Tables, page 0x8D.
const report = (status: number, counts: number): Uint8Array =>
  Uint8Array.from([3, status, 2, 0xff, counts & 0xff, counts >> 8]);

const scaleDescriptor = Uint8Array.from([0x05, 0x8d, 0x09, 0x20, 0xa1, 0x01]);
const mouseDescriptor = Uint8Array.from([0x05, 0x01, 0x09, 0x02, 0xa1, 0x01]);

class Device {
  readonly reports: Uint8Array[] = [];
  readonly written: string[] = [];
  broken: Error | null = null;
  system(devices: Awaited<ReturnType<HidSystem["devices"]>>): HidSystem {
    return {
      devices: () => Promise.resolve(devices),
      open: (path) => {
        if (path !== "/dev/hidraw1") return Promise.reject(new Error(`opened ${path}`));
        return Promise.resolve({
          read: () =>
            this.broken
              ? Promise.reject(this.broken)
              : Promise.resolve(this.reports.shift() ?? null),
          write: (bytes) => {
            this.written.push(Buffer.from(bytes).toString("hex"));
            return Promise.resolve();
          },
          close: () => Promise.resolve(),
        });
      },
    };
  }
}

function scaleOn(device: Device, devices: Awaited<ReturnType<HidSystem["devices"]>>) {
  const readings: Reading[] = [];
  const links: LinkReport[] = [];
  const scale = openScale(
    "hid:",
    clock,
    { reading: (one) => readings.push(one), link: (one) => links.push(one) },
    hidPort(null, clock, device.system(devices)),
  );
  onTestFinished(() => scale.close());
  return { scale, readings, links };
}

const both = [
  { name: "hidraw0", descriptor: mouseDescriptor },
  { name: "hidraw1", descriptor: scaleDescriptor },
];

test("a USB scale is found by its descriptor among other devices, and its reports are read", async () => {
  const device = new Device();
  const { scale, readings } = scaleOn(device, both);
  await expect.poll(() => scale.state().link).toBe("up");
  // The first line of a connection may be half a line on other scales, so it is never read.
  for (const status of [4, 4, 3, 5, 6]) device.reports.push(report(status, 1234));
  await expect.poll(() => readings.length).toBeGreaterThanOrEqual(4);
  expect(
    readings
      .slice(-4)
      .map((one) => (one.is === "weight" ? [one.mass, one.scaleSaysStill] : one.is)),
  ).toEqual([[123.4, true], [123.4, false], [-123.4, null], "over"]);
  await scale.press("zero");
  expect(device.written).toEqual(["0202"]);
  await expect(scale.press("tare")).rejects.toMatchObject({ code: "scale.no-such-key" });
});

test("without a scale among the devices the search goes on and says so", async () => {
  const { scale } = scaleOn(new Device(), both.slice(0, 1));
  await expect.poll(() => scale.state().why).toContain("no USB scale");
  expect(scale.state().link).toBe("searching");
});

test("a device that is pulled out is noticed by its failing read", async () => {
  const device = new Device();
  const { scale, links } = scaleOn(device, both);
  await expect.poll(() => scale.state().link).toBe("up");
  device.broken = new Error("EIO: i/o error, read");
  await expect.poll(() => links.at(-1)?.why).toContain("EIO");
});

test("a report descriptor of another page is no scale", () => {
  expect([scaleDescriptor, mouseDescriptor, new Uint8Array()].map(isScale)).toEqual([
    true,
    false,
    false,
  ]);
});

test.skipIf(process.platform !== "linux")(
  "a file that gives one report at a time is read without holding the program up",
  async () => {
    const folder = mkdtempSync(join(tmpdir(), "hidraw-"));
    const path = join(folder, "hidraw7");
    execFileSync("mkfifo", [path]);
    const port = hidPort(path, clock);
    const heard: string[] = [];
    port.open({
      chunk: ({ bytes }) => heard.push(Buffer.from(bytes).toString("latin1")),
      link: () => undefined,
    });
    const file = openSync(path, "r+");
    onTestFinished(async () => {
      await port.close();
      closeSync(file);
      rmSync(folder, { recursive: true });
    });
    for (const counts of [1, 2]) {
      writeSync(file, report(4, counts));
      await expect.poll(() => heard).toHaveLength(counts);
    }
    expect(heard).toEqual(["usb 030402ff0100\n", "usb 030402ff0200\n"]);
  },
);
