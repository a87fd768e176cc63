import type { Service } from "../../service/service.ts";
import { LogImport, NewImport } from "../../wire/requests.ts";
import type { Api } from "../api.ts";

/** Two bytes a letter, and the rest of the body. */
const logLimitBytes = 2_100_000;

export function importRoutes(api: Api, service: Service): void {
  const tags = ["Import"];
  const columns =
    "A CSV in the columns that `stillweight judge` reads. Rows without `at` are laid out from `startedAt`, hour by hour.";
  api.post(
    "/api/imports/preview",
    {
      bodyLimit: logLimitBytes,
      schema: {
        tags,
        summary: "What a log kept by hand would become; nothing is kept",
        description: columns,
        body: NewImport,
        response: { 200: LogImport },
      },
    },
    ({ body }) => service.previewImport(body),
  );
  api.post(
    "/api/imports",
    {
      bodyLimit: logLimitBytes,
      schema: {
        tags,
        summary: "Bring a log kept by hand into the record, as batches that have ended",
        description: `${columns} All of it or nothing.`,
        body: NewImport,
        response: { 200: LogImport },
      },
    },
    ({ body }) => service.importLog(body),
  );
}
