/** What the page asks of the drying clock: which trays begin, and when a moment was that is put right. */
import { expect, test } from "vitest";
import { en } from "../../web/src/texts/en.ts";
import { show } from "./browser.ts";
import type { Scene } from "./scenes.ts";
import { opened, sceneOf, setStage, stub, withPage } from "./stage.ts";

setStage();
withPage();

const drying = sceneOf("batch-losing");

test("drying begins without the trays that stay empty, from the batch's page alone", async () => {
  await show(opened.page, stub, sceneOf("weigh-put-fresh"));
  await opened.page.getByText(en.weigh.stillWaiting(2)).waitFor();
  const start = opened.page.getByRole("button", { name: /^Start / });
  expect(await start.count()).toBe(0);
  await show(opened.page, stub, sceneOf("batch-half-loaded"));
  await start.filter({ hasText: "Start without tray 3 and tray 4" }).click();
  await expect.poll(() => stub.asked.length).toBe(1);
  expect(stub.asked[0]).toMatchObject({
    method: "POST",
    path: "batches/1/clock",
    body: { is: "in", trays: [1, 2] },
  });
});

test("a moment that is kept with a reason alone stays where it was, to the second", async () => {
  const [batch] = drying.world.bench.batches;
  const [moment, ...others] = batch!.moments;
  const at = moment!.at.replace(/:\d\d\.\d{3}Z$/, ":41.250Z");
  const moments = [{ ...moment!, at }, ...others];
  const withSeconds: Scene = {
    ...drying,
    world: {
      ...drying.world,
      bench: { ...drying.world.bench, batches: [{ ...batch!, moments }] },
      history: { ...drying.world.history, moments },
    },
  };
  await show(opened.page, stub, withSeconds);
  const texts = en.batch.clockLog;
  await opened.page.getByText(texts.open).click();
  await opened.page
    .getByRole("button", { name: /^Set right/ })
    .first()
    .click();
  await opened.page.getByLabel(texts.reason).fill("the door was opened later");
  await opened.page.getByRole("button", { name: texts.keep }).click();
  await expect.poll(() => stub.asked.length).toBe(1);
  expect(stub.asked[0]).toMatchObject({ method: "PATCH", body: { at } });
});

test("an interruption begins when its form was opened, however long the page has been open", async () => {
  const { world } = drying;
  const fast = { ...drying, world: { ...world, bench: { ...world.bench, timeFactor: 3600 } } };
  await show(opened.page, stub, fast);
  const texts = en.batch.interruptions;
  const fold = opened.page.getByText(texts.open);
  const from = opened.page.getByRole("textbox", { name: texts.from });
  await fold.click();
  const first = await from.inputValue();
  await fold.click();
  // An hour and a half by the service's clock.
  await opened.page.waitForTimeout(1500);
  await fold.click();
  const second = await from.inputValue();
  expect(Date.parse(second) - Date.parse(first)).toBeGreaterThanOrEqual(3_600_000);
  await opened.page.getByRole("textbox", { name: texts.reason }).fill("power cut");
  await opened.page.getByRole("button", { name: texts.note }).click();
  await expect.poll(() => stub.asked.length).toBe(1);
  const minute = new Date(second).toISOString().slice(0, "2026-03-14T21:28".length);
  const [{ path, body } = { path: "", body: {} }] = stub.asked;
  expect(path).toBe("batches/1/interruptions");
  expect(body).toMatchObject({ to: null, reason: "power cut" });
  expect(body).toHaveProperty("from", expect.stringContaining(minute));
});

test("a touch on its way to Start drying does not take the trays out when another page starts it meanwhile", async () => {
  const ready = sceneOf("weigh-start-drying");
  await show(opened.page, stub, ready);
  const start = opened.page.getByRole("button", { name: en.weigh.act.start });
  const box = (await start.boundingBox())!;
  await opened.page.waitForTimeout(900);
  const [batch] = ready.world.bench.batches;
  const clock = { ...batch!.clock, state: "in" as const, since: new Date().toISOString() };
  stub.bench({ batches: [{ ...batch!, phase: "drying", clock }] });
  const out = opened.page.getByRole("button", { name: en.weigh.act.out });
  await out.waitFor();
  await opened.page.mouse.click(box.x + box.width / 2, box.y + box.height / 2);
  expect(stub.asked).toEqual([]);
  await out.click();
  await expect.poll(() => stub.asked.length).toBe(1);
});
