import type { FastifyReply } from "fastify";
import Type from "typebox";
import type { Service } from "../../service/service.ts";
import {
  Bag,
  BagChoice,
  BagLine,
  BagsPreview,
  BagWeighed,
  BagWeighingEdit,
  FateSet,
  FateTakenBack,
  LabelText,
  LotLine,
  NewBags,
  StockLine,
  Unpacked,
} from "../../wire/bag.ts";
import { Bench } from "../../wire/bench.ts";
import {
  closed,
  type LabelField,
  labelFields,
  LabelLanguage,
  LabelStock,
  words,
} from "../../wire/words.ts";
import { type Api, BatchPath, PathId, ScalePath } from "../api.ts";

const BagPath = Type.Object({ bag: PathId });

export function bagRoutes(api: Api, service: Service): void {
  packBags(api, service);
  labels(api, service);
  weighBags(api, service);
  findBags(api, service);
}

function packBags(api: Api, service: Service): void {
  const tags = ["Packing"];
  api.get(
    "/api/batches/:batch/unpacked",
    {
      schema: {
        tags,
        summary: "What of each tray is not in bags yet, and the packages that were used before",
        params: BatchPath,
        response: { 200: Unpacked },
      },
    },
    ({ params }) => service.unpacked(params.batch),
  );
  api.post(
    "/api/batches/:batch/bags/preview",
    {
      schema: {
        tags,
        summary: "What dividing the dry food of trays into bags would give; nothing is kept",
        description:
          "With the size of oxygen absorber that the package needs, and the sum behind it.",
        params: BatchPath,
        body: NewBags,
        response: { 200: BagsPreview },
      },
    },
    ({ params, body }) => service.previewBags(params.batch, body),
  );
  api.post(
    "/api/batches/:batch/bags",
    {
      schema: {
        tags,
        summary: "Plan bags of a batch",
        description:
          "A tray that is not stable with its thickest piece broken and found dry needs a reason, `although`, which stays on the record.",
        params: BatchPath,
        body: NewBags,
        response: { 200: Type.Array(Bag) },
      },
    },
    ({ params, body }) => service.planBags(params.batch, body),
  );
  api.post(
    "/api/bags/:bag/gain",
    {
      schema: {
        tags,
        summary: "Seal a plan's bags all the same, though their food took up moisture on the bench",
        description: "The answer stays on the record of each of them.",
        params: BagPath,
        body: Type.Object({ seal: Type.Literal(true) }, closed),
        response: { 200: Bag },
      },
    },
    ({ params }) => service.acceptGain(params.bag),
  );
}

const allFields = labelFields.join(",");
const fieldsPattern = `^((${labelFields.join("|")})(,|$))*$`;
const Fields = Type.Optional(
  Type.String({
    pattern: fieldsPattern,
    maxLength: 200,
    description: `what stands on it beside number, product, net and cautions, with commas: ${allFields}; without it all of them`,
  }),
);
const BagNumbers = Type.String({
  pattern: "^\\d{1,15}(,\\d{1,15}){0,199}$",
  description: "the bags' numbers, with commas",
});
const Pdf = Type.Unsafe<Uint8Array>({
  type: "string",
  format: "binary",
  description: "the file",
});

const bagsIn = (text: string): number[] => text.split(",").map(Number);
const fieldsIn = (text: string | undefined): LabelField[] =>
  (text ?? allFields).split(",").filter((one): one is LabelField => isField(one));
const isField = (text: string): boolean => (labelFields as readonly string[]).includes(text);

function labels(api: Api, service: Service): void {
  const tags = ["Packing"];
  const send = async (
    reply: FastifyReply,
    asked: Parameters<Service["bagLabels"]>[0],
  ): Promise<void> => {
    const { pdf, name } = await service.bagLabels(asked);
    // In the window of the browser, so that it can be printed from there.
    await reply
      .header("content-type", "application/pdf")
      .header("content-disposition", `inline; filename="${name}"`)
      .send(Buffer.from(pdf));
  };
  api.get(
    "/api/bags/:bag/label.pdf",
    {
      schema: {
        tags,
        summary: "The bag's label as a PDF of one page of the label's size",
        description: "Not a legal food label.",
        params: BagPath,
        querystring: Type.Object(
          {
            stock: Type.Optional(LabelStock),
            fields: Fields,
            language: Type.Optional(LabelLanguage),
          },
          closed,
        ),
        produces: ["application/pdf"],
        response: { 200: Pdf },
      },
    },
    ({ params, query }, reply) =>
      send(reply, {
        bags: [params.bag],
        stock: query.stock ?? "62x29",
        skip: 0,
        fields: fieldsIn(query.fields),
        language: query.language ?? "en",
      }),
  );
  api.get(
    "/api/labels.pdf",
    {
      schema: {
        tags,
        summary: "Labels of several bags as one PDF",
        description: "A page for each, or sheets of 24. Not legal food labels.",
        querystring: Type.Object(
          {
            bags: BagNumbers,
            stock: Type.Optional(LabelStock),
            fields: Fields,
            language: Type.Optional(LabelLanguage),
            skip: Type.Optional(
              Type.Integer({
                minimum: 0,
                maximum: 23,
                description: "labels that were already taken off the first sheet",
              }),
            ),
          },
          closed,
        ),
        produces: ["application/pdf"],
        response: { 200: Pdf },
      },
    },
    ({ query }, reply) =>
      send(reply, {
        bags: bagsIn(query.bags),
        stock: query.stock ?? "70x37-sheet",
        skip: query.skip ?? 0,
        fields: fieldsIn(query.fields),
        language: query.language ?? "en",
      }),
  );
  api.get(
    "/api/labels",
    {
      schema: {
        tags,
        summary: "What the labels of several bags say, to print them from a page",
        querystring: Type.Object(
          { bags: BagNumbers, fields: Fields, language: Type.Optional(LabelLanguage) },
          closed,
        ),
        response: { 200: Type.Array(LabelText) },
      },
    },
    ({ query }) =>
      service.labelTexts(bagsIn(query.bags), fieldsIn(query.fields), query.language ?? "en"),
  );
  api.get(
    "/api/bags/:bag/code.svg",
    {
      schema: {
        tags,
        summary: "The code on the bag's label as a picture",
        params: BagPath,
        produces: ["image/svg+xml"],
        response: { 200: Type.String() },
      },
    },
    async ({ params }, reply) => {
      await reply.header("content-type", "image/svg+xml").send(service.bagCode(params.bag));
    },
  );
}

function weighBags(api: Api, service: Service): void {
  const tags = ["Packing"];
  api.post(
    "/api/scales/:scale/bag",
    {
      schema: {
        tags,
        summary: "Choose the bag that comes onto a scale, by its number or by what its label says",
        description:
          "A load that lies there already and was not taken is tried for it at once. Choosing a tray, or null, gives the scale back to trays.",
        params: ScalePath,
        body: BagChoice,
        response: { 200: Bench },
      },
    },
    ({ params, body }) => service.chooseBag(params.scale, body),
  );
  api.post(
    "/api/bags/:bag/weighings",
    {
      schema: {
        tags,
        summary: "Keep a weighing of a bag: the load on a scale as it is, or a mass read by eye",
        description:
          "`value` is what the scale shows, the bag itself included. A bag is sealed after a piece of its tray was found cold or soft only with a reason, `although`.",
        params: BagPath,
        body: BagWeighed,
        response: { 200: Bag },
      },
    },
    ({ params, body }) => service.weighBag(params.bag, body),
  );
  api.patch(
    "/api/bags/:bag/weighings/:weighing",
    {
      schema: {
        tags,
        summary: "Correct a weighing of a bag, or strike it out",
        description: "The record keeps what was there before, with the reason.",
        params: Type.Object({ bag: PathId, weighing: PathId }),
        body: BagWeighingEdit,
        response: { 200: Bag },
      },
    },
    ({ params, body }) => service.editBagWeighing(params.bag, params.weighing, body),
  );
}

function findBags(api: Api, service: Service): void {
  const tags = ["Shelf"];
  api.get(
    "/api/bags",
    {
      schema: {
        tags,
        summary: "Bags, newest first",
        querystring: Type.Object(
          {
            state: Type.Optional(
              words(
                [
                  "in-store",
                  "all",
                  "planned",
                  "filled",
                  "sealed",
                  "opened",
                  "used",
                  "given-away",
                  "thrown-away",
                  "re-dry",
                  "to-dry",
                  "cancelled",
                ],
                "which bags; without it, those that are sealed or opened. to-dry: re-dry, and on no tray yet",
              ),
            ),
            q: Type.Optional(
              Type.String({ maxLength: 200, description: "part of number, product or supplier" }),
            ),
            batch: Type.Optional(PathId),
          },
          closed,
        ),
        response: { 200: Type.Array(BagLine) },
      },
    },
    ({ query }) =>
      service.bags({
        state: query.state ?? "in-store",
        q: query.q ?? "",
        batch: query.batch ?? null,
      }),
  );
  api.get(
    "/api/stock",
    {
      schema: {
        tags,
        summary: "What is in store by food, oldest first",
        response: { 200: Type.Array(StockLine) },
      },
    },
    () => service.stock(),
  );
  api.get(
    "/api/lots",
    {
      schema: {
        tags,
        summary: "Which lot of packaging gains more often than others, the worst first",
        description: "With exact intervals, for a few bags prove little.",
        response: { 200: Type.Array(LotLine) },
      },
    },
    () => service.lots(),
  );
  api.get(
    "/api/bags/:bag",
    {
      schema: {
        tags,
        summary: "A bag with its weighings, and what they say of moisture taken up",
        description: "A weight does not show oxygen.",
        params: BagPath,
        querystring: Type.Object(
          {
            limitPct: Type.Optional(
              Type.Integer({
                minimum: 1,
                maximum: 30,
                description: "moisture, wet basis, to which months are counted; 10",
              }),
            ),
          },
          closed,
        ),
        response: { 200: Bag },
      },
    },
    ({ params, query }) => service.bag(params.bag, query.limitPct ?? null),
  );
  api.patch(
    "/api/bags/:bag",
    {
      schema: {
        tags,
        summary: "Say what became of a bag",
        description:
          "An opened bag may be sealed and weighed again, which starts a new baseline. re-dry: its food goes into a new batch.",
        params: BagPath,
        body: FateSet,
        response: { 200: Bag },
      },
    },
    ({ params, body }) => service.setFate(params.bag, body),
  );
  api.post(
    "/api/bags/:bag/back",
    {
      schema: {
        tags,
        summary: "Take back what was said to have become of a bag",
        description:
          "It is again what it was before; the record keeps both. Not where its food lies on a tray of another batch already.",
        params: BagPath,
        body: FateTakenBack,
        response: { 200: Bag },
      },
    },
    ({ params, body }) => service.takeFateBack(params.bag, body),
  );
}
