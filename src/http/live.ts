/** GET /api/live: the websocket. */
import type { Devices } from "../store/devices.ts";
import type { Api } from "./api.ts";
import { deviceOf } from "./gate.ts";
import type { Hub } from "./hub.ts";
import { plainProblem, refuse } from "./problem.ts";

export const liveAddress = "/api/live";

export function liveRoute(api: Api, hub: Hub, devices: Devices): void {
  api.route({
    method: "GET",
    url: liveAddress,
    schema: {
      tags: ["Live"],
      summary: "Websocket that tells what happens, as it happens",
      description: [
        "JSON text messages, each with `v` (version of the messages), `type`, `seq` (rises; numbers are left out) and `at`.",
        "First comes the present: for each scale a LinkMessage and a ReadingMessage, then a BenchMessage.",
        "Then follow, in order, LinkMessage, SettledMessage, LiftedMessage, WeighingMessage, VerdictMessage, AlertMessage and BenchMessage;",
        "and ReadingMessage, at most 20 a second, the newest of each scale. A HereMessage comes every 2 s:",
        "who hears nothing for 5 s is cut off, and opens it again. Leave out types that you do not know.",
        "Nothing can be said here: ask and change things over HTTP.",
      ].join(" "),
    },
    handler: (_request, reply) =>
      refuse(
        reply.header("upgrade", "websocket"),
        plainProblem(426, "this is a websocket: open it with ws://"),
      ),
    wsHandler: (socket, request) => hub.add(socket, deviceOf(request, devices)?.id ?? null),
  });
}
