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
  NewBags,
  StockLine,
} from "../../wire/bag.ts";
import { Bench } from "../../wire/bench.ts";
import { closed, LabelStock, words } from "../../wire/words.ts";
import { type Api, BatchPath, PathId, ScalePath } from "../api.ts";

const BagPath = Type.Object({ bag: PathId });

export function bagRoutes(api: Api, service: Service): void {
  packBags(api, service);
  weighBags(api, service);
  findBags(api, service);
}

function packBags(api: Api, service: Service): void {
  const tags = ["Packing"];
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
  api.get(
    "/api/bags/:bag/label.pdf",
    {
      schema: {
        tags,
        summary: "The bag's label as a PDF of one page of the label's size",
        description: "Not a legal food label.",
        params: BagPath,
        querystring: Type.Object({ stock: Type.Optional(LabelStock) }, closed),
        produces: ["application/pdf"],
        response: {
          200: Type.Unsafe<Uint8Array>({
            type: "string",
            format: "binary",
            description: "the file",
          }),
        },
      },
    },
    async ({ params, query }, reply) => {
      const { pdf, name } = await service.bagLabel(params.bag, query.stock ?? "62x29");
      // In the window of the browser, so that it can be printed from there.
      await reply
        .header("content-type", "application/pdf")
        .header("content-disposition", `inline; filename="${name}"`)
        .send(Buffer.from(pdf));
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
        description: "`value` is what the scale shows, the bag itself included.",
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
                  "cancelled",
                ],
                "which bags; without it, those that are sealed or opened",
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
}
