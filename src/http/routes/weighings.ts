import Type from "typebox";
import type { Service } from "../../service/service.ts";
import { Batch } from "../../wire/batch.ts";
import { TypedWeighing, WeighingEdit, WeighingSwap } from "../../wire/requests.ts";
import { type Api, PathId } from "../api.ts";

export function weighingRoutes(api: Api, service: Service): void {
  const tags = ["Weighings"];
  api.post(
    "/api/weighings",
    {
      schema: {
        tags,
        summary: "Keep a weighing read from a scale by eye",
        description:
          "`kind`: tare is the empty tray, fresh the loaded tray before drying, dry any later weighing. `value` is what the scale shows, tray included.",
        body: TypedWeighing,
        response: { 200: Batch },
      },
    },
    ({ body }) => service.typeWeighing(body),
  );
  api.patch(
    "/api/weighings/:weighing",
    {
      schema: {
        tags,
        summary: "Correct a weighing, or strike it out",
        description: "The record keeps what was there before, with the reason.",
        params: Type.Object({ weighing: PathId }),
        body: WeighingEdit,
        response: { 200: Batch },
      },
    },
    ({ params, body }) => service.editWeighing(params.weighing, body),
  );
  api.post(
    "/api/weighings/:weighing/swap",
    {
      schema: {
        tags,
        summary: "Put right two weighings that were taken for each other's trays",
        params: Type.Object({ weighing: PathId }),
        body: WeighingSwap,
        response: { 200: Batch },
      },
    },
    ({ params, body }) => service.swapWeighings(params.weighing, body),
  );
}
