import Type from "typebox";
import type { Service } from "../../service/service.ts";
import { Bench } from "../../wire/bench.ts";
import {
  CheckChoice,
  CheckWeightSet,
  CompareChoice,
  DishAsked,
  DishPreview,
  DryerSet,
  Kitchen,
  LoadLook,
  OwnFoodSet,
} from "../../wire/kitchen.ts";
import { NewBatch } from "../../wire/requests.ts";
import { Yields } from "../../wire/yield.ts";
import { type Api, BatchPath, PathId, ScalePath } from "../api.ts";

export function kitchenRoutes(api: Api, service: Service): void {
  const tags = ["Kitchen"];
  api.get(
    "/api/kitchen",
    {
      schema: {
        tags,
        summary: "Dryers, your own foods and recipes, check weights and the newest checks",
        response: { 200: Kitchen },
      },
    },
    () => service.kitchen(),
  );
  api.post(
    "/api/kitchen/dryers",
    {
      schema: {
        tags,
        summary: "Say what a dryer holds, takes and costs",
        description: "By its name. Parts that are left out stay; null takes a part away.",
        body: DryerSet,
        response: { 200: Kitchen },
      },
    },
    ({ body }) => service.setDryer(body),
  );
  foodRoutes(api, service);
  checkRoutes(api, service);
  api.post(
    "/api/batches/look",
    {
      schema: {
        tags: ["Batches"],
        summary: "What is worth saying of a planned load, with nothing kept",
        body: NewBatch,
        response: { 200: LoadLook },
      },
    },
    ({ body }) => service.lookAtPlan(body),
  );
  api.get(
    "/api/batches/:batch/load",
    {
      schema: {
        tags: ["Batches"],
        summary:
          "What is worth saying of a batch's load: water against what the dryer holds, cautions",
        params: BatchPath,
        response: { 200: LoadLook },
      },
    },
    ({ params }) => service.lookAtBatch(params.batch),
  );
  api.get(
    "/api/batches/:batch/yields",
    {
      schema: {
        tags: ["Batches"],
        summary: "What each portion, each tray and the batch gave",
        description:
          "`batch` is null until every tray was weighed before and after drying. Energy is the dryer's mean power times the hours, shared by the water removed.",
        params: BatchPath,
        response: { 200: Yields },
      },
    },
    ({ params }) => service.yields(params.batch),
  );
}

function foodRoutes(api: Api, service: Service): void {
  const tags = ["Foods"];
  const FoodPath = Type.Object({ food: PathId });
  api.post(
    "/api/kitchen/foods",
    {
      schema: {
        tags,
        summary: "Keep a food of your own, by its water or by its recipe",
        body: OwnFoodSet,
        response: { 200: Kitchen },
      },
    },
    ({ body }) => service.setOwnFood(null, body),
  );
  api.patch(
    "/api/kitchen/foods/:food",
    {
      schema: {
        tags,
        summary:
          "Change or retire a food of your own; batches keep the figures that they began with",
        params: FoodPath,
        body: OwnFoodSet,
        response: { 200: Kitchen },
      },
    },
    ({ params, body }) => service.setOwnFood(params.food, body),
  );
  api.post(
    "/api/kitchen/dish",
    {
      schema: {
        tags,
        summary: "Water and solids of a dish from its ingredients, with nothing kept",
        body: DishAsked,
        response: { 200: DishPreview },
      },
    },
    ({ body }) => service.dish(body),
  );
}

function checkRoutes(api: Api, service: Service): void {
  const tags = ["Scale check"];
  const WeightPath = Type.Object({ weight: PathId });
  api.post(
    "/api/kitchen/weights",
    {
      schema: {
        tags,
        summary: "Name a check weight, its class or tolerance, and how often it is put on",
        body: CheckWeightSet,
        response: { 200: Kitchen },
      },
    },
    ({ body }) => service.setCheckWeight(null, body),
  );
  api.patch(
    "/api/kitchen/weights/:weight",
    {
      schema: {
        tags,
        summary: "Change or retire a check weight",
        params: WeightPath,
        body: CheckWeightSet,
        response: { 200: Kitchen },
      },
    },
    ({ params, body }) => service.setCheckWeight(params.weight, body),
  );
  api.post(
    "/api/scales/:scale/check",
    {
      schema: {
        tags,
        summary: "The next load on a scale is a check weight",
        description: "null: no, it is for weighing again.",
        params: ScalePath,
        body: CheckChoice,
        response: { 200: Bench },
      },
    },
    ({ params, body }) => service.chooseCheck(params.scale, body),
  );
  compareRoutes(api, service);
}

function compareRoutes(api: Api, service: Service): void {
  const tags = ["Scale check"];
  api.post(
    "/api/scales/:scale/compare",
    {
      schema: {
        tags,
        summary: "Compare two scales: the next load goes on one of them, then on the other",
        description:
          "Any load of at least 50 divisions, on an empty pan near zero, within 15 minutes. What one shows more than the other is kept and counted where a tray or a bag was weighed on both: GET /api/kitchen, `offsets`. null: no longer.",
        params: ScalePath,
        body: CompareChoice,
        response: { 200: Bench },
      },
    },
    ({ params, body }) => service.compareScales(params.scale, body),
  );
  api.delete(
    "/api/kitchen/comparisons/:comparison",
    {
      schema: {
        tags,
        summary: "Take a comparison of two scales back; it stays on the record and counts no more",
        params: Type.Object({ comparison: PathId }),
        response: { 200: Kitchen },
      },
    },
    ({ params }) => service.takeBackComparison(params.comparison),
  );
}
