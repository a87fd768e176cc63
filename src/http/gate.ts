/**
 * Who is let in. On this computer alone everybody is; where the network can reach, every request but the page's
 * files and the pairing itself needs a device's token: a page carries it in a cookie that no script can read, a
 * program in `Authorization: Bearer`. Sources: OWASP ASVS 5.0, 3.3 (cookies), 4.4 (WebSocket), 8.3 (authorisation);
 * RFC 6750 for the header.
 */
import type { FastifyReply, FastifyRequest } from "fastify";
import { Fault } from "../faults.ts";
import type { Device, Devices } from "../store/devices.ts";
import type { Api } from "./api.ts";
import { isOwnAddress } from "./page.ts";

declare module "fastify" {
  interface FastifyContextConfig {
    /** Answered without a token. */
    isOpen?: boolean;
    /** Not for a device that may only look. */
    isForFull?: boolean;
  }
}

const cookieName = "stillweight-device";
/** The longest that browsers keep one (the revision of RFC 6265: 400 days); it is renewed whenever the page opens. */
const cookieLivesSeconds = 400 * 24 * 3600;
const safeMethods = ["GET", "HEAD"];

type Shown = { readonly token: string; readonly by: "cookie" | "header" };

/** The token of a request; a header wins over a cookie. */
function shownToken({ headers }: FastifyRequest): Shown | null {
  const bearer = /^Bearer ([\w-]{1,200})$/i.exec(headers.authorization ?? "")?.[1];
  if (bearer !== undefined) return { token: bearer, by: "header" };
  if (headers.authorization !== undefined) return null;
  const pairs = (headers.cookie ?? "").split(";").map((pair) => pair.trim().split("="));
  const token = pairs.find(([name]) => name === cookieName)?.[1];
  return token === undefined || token === "" ? null : { token, by: "cookie" };
}

export function deviceOf(request: FastifyRequest, devices: Devices): Device | null {
  const shown = shownToken(request);
  return shown === null ? null : devices.ofToken(shown.token);
}

/** Keeps the token in the browser; also for longer, when the page opens again. */
export function giveCookie(request: FastifyRequest, reply: FastifyReply, token: string): void {
  const isSecure = request.protocol === "https" ? "; Secure" : "";
  reply.header(
    "set-cookie",
    `${cookieName}=${token}; Path=/; Max-Age=${cookieLivesSeconds}; HttpOnly; SameSite=Strict${isSecure}`,
  );
}

export function renewCookie(request: FastifyRequest, reply: FastifyReply): void {
  const shown = shownToken(request);
  if (shown?.by === "cookie") giveCookie(request, reply, shown.token);
}

export function keepGate(api: Api, devices: Devices, needed: boolean): void {
  api.addHook("onRequest", async (request, reply) => {
    if (!needed || isOpen(request)) return;
    const device = deviceOf(request, devices);
    if (device === null) {
      reply.header("www-authenticate", "Bearer");
      throw new Fault("pairing.needed", "this device is not paired, or its pairing was taken back");
    }
    const changes = !safeMethods.includes(request.method);
    const byCookie = shownToken(request)?.by === "cookie";
    if (byCookie && request.headers.origin === undefined && (changes || request.ws))
      throw new Fault(
        "network.forbidden",
        "a request with a cookie has to say from which page it comes (Origin)",
      );
    if (
      device.access === "read-only" &&
      (changes || request.routeOptions.config.isForFull === true)
    )
      throw new Fault("pairing.read-only", `"${device.name}" may look and change nothing`);
  });
}

/** The page's files, and what says so itself. */
function isOpen({ method, routeOptions, url, ws }: FastifyRequest): boolean {
  if (routeOptions.config.isOpen === true) return true;
  const isFile = routeOptions.url === undefined || routeOptions.url === "/*";
  return isFile && !ws && safeMethods.includes(method) && !isOwnAddress(url);
}
