/**
 * A USB scale without a serial line, by Linux's /dev/hidraw*: each report that is read becomes a line of text
 * ("usb" and its bytes in hex), so that it is cut, kept, shown and replayed as any other scale's bytes are.
 */
import { constants } from "node:fs";
import { open, readdir, readFile } from "node:fs/promises";
import type { Clock } from "../clock.ts";
import type { Port } from "./port.ts";
import {
  messageOf,
  NotConnected,
  notLetTo,
  Supervisor,
  type Connection,
  type ConnectionEvents,
} from "./supervisor.ts";

/** What the operating system is asked for; a test gives its own. */
export type HidSystem = {
  /** Names such as hidraw0, with the report descriptor of each. */
  devices(): Promise<readonly { readonly name: string; readonly descriptor: Uint8Array }[]>;
  open(path: string): Promise<HidDevice>;
};

type HidDevice = {
  /** The next report; null when there is none yet. */
  read(): Promise<Uint8Array | null>;
  write(bytes: Uint8Array): Promise<void>;
  close(): Promise<void>;
};

/** A scale sends a few reports a second and Linux keeps 64 of them (from memory). */
const lookEveryMs = 10;
const reportBytes = 64;

/** `path` null: the first device that says it is a scale. */
export const hidPort = (
  path: string | null,
  clock: Clock,
  system: HidSystem = operatingSystem,
): Port =>
  new Supervisor({
    clock,
    path,
    lostFix: "check the cable and that the scale is switched on",
    connect: async (events) => {
      const found = path ?? (await firstScale(system));
      return connectionOf(await opened(found, system), events);
    },
  });

async function firstScale(system: HidSystem): Promise<string> {
  const devices = await system.devices();
  const scale = devices.find(({ descriptor }) => isScale(descriptor));
  if (scale) return `/dev/${scale.name}`;
  throw new NotConnected(
    "searching",
    "no USB scale is plugged in",
    "plug the scale in and switch it on; it works this way on Linux only",
  );
}

/** Usage page 0x8D, "weighing devices", as a report descriptor's first item: 05 8D. */
export const isScale = (descriptor: Uint8Array): boolean =>
  descriptor[0] === 0x05 && descriptor[1] === 0x8d;

async function opened(path: string, system: HidSystem): Promise<HidDevice> {
  try {
    return await system.open(path);
  } catch (error) {
    const code = error instanceof Error && "code" in error ? error.code : null;
    if (code === "EPERM") throw notLetTo(path);
    if (code === "EACCES") {
      throw new NotConnected(
        "denied",
        `no permission to open ${path}`,
        "give this user access to the device by a udev rule for hidraw",
      );
    }
    if (code === "ENOENT") {
      throw new NotConnected("searching", `${path} is not there`, "plug the scale in");
    }
    throw error;
  }
}

function connectionOf(device: HidDevice, events: ConnectionEvents): Connection {
  let closed = false;
  const look = async (): Promise<void> => {
    try {
      for (let report = await device.read(); report !== null; report = await device.read()) {
        if (closed) return;
        events.bytes(Buffer.from(`usb ${Buffer.from(report).toString("hex")}\n`, "latin1"));
      }
    } catch (error) {
      if (!closed) events.lost(messageOf(error));
      return;
    }
    if (!closed) timer = setTimeout(() => void look(), lookEveryMs);
  };
  let timer = setTimeout(() => void look(), 0);
  return {
    write: (bytes) => device.write(bytes),
    close: async () => {
      closed = true;
      clearTimeout(timer);
      await device.close().catch(() => undefined);
    },
  };
}

const sysfs = "/sys/class/hidraw";

const operatingSystem: HidSystem = {
  async devices() {
    const names = await readdir(sysfs).catch(() => []);
    return Promise.all(
      names
        .toSorted((a, b) => a.localeCompare(b))
        .map(async (name) => ({
          name,
          descriptor: await readFile(`${sysfs}/${name}/device/report_descriptor`).catch(
            () => new Uint8Array(),
          ),
        })),
    );
  },
  async open(path) {
    const file = await open(path, constants.O_RDWR | constants.O_NONBLOCK);
    const buffer = new Uint8Array(reportBytes);
    return {
      async read() {
        try {
          const { bytesRead } = await file.read(buffer, 0, reportBytes, null);
          return bytesRead === 0 ? null : buffer.slice(0, bytesRead);
        } catch (error) {
          if (error instanceof Error && "code" in error && error.code === "EAGAIN") return null;
          throw error;
        }
      },
      async write(bytes) {
        await file.write(bytes);
      },
      close: () => file.close(),
    };
  },
};
