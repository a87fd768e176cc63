/** A scale on a serial line: how one connection to it is made, and what to tell a person when it is not. */
import { readSync } from "node:fs";
import { readFile, stat } from "node:fs/promises";
import { SerialPort } from "serialport";
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
import type { SerialSettings } from "./uri.ts";

/** What the operating system is asked for; a test gives its own. */
export type SerialSystem = {
  open(settings: SerialSettings, events: ConnectionEvents): Promise<Connection>;
  /** The name of the group that owns a file; its number when it has no name; null: no group gives access here. */
  groupOf(path: string): Promise<string | null>;
};

export const serialPort = (
  settings: SerialSettings,
  clock: Clock,
  system: SerialSystem = operatingSystem,
  baudNow: () => number = () => settings.baud,
): Port =>
  new Supervisor({
    clock,
    path: settings.path.startsWith("/") ? settings.path : null,
    lostFix: "check the cable and that the scale is switched on",
    connect: async (events) => {
      try {
        return await system.open({ ...settings, baud: baudNow() }, events);
      } catch (error) {
        throw await explained(error, settings.path, system);
      }
    },
  });

async function explained(
  error: unknown,
  path: string,
  system: SerialSystem,
): Promise<NotConnected> {
  const said = messageOf(error);
  // Windows gives a port to one program and says to every other that access is denied.
  if (process.platform === "win32" && /access denied/i.test(said)) return heldByAnother(path);
  if (/permission denied|access denied/i.test(said)) {
    const group = await system.groupOf(path).catch(() => null);
    return new NotConnected(
      "denied",
      `no permission to open ${path}`,
      group === null
        ? "give this user access to the device"
        : `add this user to the group that owns the device: sudo usermod -aG ${group} "$USER", then log out and in again`,
    );
  }
  if (/operation not permitted/i.test(said)) return notLetTo(path);
  if (/cannot lock|resource (?:temporarily unavailable|busy)|device or resource busy/i.test(said))
    return heldByAnother(path);
  if (/no such file|file not found|no such device/i.test(said)) {
    return new NotConnected(
      "searching",
      `${path} is not there`,
      "plug the scale in and switch it on; if it is, look for its name in the list of ports",
    );
  }
  return new NotConnected("searching", `${path} cannot be opened: ${said}`, null);
}

const heldByAnother = (path: string): NotConnected =>
  new NotConnected(
    "denied",
    `another program has ${path} open`,
    "close the other program; a modem manager may hold a new serial device for half a minute",
  );

const deviceClosed = "the device was closed";

const operatingSystem: SerialSystem = { open, groupOf };

async function groupOf(path: string): Promise<string | null> {
  if (process.platform !== "linux") return null;
  const { gid } = await stat(path);
  const table = await readFile("/etc/group", "utf8").catch(() => "");
  const row = table.split("\n").find((line) => line.split(":")[2] === String(gid));
  return row?.split(":")[0] ?? String(gid);
}

/**
 * A new object for every connection: an old one keeps unsent bytes and sends them after it is opened again.
 * `hupcl: false` spares scales that restart when the line is closed.
 */
function open(settings: SerialSettings, events: ConnectionEvents): Promise<Connection> {
  const port = new SerialPort({
    path: settings.path,
    baudRate: settings.baud,
    dataBits: settings.bits,
    parity: settings.parity,
    stopBits: settings.stop,
    hupcl: false,
    autoOpen: false,
  });
  port.on("error", (error: Error) => events.lost(error.message));
  port.on("close", (error: Error | null) => events.lost(error?.message ?? deviceClosed));
  return new Promise((resolve, reject) => {
    port.open((error) => {
      if (error) return reject(error);
      raiseLines(port, () => {
        readFrom(port, events);
        resolve(connectionOf(port));
      });
    });
  });
}

/**
 * Linux raises DTR and RTS when a port is opened; the library leaves them down on Windows. Converters that draw their
 * power from these lines, and scales that send only to a computer that is ready, would stay silent there (common
 * practice, no source). A port without such lines refuses, and can be read all the same.
 */
function raiseLines(port: SerialPort, done: () => void): void {
  if (process.platform === "win32") port.set({ dtr: true, rts: true }, done);
  else done();
}

/** As much as Linux gives of a terminal at once. */
const mostAtOnce = 4096;

/**
 * The library reads in a thread before it asks whether there is anything to read: two waits for a thread and a read
 * that fails for each line. A line that is asked first is read at once, and that cannot block, because it is opened so.
 * Reading nothing then means that the device is gone (termios(3), VMIN is 1): the library goes on reading nothing.
 * Where this was never tried the library reads.
 */
function readFrom(port: SerialPort, events: ConnectionEvents): void {
  const binding = port.port;
  if (process.platform !== "linux" || binding === undefined || !("poller" in binding)) {
    port.on("data", (bytes: Uint8Array) => events.bytes(bytes));
    return;
  }
  const buffer = Buffer.alloc(mostAtOnce);
  // In a tick, because what is thrown within the call of a native module ends the program without a word.
  const wait = (): void =>
    void binding.poller.once("readable", (error: Error | null) => process.nextTick(read, error));
  const read = (error: Error | null): void => {
    if (error || binding.fd === null) return events.lost(error?.message ?? deviceClosed);
    let count: number | null = null;
    try {
      count = readSync(binding.fd, buffer);
    } catch (thrown) {
      if (!isNothingYet(thrown)) return events.lost(messageOf(thrown));
    }
    if (count === 0) return events.lost("the device is gone");
    if (count !== null) events.bytes(Buffer.from(buffer.subarray(0, count)));
    if (binding.isOpen) wait();
  };
  wait();
}

const isNothingYet = (thrown: unknown): boolean =>
  thrown instanceof Error && "code" in thrown && thrown.code === "EAGAIN";

/** A system that does not know the question says nothing of the device: ENOSYS, ENOTTY, or the library's own words. */
const isUnknownQuestion = (error: unknown): boolean =>
  /not implemented|inappropriate ioctl/i.test(messageOf(error));

function connectionOf(port: SerialPort): Connection {
  return {
    write: (bytes) =>
      new Promise((resolve, reject) => {
        if (!port.isOpen) return reject(new Error("the device is closed"));
        port.write(Buffer.from(bytes), undefined, (error) => {
          if (error) reject(error);
          else resolve();
        });
      }),
    async probe() {
      const binding = port.port;
      if (!binding) throw new Error("the device is closed");
      try {
        // Neither question sends anything. The library cannot put the first on macOS.
        await (process.platform === "darwin" ? binding.get() : binding.getBaudRate());
      } catch (error) {
        if (!isUnknownQuestion(error)) throw error;
      }
    },
    close: () =>
      new Promise((resolve) => {
        port.removeAllListeners();
        port.on("error", () => undefined);
        if (!port.isOpen) return resolve();
        port.close(() => resolve());
      }),
  };
}
