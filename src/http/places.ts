/**
 * Who may ask. A program that listens on this computer alone is still within reach of every web page that its
 * browser opens: by a form or a script that sends from elsewhere (cross-site request forgery), by a websocket, to
 * which browsers do not apply the same-origin rule, and by a name that is made to point here (DNS rebinding).
 * The rules follow OWASP ASVS 5.0, sections 3.5 (browser origin separation) and 4.4 (WebSocket).
 */
import { isIPv4 } from "node:net";

/** Without brackets and in lower case. */
const bare = (host: string): string => host.toLowerCase().replace(/^\[(.*)\]$/, "$1");

export function isLoopback(host: string): boolean {
  const name = bare(host);
  return name === "localhost" || name === "::1" || (isIPv4(name) && name.startsWith("127."));
}

export type Places = { readonly hosts: ReadonlySet<string>; readonly origins: ReadonlySet<string> };

/** The values of Host and of Origin under which the page is really opened. */
export function allowedPlaces(boundHost: string, port: number): Places {
  const names = new Set(["localhost", "127.0.0.1", "::1", bare(boundHost)]);
  const hosts = [...names]
    .map((name) => (name.includes(":") ? `[${name}]` : name))
    .flatMap((name) => (port === 80 ? [name, `${name}:80`] : [`${name}:${port}`]));
  return { hosts: new Set(hosts), origins: new Set(hosts.map((host) => `http://${host}`)) };
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
