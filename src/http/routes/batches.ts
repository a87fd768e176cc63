import Type from "typebox";
import type { Service } from "../../service/service.ts";
import { Batch, BatchSummary, Curve, History } from "../../wire/batch.ts";
import { BatchExport } from "../../wire/export.ts";
import {
  ClockEdit,
  ClockSet,
  CoreCheck,
  GapAnswer,
  InterruptionEnd,
  NewBatch,
  NewInterruption,
  NewTray,
  TrayEdit,
} from "../../wire/requests.ts";
import { closed, words } from "../../wire/words.ts";
import { mostSecondsAgo } from "../once.ts";
import { type Api, BatchPath, NothingMore, PathId } from "../api.ts";

/** Of a change that is sent again because no answer came: how late it is. A device's own clock may be wrong. */
const AskedAgain = Type.Object({
  "asked-seconds-ago": Type.Optional(
    Type.Integer({
      minimum: 0,
      maximum: mostSecondsAgo,
      description:
        "since a person asked for it, where an earlier try under this Idempotency-Key brought no answer",
    }),
  ),
});

export function batchRoutes(api: Api, service: Service): void {
  readBatches(api, service);
  changeBatch(api, service);
  runClock(api, service);
}

function readBatches(api: Api, service: Service): void {
  const tags = ["Batches"];
  api.get(
    "/api/batches",
    {
      schema: {
        tags,
        summary: "The batches, newest first",
        querystring: Type.Object(
          {
            state: Type.Optional(
              words(
                ["open", "ended", "all"],
                "which batches; without it, those that have not ended",
              ),
            ),
            q: Type.Optional(
              Type.String({
                maxLength: 200,
                description: "a food, a name, a number, a date (2026-03) or a bag's label",
              }),
            ),
            from: Type.Optional(Type.String({ format: "date", description: "began on or after" })),
            to: Type.Optional(Type.String({ format: "date", description: "began on or before" })),
          },
          closed,
        ),
        response: { 200: Type.Array(BatchSummary) },
      },
    },
    ({ query }) =>
      service.batches(query.state ?? "open", {
        q: query.q ?? "",
        from: query.from ?? null,
        to: query.to ?? null,
      }),
  );
  api.get(
    "/api/batches/:batch",
    {
      schema: {
        tags,
        summary: "A batch with its trays, weighings, drying clock and verdicts",
        params: BatchPath,
        response: { 200: Batch },
      },
    },
    ({ params }) => service.batch(params.batch),
  );
  api.get(
    "/api/batches/:batch/curves",
    {
      schema: {
        tags,
        summary: "Each tray's drying curve: the weighings, the fit and its band",
        description: "Masses are net, in grams; the hours are those in the dryer, not on the wall.",
        params: BatchPath,
        response: { 200: Type.Array(Curve) },
      },
    },
    ({ params }) => service.curves(params.batch),
  );
  api.get(
    "/api/batches/:batch/history",
    {
      schema: {
        tags,
        summary: "All that was ever recorded of a batch, what was corrected or struck out included",
        params: BatchPath,
        response: { 200: History },
      },
    },
    ({ params }) => service.history(params.batch),
  );
  api.get(
    "/api/batches/:batch/export.json",
    {
      schema: {
        tags,
        summary: "All that is kept of a batch, in one file",
        description: "Units are in the names. With the heads of the record's chains as they stand.",
        params: BatchPath,
        response: { 200: BatchExport },
      },
    },
    ({ params }, reply) => {
      const whole = service.exportBatch(params.batch);
      const { number, practice } = whole.batch;
      const name = `${practice ? "practice-" : ""}batch-${number}.json`;
      reply.header("content-disposition", `attachment; filename="${name}"`);
      return whole;
    },
  );
  api.get(
    "/api/batches/:batch/weighings.csv",
    {
      schema: {
        tags,
        summary: "The weighings as a CSV file that `stillweight judge` reads",
        params: BatchPath,
        querystring: Type.Object(
          {
            decimals: Type.Optional(
              words(["point", "comma"], "comma: with semicolons between cells; without it, point"),
            ),
          },
          closed,
        ),
        produces: ["text/csv"],
        response: { 200: Type.String({ description: "the file" }) },
      },
    },
    ({ params, query }, reply) => {
      const text = service.weighingsCsv(params.batch, query.decimals ?? "point");
      const { number, practice } = service.batch(params.batch);
      const name = `${practice ? "practice-" : ""}batch-${number}-weighings.csv`;
      reply.header("content-type", "text/csv; charset=utf-8; header=present");
      reply.header("content-disposition", `attachment; filename="${name}"`);
      return text;
    },
  );
}

function changeBatch(api: Api, service: Service): void {
  const tags = ["Batches"];
  api.post(
    "/api/batches",
    {
      schema: {
        tags,
        summary: "Start a batch",
        description: "Trays can be named now or added until the batch ends.",
        body: NewBatch,
        response: { 201: Batch },
      },
    },
    ({ body }, reply) => {
      const batch = service.startBatch(body);
      reply.code(201).header("location", `/api/batches/${batch.id}`);
      return batch;
    },
  );
  api.post(
    "/api/batches/:batch/trays",
    {
      schema: {
        tags,
        summary: "Add a tray to a batch",
        params: BatchPath,
        body: NewTray,
        response: { 200: Batch },
      },
    },
    ({ params, body }) => service.addTray(params.batch, body),
  );
  api.patch(
    "/api/batches/:batch/trays/:tray",
    {
      schema: {
        tags,
        summary: "Change a tray's name, empty mass, food or water content",
        description: "Parts that are left out stay as they are; null takes a part away.",
        params: Type.Object({ batch: PathId, tray: PathId }),
        body: TrayEdit,
        response: { 200: Batch },
      },
    },
    ({ params, body }) => service.editTray(params.batch, params.tray, body),
  );
  api.post(
    "/api/trays/:tray/core",
    {
      schema: {
        tags,
        summary: "Say how the thickest piece was inside when broken open",
        description:
          "A cold or soft core holds the tray at `losing` until a later check, after more drying, finds it dry.",
        params: Type.Object({ tray: PathId }),
        body: CoreCheck,
        response: { 200: Batch },
      },
    },
    ({ params, body }) => service.checkCore(params.tray, body),
  );
  api.post(
    "/api/batches/:batch/end",
    {
      schema: {
        tags,
        summary: "End a batch",
        description: "Its weighings, curves and verdicts stay in the record.",
        params: BatchPath,
        body: NothingMore,
        response: { 200: Batch },
      },
    },
    ({ params }) => service.endBatch(params.batch),
  );
}

function runClock(api: Api, service: Service): void {
  const tags = ["Drying clock"];
  api.post(
    "/api/batches/:batch/clock",
    {
      schema: {
        tags,
        summary: "Say that the trays went into the dryer or came out of it",
        description:
          "Without `at` it is now, or when it was asked for first; without `trays` it is the whole batch.",
        headers: AskedAgain,
        params: BatchPath,
        body: ClockSet,
        response: { 200: Batch },
      },
    },
    ({ params, body, headers }) =>
      service.setClock(params.batch, body, headers["asked-seconds-ago"] ?? 0),
  );
  api.patch(
    "/api/batches/:batch/clock/:moment",
    {
      schema: {
        tags,
        summary: "Correct a moment of the drying clock, or strike it out",
        params: Type.Object({ batch: PathId, moment: PathId }),
        body: ClockEdit,
        response: { 200: Batch },
      },
    },
    ({ params, body }) => service.editMoment(params.batch, params.moment, body),
  );
  api.post(
    "/api/batches/:batch/interruptions",
    {
      schema: {
        tags,
        summary: "Note that the dryer did not work for a while",
        description: "A power cut, a stopped pump. Without `to` it is still going on.",
        params: BatchPath,
        body: NewInterruption,
        response: { 200: Batch },
      },
    },
    ({ params, body }) => service.noteInterruption(params.batch, body),
  );
  api.patch(
    "/api/batches/:batch/interruptions/:interruption",
    {
      schema: {
        tags,
        summary: "Say when an interruption ended; null: it still goes on",
        params: Type.Object({ batch: PathId, interruption: PathId }),
        body: InterruptionEnd,
        response: { 200: Batch },
      },
    },
    ({ params, body }) => service.endInterruption(params.batch, params.interruption, body),
  );
  api.post(
    "/api/gaps/:gap",
    {
      schema: {
        tags,
        summary: "Say whether the dryer ran while this program did not",
        description: "Until it is answered, nothing after the gap can prove that a tray is dry.",
        params: Type.Object({ gap: PathId }),
        body: GapAnswer,
        response: { 200: Batch },
      },
    },
    ({ params, body }) => service.answerGap(params.gap, body),
  );
}
