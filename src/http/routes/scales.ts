import type { Service } from "../../service/service.ts";
import { Bench } from "../../wire/bench.ts";
import {
  AskingSaid,
  FormChoice,
  KeyPress,
  LoadAnswer,
  NewScale,
  PageBytes,
  PageWrites,
  Ports,
  PracticeAct,
  TareKeySaid,
  TaskChoice,
} from "../../wire/requests.ts";
import { type Api, ScalePath } from "../api.ts";

export function scaleRoutes(api: Api, service: Service): void {
  setUpScales(api, service);
  pressKeys(api, service);
  readByPages(api, service);
  weighOnScales(api, service);
}

function setUpScales(api: Api, service: Service): void {
  const tags = ["Scales"];
  api.get(
    "/api/ports",
    {
      schema: {
        tags,
        summary: "The ports of this computer to which a scale may be attached",
        description: "`why` says what keeps the list from being made, and what to do.",
        response: { 200: Ports },
      },
    },
    () => service.ports(),
  );
  api.post(
    "/api/scales",
    {
      schema: {
        tags,
        summary: "Set up a scale by its address",
        description:
          "serial:///dev/serial/by-id/NAME?baud=9600, serial:COM3, tcp://host:port, page:NAME for one that a page reads, or a path such as /dev/ttyUSB0.",
        body: NewScale,
        response: { 200: Bench },
      },
    },
    ({ body }) => service.addScale(body),
  );
  api.delete(
    "/api/scales/:scale",
    {
      schema: {
        tags,
        summary: "Take a scale away; its weighings stay",
        params: ScalePath,
        response: { 200: Bench },
      },
    },
    ({ params }) => service.removeScale(params.scale),
  );
  api.post(
    "/api/scales/:scale/form",
    {
      schema: {
        tags,
        summary: "Say how the lines of a scale are to be read, and in which unit",
        description: "Only needed when the lines fit several forms: the scale's `candidates`.",
        params: ScalePath,
        body: FormChoice,
        response: { 200: Bench },
      },
    },
    ({ params, body }) => service.chooseForm(params.scale, body),
  );
  api.post(
    "/api/scales/:scale/asking",
    {
      schema: {
        tags,
        summary: "Say whether a scale that says nothing by itself may be asked, and with what",
        description:
          "A letter makes some scales print or tare, so that nothing is sent without this. One question at a time: again `everyMs` after its answer, or after a second without one. Kept with the scale's address.",
        params: ScalePath,
        body: AskingSaid,
        response: { 200: Bench },
      },
    },
    ({ params, body }) => service.sayAsking(params.scale, body),
  );
}

function pressKeys(api: Api, service: Service): void {
  api.post(
    "/api/scales/:scale/send",
    {
      schema: {
        tags: ["Scales"],
        summary: "Press a key of the scale from afar: tare, zero or unit",
        description:
          "Only those of the scale's `keys`. Sent at once or refused; nothing is kept to be sent later.",
        params: ScalePath,
        body: KeyPress,
        response: { 200: Bench },
      },
    },
    ({ params, body }) => service.pressKey(params.scale, body),
  );
}

function readByPages(api: Api, service: Service): void {
  api.post(
    "/api/scales/:scale/bytes",
    {
      schema: {
        tags: ["Scales"],
        summary: "Hand over the bytes of a scale that is plugged into the device of a page",
        description:
          "Only for scales whose address is page:NAME, by one sender at a time, at least once in 2 s. They are read as those of any other scale. The answer has what is to be written to it.",
        params: ScalePath,
        body: PageBytes,
        response: { 200: PageWrites },
      },
    },
    ({ params, body }) => service.takeBytes(params.scale, body),
  );
}

function weighOnScales(api: Api, service: Service): void {
  const tags = ["Weighings"];
  api.post(
    "/api/scales/:scale/task",
    {
      schema: {
        tags,
        summary: "Choose the tray that is weighed next on a scale",
        description: "null goes back to the order that the program proposes.",
        params: ScalePath,
        body: TaskChoice,
        response: { 200: Bench },
      },
    },
    ({ params, body }) => service.chooseTask(params.scale, body),
  );
  api.post(
    "/api/scales/:scale/answer",
    {
      schema: {
        tags,
        summary: "Answer which tray a load on the scale is",
        description: "`tray` null: it is none of them, and nothing is kept.",
        params: ScalePath,
        body: LoadAnswer,
        response: { 200: Bench },
      },
    },
    ({ params, body }) => service.answerLoad(params.scale, body),
  );
  api.post(
    "/api/scales/:scale/tared",
    {
      schema: {
        tags,
        summary: "Say whether the scale's own tare key was pressed while a tray was being loaded",
        description:
          "Net masses are gross less the recorded tare; what the key hides is added back. It is noticed by itself where the readings show it.",
        params: ScalePath,
        body: TareKeySaid,
        response: { 200: Bench },
      },
    },
    ({ params, body }) => service.sayTared(params.scale, body),
  );
  api.post(
    "/api/practice",
    {
      schema: {
        tags: ["Practice"],
        summary: "Let the practice hand work by itself, or put a tray on the practice scale",
        description: "Works only in practice; nothing of it is ever taken for food.",
        body: PracticeAct,
        response: { 200: Bench },
      },
    },
    ({ body }) => service.practice(body),
  );
}
