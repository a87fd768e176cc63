/**
 * Who may ask. A program that listens on this computer alone is still within reach of every web page that its
 * browser opens: by a form or a script that sends from elsewhere (cross-site request forgery), by a websocket, to
 * which browsers do not apply the same-origin rule, and by a name that is made to point here (DNS rebinding).
 * The rules follow OWASP ASVS 5.0, sections 3.5 (browser origin separation) and 4.4 (WebSocket).
 */
import { isIP, isIPv4 } from "node:net";
import { hostname, networkInterfaces } from "node:os";

/** Without brackets and in lower case. */
const bare = (host: string): string => host.toLowerCase().replace(/^\[(.*)\]$/, "$1");

export function isLoopback(host: string): boolean {
  const name = bare(host);
  return name === "localhost" || name === "::1" || (isIPv4(name) && name.startsWith("127."));
}

export type Places = { readonly hosts: ReadonlySet<string>; readonly origins: ReadonlySet<string> };

/**
 * What the computer is called on its network: by the network's own names, and by multicast DNS (RFC 6762), which has the
 * first label alone. A page from elsewhere has no such name, whatever its DNS is made to say: `.local` is never asked of
 * the DNS, and the other is one's own network's.
 */
export function ownNames(name: string = hostname().toLowerCase()): string[] {
  return [...new Set([name, `${name.split(".", 1)[0]}.local`])];
}

/** Every address and name of this computer under which a device of the network may open the page. */
function namesOnTheNetwork(): string[] {
  const addresses = Object.values(networkInterfaces()).flatMap((all) => all ?? []);
  // Addresses of one link (fe80::…) are written with a zone, which browsers do not take.
  const usable = addresses.filter(({ address }) => !address.toLowerCase().startsWith("fe80:"));
  return [...usable.map(({ address }) => address), ...ownNames()];
}

const everywhere = ["0.0.0.0", "::"];

/** At most 74 bytes with a bag's number: version 5 of ISO/IEC 18004 at level M holds 84. */
const longestLabelAddress = 50;

export type Door = {
  readonly scheme: "http" | "https";
  /** More names under which the page is opened: NAME, or a whole origin such as https://scale.example. */
  readonly names: readonly string[];
};

/** What is wrong with a further name; null: nothing. */
export function flawInName(name: string): string | null {
  if (/^[a-z\d]([a-z\d.-]*[a-z\d])?$|^\[[\da-f:]+\]$/i.test(name)) return null;
  const origin = /^https?:\/\//i.test(name) && URL.canParse(name) ? new URL(name).origin : null;
  if (origin !== null && origin === name.toLowerCase().replace(/\/$/, "")) return null;
  return `"${name}" is neither a name (scale.lan) nor an origin (https://scale.example)`;
}

/** What is wrong with an address for labels, which are read for years; null: nothing. */
export function flawInLabelAddress(address: string): string | null {
  const say = (why: string): string => `--label-address: "${address}" ${why}`;
  if (!/^https?:\/\//i.test(address) || flawInName(address) !== null)
    return say("is no origin: give it as http://scale.lan:4680 or https://scale.example");
  if (address.length > longestLabelAddress)
    return say(
      `is longer than ${longestLabelAddress} letters: its code would be too fine to print`,
    );
  const { hostname: host } = new URL(address);
  if (isIP(bare(host)) !== 0 || isLoopback(host))
    return say("is an address that changes, or this computer alone: give a name that lasts");
  return null;
}

/** The values of Host and of Origin under which the page is really opened. */
export function allowedPlaces(
  boundHost: string,
  port: number,
  { scheme, names }: Door = { scheme: "http", names: [] },
): Places {
  const bound = bare(boundHost);
  const origins = names.filter((name) => name.includes("://")).map((name) => new URL(name));
  const local = new Set([
    "localhost",
    "127.0.0.1",
    "::1",
    bound,
    ...(everywhere.includes(bound) ? namesOnTheNetwork() : []),
    // By its name the network finds the one address that is listened at.
    ...(isLoopback(bound) ? [] : ownNames()),
    ...names.filter((name) => !name.includes("://")).map(bare),
  ]);
  const usualPort = scheme === "https" ? 443 : 80;
  const hosts = [...local]
    .filter((name) => !everywhere.includes(name))
    .map((name) => (name.includes(":") ? `[${name}]` : name))
    .flatMap((name) => (port === usualPort ? [name, `${name}:${port}`] : [`${name}:${port}`]));
  return {
    hosts: new Set([...hosts, ...origins.map(({ host }) => host)]),
    origins: new Set([
      ...hosts.map((host) => `${scheme}://${host}`),
      ...origins.map(({ origin }) => origin),
    ]),
  };
}

/** Where a person opens the page on another device: by the shorter addresses, where there are any. */
export function addressesOnTheNetwork(
  port: number,
  scheme: Door["scheme"],
  names: readonly string[] = namesOnTheNetwork(),
): readonly string[] {
  const addresses = names.filter((name) => isIP(name) !== 0 && !isLoopback(name));
  const short = addresses.filter((name) => isIPv4(name));
  return (short.length > 0 ? short : addresses).map(
    (name) => `${scheme}://${isIPv4(name) ? name : `[${name}]`}:${port}`,
  );
}

type Asking = {
  readonly method: string;
  readonly headers: Readonly<Record<string, string | string[] | undefined>>;
};

/**
 * Why a request may not be answered, or null. A missing Origin is a script on this computer: browsers always send
 * one on a websocket and on whatever could change something.
 */
export function whyRefused({ method, headers }: Asking, places: Places): string | null {
  const { host, origin } = headers;
  if (typeof host !== "string" || !places.hosts.has(host.toLowerCase()))
    return `the address ${shown(host)} is not one of this program's`;
  if (origin !== undefined && !(typeof origin === "string" && places.origins.has(origin)))
    return `another page (${shown(origin)}) may not ask here`;
  if (headers["sec-fetch-site"] !== "cross-site") return null;
  // A link from elsewhere may open the page; nothing else may be done from there.
  const opensPage =
    method === "GET" &&
    headers["sec-fetch-mode"] === "navigate" &&
    headers["sec-fetch-dest"] === "document";
  return opensPage ? null : "another site may not ask here";
}

const shown = (value: unknown): string =>
  typeof value === "string" ? `"${value.slice(0, 100)}"` : "(none)";
