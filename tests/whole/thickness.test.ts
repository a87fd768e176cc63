// How thick the pieces of a tray are, put right while it dries: by the service and on its page, as the store keeps it.
import { expect, test } from "vitest";
import type { Batch } from "../../src/wire/batch.ts";
import { en } from "../../web/src/texts/en.ts";
import { atScale, onPage } from "./atscale.ts";

const at = atScale();
const on = onPage();

const begin = (tray: object): Promise<Batch> =>
  at.service.post<Batch>("/api/batches", { dryer: "Cellar", trays: [{ name: "1", ...tray }] });

async function edit(batch: Batch, change: object): Promise<Batch["trays"][number]> {
  const path = `/api/batches/${batch.id}/trays/${batch.trays[0]?.id}`;
  const { status, body } = await at.service.ask("PATCH", path, change);
  expect([status, body]).toMatchObject([200, {}]);
  return (await at.service.batch(batch.id)).trays[0]!;
}

test("another food does not take over the thickness of the one before, unless one is stated with it", async () => {
  const batch = await begin({ food: "Strawberries, raw", thicknessMm: 8 });
  expect(await edit(batch, { food: "Bananas, raw" })).toMatchObject({
    food: "Bananas, raw",
    thicknessMm: null,
  });
  expect((await edit(batch, { food: "09316", thicknessMm: 6 })).thicknessMm).toBe(6);
  // The same food said again, its own water or another name of the tray change no piece.
  expect((await edit(batch, { food: "strawberries, RAW" })).thicknessMm).toBe(6);
  expect((await edit(batch, { waterPct: 88 })).thicknessMm).toBe(6);
  expect((await edit(batch, { name: "one" })).thicknessMm).toBe(6);
  expect((await edit(batch, { food: null })).thicknessMm).toBeNull();
  // What was stated before there was a food is of the food that came then.
  expect((await edit(batch, { thicknessMm: 5 })).thicknessMm).toBe(5);
  expect((await edit(batch, { food: "Bananas, raw" })).thicknessMm).toBe(5);
  await at.killAndStart();
  expect((await at.service.batch(batch.id)).trays[0]?.thicknessMm).toBe(5);
});

test("the pieces of each portion are put right on the page, and its food stays as it was planned", async () => {
  const portions = [
    { food: "Strawberries, raw", thicknessMm: 8 },
    { food: "Bananas, raw", targetGrams: 300 },
    { food: "own stew", waterPct: 75 },
  ];
  const batch = await begin({ portions });
  const before = batch.trays[0]!;
  expect(before.thicknessMm).toBeNull();
  await on.page.goto(`${at.service.url}/#/batch/${batch.id}`);
  await on.page.getByText(en.batch.editTrays.open).click();
  const form = on.page.locator("[data-editing]");
  const field = (food: string) =>
    form.getByRole("group", { name: food }).getByLabel(en.plan.thickness);
  expect(await field("Strawberries, raw").inputValue()).toBe("8");
  await field("Bananas, raw").fill("201");
  await form.getByRole("button", { name: en.batch.editTrays.keep }).click();
  await form.getByText(en.plan.badThickness(en.trayNumbered("1"))).waitFor();
  expect(await field("Bananas, raw").getAttribute("aria-invalid")).toBe("true");
  await field("Bananas, raw").fill("9,5");
  await field("own stew").fill("12");
  await form.getByRole("button", { name: en.batch.editTrays.keep }).click();
  await form.getByText(en.batch.editTrays.kept).waitFor();
  const after = (await at.service.batch(batch.id)).trays[0]!;
  expect(after.portions.map(({ thicknessMm }) => thicknessMm)).toEqual([8, 9.5, 12]);
  expect(after.thicknessMm).toBe(12);
  const said = (tray: typeof after) =>
    tray.portions.map((portion) => ({ ...portion, thicknessMm: null }));
  expect(said(after)).toEqual(said(before));
  // A second correction starts from the first.
  await field("own stew").fill("");
  await form.getByRole("button", { name: en.batch.editTrays.keep }).click();
  await expect
    .poll(async () => (await at.service.batch(batch.id)).trays[0]?.portions[2]?.thicknessMm)
    .toBeNull();
  // What somebody else put right meanwhile is not undone.
  const [one, two, three] = portions;
  await edit(batch, { portions: [{ ...one, thicknessMm: 4 }, two!, three!] });
  await field("own stew").fill("7");
  await form.getByRole("button", { name: en.batch.editTrays.keep }).click();
  await form.getByRole("alert").waitFor();
  expect(
    (await at.service.batch(batch.id)).trays[0]?.portions.map(({ thicknessMm }) => thicknessMm),
  ).toEqual([4, null, null]);
});

test("on the page another food comes with the thickness that was stated of it last, or with none", async () => {
  const batch = await begin({ food: "own plums", waterPct: 85, thicknessMm: 7 });
  await on.page.goto(`${at.service.url}/#/batch/${batch.id}`);
  await on.page.getByText(en.batch.editTrays.open).click();
  const form = on.page.locator("[data-editing]");
  const thickness = form.getByLabel(en.plan.thickness);
  await form.getByRole("combobox").fill("own pears");
  expect(await thickness.inputValue()).toBe("");
  await form.getByRole("combobox").fill("own plums");
  expect(await thickness.inputValue()).toBe("7");
  await form.getByRole("combobox").fill("own pears");
  await form.getByRole("button", { name: en.batch.editTrays.keep }).click();
  await form.getByText(en.batch.editTrays.kept).waitFor();
  expect((await at.service.batch(batch.id)).trays[0]).toMatchObject({
    food: "own pears",
    thicknessMm: null,
  });
  await form.getByRole("combobox").fill("strawberries, raw");
  await on.page.getByRole("option", { name: /Strawberries, raw/ }).click();
  expect(await thickness.inputValue()).toBe("4");
});
