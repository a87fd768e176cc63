/** What lies on a tray with several foods, put right: what the page asks the service for. */
import { expect, test } from "vitest";
import { en } from "../../web/src/texts/en.ts";
import { show } from "./browser.ts";
import { flawsOf } from "./looks.ts";
import type { Scene } from "./scenes.ts";
import { opened, sceneOf, setStage, stub, withPage } from "./stage.ts";

setStage();
withPage();

/** The second food of tray 2 was dried before and came out of a bag. */
const scene = sceneOf("batch-portions");
const [batch] = scene.world.bench.batches;
const [, second] = batch!.trays;
const [fresh, before] = second!.portions;
const ofBag = { ...before!, fromBag: 12, thicknessMm: 5 };
const tray = { ...second!, portions: [fresh!, ofBag] };
const withBag: Scene = {
  ...scene,
  world: {
    ...scene.world,
    bench: { ...scene.world.bench, batches: [{ ...batch!, trays: [tray] }] },
  },
};

async function open(): Promise<void> {
  await show(opened.page, stub, withBag);
  await opened.page.getByText(en.batch.editTrays.open).click();
  await opened.page.getByRole("combobox").waitFor();
}
const keep = () => opened.page.getByRole("button", { name: en.batch.editTrays.keep }).click();
const group = (food: string) => opened.page.getByRole("group", { name: food });
const said = ({ food, waterPct, targetGrams, fromBag }: NonNullable<typeof fresh>) => ({
  food,
  waterPct,
  targetGrams,
  bag: fromBag,
});

test("food of a bag stays what it was; another food is asked for with its own water, with what was seen", async () => {
  await open();
  expect(await opened.page.getByRole("combobox").count()).toBe(1);
  expect(await group("Bananas, raw").getByText("Bananas, raw").count()).toBeGreaterThan(0);
  await opened.page.getByRole("combobox").fill("own plums");
  await group("Bananas, raw").getByLabel(en.plan.thickness).fill("7");
  await keep();
  await expect.poll(() => stub.asked.length).toBe(1);
  const { targetGrams } = fresh!;
  expect(stub.asked[0]).toEqual({
    method: "PATCH",
    path: `batches/${batch!.id}/trays/${tray.id}`,
    body: {
      portions: [
        { food: "own plums", thicknessMm: null, targetGrams, bag: null },
        { ...said(ofBag), thicknessMm: 7 },
      ],
      seen: { portions: [{ ...said(fresh!) }, { ...said(ofBag), thicknessMm: 5 }] },
    },
  });
});

test("what nobody touched is not asked for", async () => {
  await open();
  await opened.page.getByLabel(en.batch.editTrays.name, { exact: true }).fill("two");
  await keep();
  await expect.poll(() => stub.asked.length).toBe(1);
  expect(stub.asked[0]?.body).toEqual({ name: "two", seen: { name: "2" } });
});

test("there is no barrier in it, nothing cut off and nothing too small", async () => {
  await open();
  expect(await flawsOf(opened.page)).toEqual([]);
});
