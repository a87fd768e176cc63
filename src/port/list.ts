/** The serial ports of this machine, those that something is plugged into first. Never rejects. */
import { readdir, realpath } from "node:fs/promises";
import { basename, posix } from "node:path";
import { SerialPort } from "serialport";
import { messageOf } from "./supervisor.ts";
import { deviceName } from "./uri.ts";

type ListedPort = {
  /** The scale's address, by the name that stays the same when the plug moves, where there is one. */
  readonly uri: string;
  /** For a person. */
  readonly name: string;
  /** False for the board's own lines, which are there whether or not anything is attached. */
  readonly plugged: boolean;
};

type PortList = {
  readonly ports: readonly ListedPort[];
  /** Why the list may be short; null when it is whole. */
  readonly why: string | null;
};

type Found = {
  readonly path: string;
  readonly manufacturer?: string | undefined;
  readonly vendorId?: string | undefined;
};

/** What the operating system is asked for; a test gives its own. */
export type ListSystem = {
  list(): Promise<readonly Found[]>;
  /** Names in a folder; rejects when there is none. */
  names(folder: string): Promise<readonly string[]>;
  target(link: string): Promise<string>;
};

const byId = "/dev/serial/by-id";
const serialName = /^tty(?:USB|ACM|AMA|S)\d+$/;
const pluggedName = /(?:ttyUSB|ttyACM|rfcomm)\d+$/;

export async function listPorts(system: ListSystem = operatingSystem): Promise<PortList> {
  const lasting = await lastingNames(system);
  const { found, why } = await foundBy(system, lasting);
  const ports = found.map((one) => listed(one, lasting.get(one.path)));
  return { ports: ports.toSorted(inOrder), why };
}

const inOrder = (a: ListedPort, b: ListedPort): number =>
  Number(b.plugged) - Number(a.plugged) || a.uri.localeCompare(b.uri);

async function foundBy(
  system: ListSystem,
  lasting: ReadonlyMap<string, string>,
): Promise<{ found: readonly Found[]; why: string | null }> {
  try {
    return { found: await system.list(), why: null };
  } catch (error) {
    const names = await system.names("/dev").catch(() => []);
    const devices = names.filter((name) => serialName.test(name)).map((name) => `/dev/${name}`);
    return {
      found: [...new Set([...lasting.keys(), ...devices])].map((path) => ({ path })),
      why: `the system could not say what is plugged in (${messageOf(error)}); these are the device files found, and any other path can be typed in`,
    };
  }
}

function listed({ path, manufacturer, vendorId }: Found, lasting: string | undefined): ListedPort {
  const best = lasting ?? deviceName(path);
  return {
    uri: best.startsWith("/") ? `serial://${best}` : `serial:${best}`,
    name: manufacturer ? `${basename(best)} (${manufacturer.trim()})` : basename(best),
    plugged: vendorId !== undefined || lasting !== undefined || pluggedName.test(path),
  };
}

/** Device → its link under /dev/serial/by-id. */
async function lastingNames(system: ListSystem): Promise<ReadonlyMap<string, string>> {
  const names = await system.names(byId).catch(() => []);
  const pairs = await Promise.all(
    names.map(async (name): Promise<[string, string] | null> => {
      const link = posix.join(byId, name);
      const device = await system.target(link).catch(() => null);
      return device === null ? null : [device, link];
    }),
  );
  return new Map(pairs.filter((pair) => pair !== null));
}

const operatingSystem: ListSystem = {
  list: () => SerialPort.list(),
  names: (folder) => readdir(folder),
  target: (link) => realpath(link),
};
