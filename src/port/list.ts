/** The serial ports of this machine, those with a lasting name first. Never rejects. */
import { readdir, realpath } from "node:fs/promises";
import { join } from "node:path";
import { SerialPort } from "serialport";
import { messageOf } from "./supervisor.ts";

export type ListedPort = {
  /** For a scale's address; the name that stays the same when the plug moves, where there is one. */
  readonly path: string;
  readonly device: string;
  readonly maker: string | null;
};

export type PortList = {
  readonly ports: readonly ListedPort[];
  /** Why the list may be short; null when it is whole. */
  readonly why: string | null;
};

/** What the operating system is asked for; a test gives its own. */
export type ListSystem = {
  list(): Promise<readonly { readonly path: string; readonly manufacturer?: string | undefined }[]>;
  /** Names in a folder; rejects when there is none. */
  names(folder: string): Promise<readonly string[]>;
  target(link: string): Promise<string>;
};

const byId = "/dev/serial/by-id";
const serialName = /^tty(?:USB|ACM|AMA|S)\d+$/;

export async function listPorts(system: ListSystem = operatingSystem): Promise<PortList> {
  const lasting = await lastingNames(system);
  try {
    const listed = await system.list();
    const ports = listed.map(({ path, manufacturer }) => ({
      path: lasting.get(path) ?? path,
      device: path,
      maker: manufacturer ?? null,
    }));
    return { ports: lastingFirst(ports), why: null };
  } catch (error) {
    const devices = await system.names("/dev").catch(() => []);
    const found = devices.filter((name) => serialName.test(name)).map((name) => `/dev/${name}`);
    const ports = [...new Set([...lasting.keys(), ...found])].map((device) => ({
      path: lasting.get(device) ?? device,
      device,
      maker: null,
    }));
    return {
      ports: lastingFirst(ports),
      why: `the system could not say what is plugged in (${messageOf(error)}); these are the device files found. Any path can be typed in`,
    };
  }
}

/** Device → its link under /dev/serial/by-id. */
async function lastingNames(system: ListSystem): Promise<ReadonlyMap<string, string>> {
  const names = await system.names(byId).catch(() => []);
  const pairs = await Promise.all(
    names.map(async (name): Promise<[string, string] | null> => {
      const link = join(byId, name);
      const device = await system.target(link).catch(() => null);
      return device === null ? null : [device, link];
    }),
  );
  return new Map(pairs.filter((pair) => pair !== null));
}

const lastingFirst = (ports: readonly ListedPort[]): readonly ListedPort[] =>
  ports.toSorted(
    (a, b) =>
      Number(b.path !== b.device) - Number(a.path !== a.device) || a.path.localeCompare(b.path),
  );

const operatingSystem: ListSystem = {
  list: () => SerialPort.list(),
  names: (folder) => readdir(folder),
  target: (link) => realpath(link),
};
