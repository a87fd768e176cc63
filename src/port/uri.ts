/**
 * The address of a scale. In: `serial:///dev/ttyUSB0?baud=9600`, `serial:COM3`, `tcp://host:port`, `hid:`, `practice:`,
 * `page:NAME`, `replay:file`, or a bare path. Out: what it names, checked, or a sentence that says what is wrong with it.
 */
import { Fault } from "../faults.ts";
import { forms, isFormName } from "../reading/forms.ts";
import { noFacts, type Form, type FormName } from "../reading/form.ts";
import type { Declared } from "../reading/recognise.ts";
import type { ScaleUnit } from "../reading/reading.ts";
import { nearest } from "../units/nearest.ts";
import { grams } from "../units/quantity.ts";

export type SerialSettings = {
  readonly path: string;
  readonly baud: number;
  /** The address names no speed: others are tried when what comes is no text. */
  readonly findsBaud: boolean;
  readonly bits: 7 | 8;
  readonly parity: "none" | "even" | "odd";
  readonly stop: 1 | 2;
};

export type Place =
  | ({ readonly is: "serial" } & SerialSettings)
  | { readonly is: "tcp"; readonly host: string; readonly port: number }
  | { readonly is: "practice" }
  /** Plugged into the device on which a page is open. */
  | { readonly is: "page"; readonly name: string }
  /** A USB scale without a serial line; null: the first that says it is a scale. */
  | { readonly is: "hid"; readonly path: string | null }
  /** `speed`: 1 as recorded, 60 a minute in a second, 0 as fast as possible. */
  | { readonly is: "replay"; readonly file: string; readonly speed: number };

export type ScaleAddress = {
  readonly uri: string;
  readonly place: Place;
  readonly declared: Declared;
  /** Bytes to send to a scale that only answers when asked. */
  readonly ask: string | null;
};

type ReadAddress = ScaleAddress | { readonly is: "refused"; readonly why: string };

const common = ["form", "unit", "division", "ask"] as const;
const optionsOf = {
  serial: ["baud", "bits", "parity", "stop", ...common],
  tcp: [...common],
  practice: [...common],
  page: ["baud", "bits", "parity", "stop", "form", "unit", "division"],
  hid: [...common],
  replay: ["speed", ...common],
} as const;
type Scheme = keyof typeof optionsOf;

const units: readonly ScaleUnit[] = ["g", "kg", "oz", "lb", "lb:oz"];

/** Whether two addresses name one scale, however they say that it is to be read. `hid:` is any that is there. */
export function isSamePlace(one: Place, other: Place): boolean {
  if (one.is === "serial" && other.is === "serial") return one.path === other.path;
  if (one.is === "tcp" && other.is === "tcp")
    return one.host.toLowerCase() === other.host.toLowerCase() && one.port === other.port;
  if (one.is === "hid" && other.is === "hid")
    return one.path === null || other.path === null || one.path === other.path;
  return one.is === "page" && other.is === "page" && one.name === other.name;
}

/** What a scale is known by for good: where it is, however its address is written. */
export function placeName(place: Place): string {
  switch (place.is) {
    case "serial":
      return `serial:${place.path}`;
    case "tcp":
      return `tcp:${place.host.toLowerCase()}:${place.port}`;
    case "hid":
      return `hid:${place.path ?? ""}`;
    case "page":
      return `page:${place.name}`;
    case "replay":
      return `replay:${place.file}`;
    case "practice":
      return "practice:";
  }
}

class Refusal extends Error {}

/** `own`: the forms of the settings file. */
export function readAddress(uri: string, own: readonly Form[] = []): ReadAddress {
  try {
    return addressOf(uri.trim(), own);
  } catch (error) {
    if (error instanceof Refusal) return { is: "refused", why: `scale "${uri}": ${error.message}` };
    throw error;
  }
}

/** Throws link.refused with the reason. */
export function readScaleUri(uri: string, own: readonly Form[] = []): ScaleAddress {
  const read = readAddress(uri, own);
  if (isRefused(read)) throw new Fault("link.refused", read.why);
  return read;
}

export const isRefused = (
  read: ReadAddress,
): read is Extract<ReadAddress, { readonly is: "refused" }> => "is" in read;

function addressOf(uri: string, own: readonly Form[]): ScaleAddress {
  if (uri === "") throw new Refusal("the address is empty");
  const mark = uri.indexOf("?");
  const where = mark < 0 ? uri : uri.slice(0, mark);
  const { scheme, rest } = schemeOf(where);
  const options = optionsFrom(mark < 0 ? "" : uri.slice(mark + 1), scheme);
  return {
    uri,
    place: placeOf(scheme, rest, options),
    declared: declaredBy(options, scheme === "hid" ? "usb-report" : "auto", own),
    ask: options.get("ask") ?? null,
  };
}

function schemeOf(where: string): { scheme: Scheme; rest: string } {
  const scheme = /^(?<name>[a-z][a-z0-9+.-]+):/i.exec(where)?.groups?.["name"]?.toLowerCase();
  if (scheme === undefined) {
    if (/^[/.~\\]/.test(where) || windowsPort.test(where)) return { scheme: "serial", rest: where };
    throw new Refusal("neither a path nor serial:, tcp:, hid:, page: or practice:");
  }
  const rest = where.slice(scheme.length + 1);
  if (!Object.hasOwn(optionsOf, scheme)) {
    throw new Refusal(
      `${scheme}: is not known; did you mean ${nearest(scheme, Object.keys(optionsOf))}:?`,
    );
  }
  return { scheme: scheme as Scheme, rest };
}

/** Percent escapes are undone; a plus sign stays a plus sign, since requests may contain it. */
function optionsFrom(query: string, scheme: Scheme): ReadonlyMap<string, string> {
  const known: readonly string[] = optionsOf[scheme];
  const options = new Map<string, string>();
  for (const part of query.split("&").filter((one) => one !== "")) {
    const equals = part.indexOf("=");
    const name = equals < 0 ? part : part.slice(0, equals);
    if (!known.includes(name)) {
      throw new Refusal(
        `${scheme}: has no option "${name}"; the nearest is "${nearest(name, known)}"`,
      );
    }
    if (options.has(name)) throw new Refusal(`option "${name}" is given twice`);
    if (equals < 0) throw new Refusal(`option "${name}" has no value`);
    options.set(name, unescaped(part.slice(equals + 1), `option "${name}"`));
  }
  return options;
}

function unescaped(text: string, what: string): string {
  try {
    return decodeURIComponent(text);
  } catch {
    throw new Refusal(`${what}: "${text}" is not percent-encoded text`);
  }
}

function placeOf(scheme: Scheme, rest: string, options: ReadonlyMap<string, string>): Place {
  switch (scheme) {
    case "serial":
      return serialPlace(rest, options);
    case "tcp":
      return tcpPlace(rest);
    case "hid":
      return { is: "hid", path: hidPath(rest) };
    case "page": {
      if (!/^[a-z0-9][a-z0-9-]{0,39}$/.test(rest))
        throw new Refusal("page: needs a name of small letters, figures and hyphens");
      lineSettings(options);
      return { is: "page", name: rest };
    }
    case "practice":
      if (rest !== "") throw new Refusal("practice: takes nothing behind the colon");
      return { is: "practice" };
    case "replay": {
      if (rest === "") throw new Refusal("replay: needs the path of a capture");
      const speed = number(options.get("speed") ?? "1", "speed");
      if (speed < 0) throw new Refusal("speed must be 0 or more");
      return { is: "replay", file: unescaped(rest.replace(/^\/\/(?=\/)/, ""), "path"), speed };
    }
  }
}

function serialPlace(rest: string, options: ReadonlyMap<string, string>): Place {
  const path = unescaped(rest.replace(/^\/\/(?=\/)/, ""), "path");
  if (path === "" || path.startsWith("//")) {
    throw new Refusal("serial: needs a path, such as serial:///dev/ttyUSB0 or serial:COM3");
  }
  return { is: "serial", path: deviceName(path), ...lineSettings(options) };
}

const windowsPort = /^(?:\\\\\.\\)?(?<name>COM\d{1,3})$/i;

/**
 * One name for each port. Windows tells no capitals apart, and the library puts \\.\ before a port's name itself. macOS
 * has two devices for a port: tty… is for a modem that is called and may wait for its carrier, cu… for all else (common
 * practice, no source).
 */
export function deviceName(path: string): string {
  const port = windowsPort.exec(path)?.groups?.["name"];
  return port?.toUpperCase() ?? path.replace(/^\/dev\/tty\./, "/dev/cu.");
}

/** Whether a path names a port of Windows, which has no file. */
export const isWindowsPort = (path: string): boolean => windowsPort.test(path);

function lineSettings(options: ReadonlyMap<string, string>): Omit<SerialSettings, "path"> {
  const baud = number(options.get("baud") ?? "9600", "baud");
  if (!Number.isInteger(baud) || baud < 50 || baud > 4_000_000) {
    throw new Refusal(`baud=${baud} is not a speed from 50 to 4000000`);
  }
  const bits = oneOf(options.get("bits") ?? "8", "bits", ["7", "8"] as const);
  const stop = oneOf(options.get("stop") ?? "1", "stop", ["1", "2"] as const);
  return {
    baud,
    findsBaud: !options.has("baud"),
    bits: bits === "7" ? 7 : 8,
    parity: oneOf(options.get("parity") ?? "none", "parity", ["none", "even", "odd"] as const),
    stop: stop === "1" ? 1 : 2,
  };
}

function hidPath(rest: string): string | null {
  const path = unescaped(rest.replace(/^\/\/(?=\/)/, ""), "path");
  if (path !== "" && !/^\/dev\/[^/]/.test(path)) {
    throw new Refusal("hid: takes nothing or a device, such as hid:///dev/hidraw0");
  }
  return path === "" ? null : path;
}

function tcpPlace(rest: string): Place {
  const parts = /^\/\/(?:\[(?<six>[0-9a-fA-F:.]+)\]|(?<host>[^:/[\]]+)):(?<port>\d+)\/?$/.exec(
    rest,
  )?.groups;
  const host = parts?.["six"] ?? parts?.["host"];
  const port = Number(parts?.["port"]);
  if (!host || !(port >= 1 && port <= 65_535)) {
    throw new Refusal(
      "tcp: needs a host and a port from 1 to 65535, such as tcp://192.168.1.20:4001",
    );
  }
  return { is: "tcp", host, port };
}

function declaredBy(
  options: ReadonlyMap<string, string>,
  usual: FormName | "auto",
  own: readonly Form[],
): Declared {
  const form = options.get("form") ?? usual;
  if (form !== "auto" && !isFormName(form, own)) {
    const known = [...forms, ...own].map(({ name }) => name);
    throw new Refusal(`no form is called "${form}"; the nearest is "${nearest(form, known)}"`);
  }
  const unit = options.get("unit");
  const division = options.get("division");
  const step = division === undefined ? null : number(division, "division");
  if (step !== null && !(step > 0)) throw new Refusal("division must be more than 0 g");
  return {
    form: form === "auto" ? null : form,
    own,
    facts: {
      ...noFacts,
      unit: unit === undefined ? null : oneOf(unit, "unit", units),
      division: step === null ? null : grams(step),
    },
  };
}

function number(text: string, name: string): number {
  if (!/^[+-]?(?:\d+\.?\d*|\.\d+)$/.test(text))
    throw new Refusal(`${name}=${text} is not a number`);
  return Number(text);
}

function oneOf<const T extends string>(text: string, name: string, allowed: readonly T[]): T {
  const found = allowed.find((one) => one === text);
  if (found === undefined) throw new Refusal(`${name}=${text} is none of ${allowed.join(", ")}`);
  return found;
}
