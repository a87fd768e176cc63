import Type from "typebox";
import type { Measure, Service } from "../../service/service.ts";
import { Bench, Settings } from "../../wire/bench.ts";
import { Health } from "../../wire/health.ts";
import {
  AlertTrial,
  AlertTried,
  FoodFound,
  LessonEdit,
  LessonShown,
  SettingsEdit,
} from "../../wire/requests.ts";
import { closed } from "../../wire/words.ts";
import { type Api, NothingMore, PathId } from "../api.ts";
import { metricsText, metricsType } from "../metrics.ts";

export function benchRoutes(api: Api, service: Service, ownMeasures: () => Measure[]): void {
  watchService(api, service, ownMeasures);
  alertRoutes(api, service);
  api.get(
    "/api/foods",
    {
      schema: {
        tags: ["Foods"],
        summary: "Foods whose name or number fits what was typed, with their water content",
        querystring: Type.Object(
          {
            q: Type.Optional(Type.String({ maxLength: 200, description: "what was typed" })),
            most: Type.Optional(
              Type.Integer({ minimum: 1, maximum: 100, description: "how many at most; 10" }),
            ),
          },
          closed,
        ),
        response: { 200: Type.Array(FoodFound) },
      },
    },
    ({ query }) => service.foods(query.q ?? "", query.most ?? 10),
  );
  lessonRoutes(api, service);
}

function lessonRoutes(api: Api, service: Service): void {
  const tags = ["Foods"];
  api.get(
    "/api/lessons",
    {
      schema: {
        tags,
        summary: "What ended batches found of their foods, oldest first",
        description:
          "A batch teaches when every tray ended stable, every thickest piece was found dry and nothing contradicts.",
        response: { 200: Type.Array(LessonShown) },
      },
    },
    () => service.lessons(),
  );
  api.patch(
    "/api/lessons/:lesson",
    {
      schema: {
        tags,
        summary: "Let a lesson count for the next lot of its food, or not",
        params: Type.Object({ lesson: PathId }),
        body: LessonEdit,
        response: { 200: Type.Array(LessonShown) },
      },
    },
    ({ params, body }) => service.editLesson(params.lesson, body),
  );
}

function watchService(api: Api, service: Service, ownMeasures: () => Measure[]): void {
  const tags = ["Service"];
  api.get(
    "/api/health",
    {
      schema: {
        tags,
        summary: "Whether a weighing would be kept now",
        description: "A missing scale shows in `scales` only.",
        response: {
          200: Health,
          503: Type.Object(Health.properties, { description: "Nothing can be kept" }),
        },
      },
    },
    (_request, reply) => {
      const health = service.health();
      reply.code(health.status === "ok" ? 200 : 503);
      return health;
    },
  );
  api.get(
    "/metrics",
    {
      schema: {
        tags,
        summary: "Counters and gauges for Prometheus",
        produces: ["text/plain"],
        response: { 200: Type.String({ description: "exposition format 0.0.4" }) },
      },
    },
    (_request, reply) => {
      reply.header("content-type", metricsType);
      return metricsText([...service.measures(), ...ownMeasures()]);
    },
  );
  api.get(
    "/api/bench",
    {
      schema: {
        tags,
        summary: "The present: scales, what is to be weighed, open batches and alerts",
        description: "The websocket /api/live sends the same, and every change of it.",
        response: { 200: Bench },
      },
    },
    () => service.bench(),
  );
}

function alertRoutes(api: Api, service: Service): void {
  const tags = ["Alerts and settings"];
  api.get(
    "/api/settings",
    { schema: { tags, summary: "The settings", response: { 200: Settings } } },
    () => service.bench().settings,
  );
  api.patch(
    "/api/settings",
    {
      schema: {
        tags,
        summary: "Change settings; those that are left out stay",
        body: SettingsEdit,
        response: { 200: Bench },
      },
    },
    ({ body }) => service.editSettings(body),
  );
  api.post(
    "/api/alerts/:alert/acknowledge",
    {
      schema: {
        tags,
        summary: "Say that an alert was seen",
        params: Type.Object({ alert: PathId }),
        body: NothingMore,
        response: { 200: Bench },
      },
    },
    ({ params }) => service.acknowledge(params.alert),
  );
  api.post(
    "/api/alerts/try",
    {
      schema: {
        tags,
        summary: "Send a trial alert",
        body: AlertTrial,
        response: { 200: AlertTried },
      },
    },
    async ({ body }) => {
      const why = await service.tryAlert(body.channel ?? "webhook");
      return { sent: why === null, why };
    },
  );
}
