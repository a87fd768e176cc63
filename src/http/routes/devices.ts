import Type from "typebox";
import { isoOf } from "../../clock.ts";
import type { Device as KnownDevice, Devices } from "../../store/devices.ts";
import {
  CodeAsked,
  Device,
  Paired,
  PairingAsked,
  PairingCode,
  PairingState,
} from "../../wire/device.ts";
import { type Api, PathId } from "../api.ts";
import { deviceOf, giveCookie, renewCookie } from "../gate.ts";
import { plainProblem, refuse } from "../problem.ts";

/** From one address; the code itself bears ten wrong tries, wherever they come from. */
export const pairingsPerMinute = 10;

const tags = ["Devices"];
const shown = ({ id, name, access, pairedAt, seenAt }: KnownDevice): Device => ({
  id,
  name,
  access,
  paired: isoOf(pairedAt),
  seen: seenAt === null ? null : isoOf(seenAt),
});

export function deviceRoutes(
  api: Api,
  devices: Devices,
  needed: boolean,
  letGo: (device: number) => void,
): void {
  pairing(api, devices, needed);
  knownDevices(api, devices, letGo);
}

function pairing(api: Api, devices: Devices, needed: boolean): void {
  const count = api.createRateLimit({ max: pairingsPerMinute, timeWindow: 60_000 });
  api.get(
    "/api/pairing",
    {
      config: { isOpen: true },
      schema: {
        tags,
        summary: "Whether this device has to be paired, and as what it is",
        response: { 200: PairingState },
      },
    },
    (request, reply) => {
      const device = deviceOf(request, devices);
      if (device !== null) renewCookie(request, reply);
      return { needed, device: device === null ? null : shown(device) };
    },
  );
  api.post(
    "/api/pairing",
    {
      config: { isOpen: true },
      schema: {
        tags,
        summary: "Pair this device with a code",
        description: `A code works once and for ten minutes, and is burnt by ten wrong tries. At most ${pairingsPerMinute} tries a minute.`,
        body: PairingAsked,
        response: { 200: Paired },
      },
      preHandler: async (request, reply) => {
        const counted = await count(request);
        if (counted.isAllowed || !counted.isExceeded) return;
        reply.header("retry-after", counted.ttlInSeconds);
        return refuse(
          reply,
          plainProblem(429, "too many codes at once: wait as many seconds as retry-after says"),
        );
      },
    },
    (request, reply) => {
      const { code, name, for: whom = "page" } = request.body;
      const { device, token } = devices.pair(code, name);
      reply.header("cache-control", "no-store");
      if (whom === "page") giveCookie(request, reply, token);
      return { device: shown(device), token: whom === "page" ? null : token };
    },
  );
  api.post(
    "/api/pairing/code",
    {
      schema: {
        tags,
        summary: "Make a code with which another device is paired",
        description: "It takes the place of a code that was not used.",
        body: CodeAsked,
        response: { 200: PairingCode },
      },
    },
    ({ body }, reply) => {
      reply.header("cache-control", "no-store");
      const { code, access, until } = devices.newCode(body.access);
      return { code, access, until: isoOf(until) };
    },
  );
}

function knownDevices(api: Api, devices: Devices, letGo: (device: number) => void): void {
  const list = (): Device[] => devices.list().map(shown);
  api.get(
    "/api/devices",
    {
      config: { isForFull: true },
      schema: { tags, summary: "The paired devices", response: { 200: Type.Array(Device) } },
    },
    list,
  );
  api.delete(
    "/api/devices/:device",
    {
      schema: {
        tags,
        summary: "Take back the pairing of a device; what it follows ends at once",
        params: Type.Object({ device: PathId }),
        response: { 200: Type.Array(Device) },
      },
    },
    ({ params }) => {
      devices.revoke(params.device);
      letGo(params.device);
      return list();
    },
  );
}
