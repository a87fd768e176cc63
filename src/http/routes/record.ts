import { Readable } from "node:stream";
import Type from "typebox";
import type { Service } from "../../service/service.ts";
import type { Api } from "../api.ts";

export function recordRoutes(api: Api, service: Service): void {
  api.get(
    "/api/record.jsonl",
    {
      schema: {
        tags: ["Batches"],
        summary: "Every chained row with its digest, for others to check with tools of their own",
        description: [
          "One JSON object a line: `noun`, `text`, `digest`, by noun in the order in which they were kept.",
          "`digest` is the SHA-256, in lower-case hex, of the digest before it of the same noun (64 zeros before the first), a line feed, and `text`, in UTF-8.",
        ].join(" "),
        produces: ["application/jsonl"],
        response: { 200: Type.Unsafe<Readable>({ type: "string", description: "the lines" }) },
      },
    },
    (_request, reply) => {
      reply.header("content-type", "application/jsonl; charset=utf-8");
      reply.header("content-disposition", 'attachment; filename="record.jsonl"');
      // A page of rows at a time, as fast as they are taken: a season's record is not held in memory.
      return Readable.from(service.recordLines());
    },
  );
}
