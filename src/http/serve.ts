/** Opens the service to this computer. */
import { Fault } from "../faults.ts";
import { isLoopback } from "./places.ts";
import { makeServer, type ServerOptions } from "./server.ts";

export type Serving = {
  /** `http://…`, under which the page opens. */
  readonly address: string;
  /** Says good-bye to every page, lets requests end, and frees the port. */
  readonly close: () => Promise<void>;
};

/** After this, requests that are still going on are cut off. */
const endWithinMs = 1000;
const lookForIdleMs = 50;

export async function serve(options: ServerOptions): Promise<Serving> {
  const { host, port } = options;
  if (!isLoopback(host))
    throw new Fault(
      "network.loopback-only",
      `"${host}" is not this computer alone, and devices on the network cannot be let in yet`,
    );
  const api = await makeServer(options);
  try {
    const address = await api.listen({ host: host.replace(/^\[(.*)\]$/, "$1"), port });
    return { address, close };
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
  return `listening at ${at} failed: ${String(error)}`;
}
