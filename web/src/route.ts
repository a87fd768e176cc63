/** Where in the page a person is, kept in the address after `#` so that back and forward work. */
import { bagNumberIn } from "./wedge.ts";

export type Route =
  | { readonly page: "weigh"; readonly scale: string | null }
  | { readonly page: "batch"; readonly batch: number | null; readonly tray: number | null }
  | { readonly page: "plan" }
  | { readonly page: "pack"; readonly batch: number | null }
  /** `code`: as a label's address names its bag; the page finds out which that is. */
  | { readonly page: "shelf"; readonly bag: number | null; readonly code?: string }
  | { readonly page: "labels"; readonly bags: readonly number[] }
  | { readonly page: "record"; readonly batch: number | null; readonly tray: number | null }
  | { readonly page: "setup" };

export function readRoute(hash: string): Route {
  const [page, first, , second] = hash.replace(/^#\/?/, "").split("/");
  const part = first === undefined || first === "" ? null : decodeURIComponent(first);
  switch (page) {
    case "batch":
    case "record":
      return { page, batch: numberIn(part), tray: numberIn(second ?? null) };
    case "pack":
      return { page, batch: numberIn(part) };
    case "shelf": {
      const code = bagNumberIn(part ?? "");
      return code === null ? { page, bag: numberIn(part) } : { page, bag: null, code };
    }
    case "labels":
      return { page, bags: (part ?? "").split(",").flatMap((one) => numberIn(one) ?? []) };
    case "plan":
    case "setup":
      return { page };
    default:
      return { page: "weigh", scale: part };
  }
}

export function writeRoute(route: Route): string {
  switch (route.page) {
    case "weigh":
      return route.scale === null ? "#/weigh" : `#/weigh/${encodeURIComponent(route.scale)}`;
    case "batch":
    case "record": {
      const batch = route.batch === null ? "" : `/${route.batch}`;
      const tray = route.batch === null || route.tray === null ? "" : `/tray/${route.tray}`;
      return `#/${route.page}${batch}${tray}`;
    }
    case "pack":
      return route.batch === null ? "#/pack" : `#/pack/${route.batch}`;
    case "shelf": {
      const which = route.bag ?? route.code;
      return which === undefined ? "#/shelf" : `#/shelf/${which}`;
    }
    case "labels":
      return `#/labels/${route.bags.join(",")}`;
    case "plan":
    case "setup":
      return `#/${route.page}`;
  }
}

function numberIn(part: string | null): number | null {
  const number = Number(part);
  return part !== null && Number.isInteger(number) && number > 0 ? number : null;
}
