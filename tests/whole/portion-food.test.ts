// The food of one of several portions, put right on the page while it dries: by the service, as the store keeps it.
import { expect, test } from "vitest";
import type { Batch } from "../../src/wire/batch.ts";
import { en } from "../../web/src/texts/en.ts";
import { atScale, onPage } from "./atscale.ts";

const at = atScale();
const on = onPage();

const portions = [
  { food: "Strawberries, raw", thicknessMm: 8 },
  { food: "Bananas, raw", targetGrams: 300, thicknessMm: 5 },
  { food: "own stew", waterPct: 75 },
];

const begin = (): Promise<Batch> =>
  at.service.post<Batch>("/api/batches", {
    dryer: "Cellar",
    trays: [{ name: "1", tareGrams: 400, portions }],
  });
const trayOf = async (batch: Batch) => (await at.service.batch(batch.id)).trays[0]!;

const form = () => on.page.locator("[data-editing]");
const field = (food: string, what: string) =>
  form()
    .getByRole("group", { name: food })
    .locator("input")
    .and(form().getByLabel(what, { exact: true }));
const keep = async (): Promise<void> => {
  await form().getByRole("button", { name: en.batch.editTrays.keep }).click();
  await form().getByText(en.batch.editTrays.kept).waitFor();
};

async function open(batch: Batch): Promise<void> {
  await on.page.goto("about:blank");
  await on.page.goto(`${at.service.url}/#/batch/${batch.id}`);
  await on.page.getByText(en.batch.editTrays.open).click();
  await form().getByRole("combobox").first().waitFor();
}

test("one portion becomes a food of the table, with its water; the others stay as they were", async () => {
  const batch = await begin();
  const before = await trayOf(batch);
  await open(batch);
  await field("Bananas, raw", en.plan.food).fill("apples, raw, with skin");
  await on.page.getByRole("option", { name: /^Apples, raw, with skin/ }).click();
  expect(await field("Bananas, raw", en.plan.thickness).inputValue()).toBe("");
  await keep();
  const after = await trayOf(batch);
  expect(after.portions[0]).toEqual(before.portions[0]);
  expect(after.portions[2]).toEqual(before.portions[2]);
  // USDA SR28, no. 09003, apples, raw, with skin: 85.56 g of water in 100 g.
  expect(after.portions[1]).toMatchObject({
    food: "Apples, raw, with skin",
    waterPct: expect.closeTo(85.56, 9) as number,
    foodSource: expect.stringContaining("09003") as string,
    thicknessMm: null,
    targetGrams: 300,
  });
  expect(after.food).toBe("Strawberries, raw + Apples, raw, with skin + own stew");
  // The form goes on from there, and the store has it after a start.
  await field("Apples, raw, with skin", en.plan.water).fill("84");
  await keep();
  await at.killAndStart();
  const kept = await trayOf(batch);
  expect(kept.portions[1]).toMatchObject({
    food: "Apples, raw, with skin",
    waterPct: 84,
    foodSource: "your own figure",
  });
  expect(kept.portions[0]).toEqual(before.portions[0]);
});

test("a food that no table knows takes the water that is typed with it, and none of the one before", async () => {
  const batch = await begin();
  await open(batch);
  await field("Strawberries, raw", en.plan.food).fill("own plums");
  await keep();
  expect((await trayOf(batch)).portions[0]).toMatchObject({ food: "own plums", waterPct: null });
  await field("own plums", en.plan.water).fill("x");
  await form().getByRole("button", { name: en.batch.editTrays.keep }).click();
  await form().getByText(en.weigh.typed.notANumber).waitFor();
  await field("own plums", en.plan.water).fill("86,5");
  await keep();
  expect((await trayOf(batch)).portions[0]).toMatchObject({ food: "own plums", waterPct: 86.5 });
});

test("what somebody else made of a portion meanwhile is not undone", async () => {
  const batch = await begin();
  await open(batch);
  const [one, two, three] = portions;
  await at.service.ask("PATCH", `/api/batches/${batch.id}/trays/${batch.trays[0]!.id}`, {
    portions: [{ ...one, food: "Raspberries, raw" }, two, three],
  });
  await field("own stew", en.plan.food).fill("own soup");
  await form().getByRole("button", { name: en.batch.editTrays.keep }).click();
  await form().getByRole("alert").waitFor();
  expect((await trayOf(batch)).portions.map(({ food }) => food)).toEqual([
    "Raspberries, raw",
    "Bananas, raw",
    "own stew",
  ]);
});
