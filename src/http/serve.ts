/** Opens the service to this computer, or to the network. */
import { Fault } from "../faults.ts";
import { addressesOnTheNetwork, isLoopback } from "./places.ts";
import { makeServer, type ServerOptions } from "./server.ts";

export type Serving = {
  /** `http://…`, under which the page opens. */
  readonly address: string;
  /** The same for devices of the network; empty when they cannot reach it, or the address says it already. */
  readonly onTheNetwork: readonly string[];
  /** Whether a device has to be paired. */
  readonly isPaired: boolean;
  /** Says good-bye to every page, lets requests end, and frees the port. */
  readonly close: () => Promise<void>;
};

/** After this, requests that are still going on are cut off. */
const endWithinMs = 1000;
const lookForIdleMs = 50;

export async function serve(asked: Omit<ServerOptions, "pairing">): Promise<Serving> {
  const { host, port } = asked;
  // Whoever comes through a proxy comes from elsewhere, also when the proxy runs on this computer.
  const options = { ...asked, pairing: !isLoopback(host) || asked.proxy !== null };
  const api = await makeServer(options);
  try {
    const address = await api.listen({ host: host.replace(/^\[(.*)\]$/, "$1"), port });
    const bound = api.server.address();
    const isEverywhere = ["0.0.0.0", "::", "[::]"].includes(host);
    const onTheNetwork =
      isEverywhere && typeof bound === "object" && bound !== null
        ? addressesOnTheNetwork(bound.port, options.tls === null ? "http" : "https")
        : [];
    return { address, onTheNetwork, isPaired: options.pairing, close };
  } catch (error) {
    await api.close();
    throw new Fault("network.cannot-listen", whyNotListening(error, host, port), { cause: error });
  }

  async function close(): Promise<void> {
    const idle = setInterval(() => api.server.closeIdleConnections(), lookForIdleMs);
    const tooLong = setTimeout(() => api.server.closeAllConnections(), endWithinMs);
    await api.close();
    clearInterval(idle);
    clearTimeout(tooLong);
  }
}

function whyNotListening(error: unknown, host: string, port: number): string {
  const code = error instanceof Error && "code" in error ? error.code : null;
  const at = `${host}, port ${port}`;
  if (code === "EADDRINUSE") return `another program listens at ${at}`;
  if (code === "EACCES") return `the right to listen at ${at} is missing`;
  if (code === "EADDRNOTAVAIL") return `this computer has no address ${host}`;
  if (code === "ENOTFOUND" || code === "EAI_AGAIN") return `no computer is known as ${host}`;
  return `listening at ${at} failed: ${String(error)}`;
}
