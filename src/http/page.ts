/** The page's files, as they were built. */
import { existsSync } from "node:fs";
import { join, sep } from "node:path";
import fastifyStatic from "@fastify/static";
import type { FastifyReply, FastifyRequest } from "fastify";
import type { Api } from "./api.ts";
import { plainProblem, refuse } from "./problem.ts";

/** The build names the files in assets/ by their content, so that they never change. */
const cacheFor = (file: string): string =>
  file.includes(`${sep}assets${sep}`) ? "public, max-age=31536000, immutable" : "no-cache";

const ownPrefixes = ["/api/", "/metrics/", "/problems/"];

/** One of the service's addresses: neither a file of the page nor a place in it. */
export function isOwnAddress(url: string): boolean {
  const path = `${url.split(/[?#]/, 1)[0]}/`;
  return ownPrefixes.some((own) => path.startsWith(own));
}

/** An address of the page's own, which the page itself understands: not a file, and none of the service's. */
export const isPageRoute = (url: string): boolean =>
  !isOwnAddress(url) && !(url.split(/[?#]/, 1)[0] ?? "").includes(".");

export async function pageFiles(api: Api, webFolder: string): Promise<void> {
  const built = existsSync(join(webFolder, "index.html"));
  if (built)
    await api.register(fastifyStatic, {
      root: webFolder,
      cacheControl: false,
      dotfiles: "ignore",
      setHeaders: (reply, file) => void reply.header("cache-control", cacheFor(file)),
    });
  api.setNotFoundHandler((request: FastifyRequest, reply: FastifyReply) => {
    const reads = request.method === "GET" || request.method === "HEAD";
    if (built && reads && isPageRoute(request.url)) return reply.sendFile("index.html");
    const path = request.url.split("?", 1)[0]?.slice(0, 200);
    return refuse(reply, plainProblem(404, `there is nothing at ${path}`));
  });
}
