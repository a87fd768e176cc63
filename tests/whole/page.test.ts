// A batch as a person does it: with a scale on a serial line and a page in Chromium. Words are looked up in the
// page's own catalogue, so that a reworded page is still found.
import { expect, test } from "vitest";
import { enKitchen } from "../../web/src/texts/en-kitchen.ts";
import { en } from "../../web/src/texts/en.ts";
import { atScale, onPage } from "./atscale.ts";
import { trueNet, type Load } from "./load.ts";
import { eventually } from "./service.ts";

const trays: readonly Load[] = [
  { name: "1", tare: 402.4, fresh: 611.8, waterPct: 72 },
  { name: "2", tare: 431.0, fresh: 587.5, waterPct: 74 },
];

const at = atScale({ timeFactor: 36_000 });
const on = onPage();

const press = (name: string): Promise<void> => on.press(name);
const goTo = (name: string): Promise<void> =>
  on.page.getByRole("navigation", { name: en.nav.label }).getByRole("link", { name }).click();
/** As British English shows it on this page, with a comma between thousands. */
const shown = (grams: number): string =>
  `${grams.toLocaleString("en-GB", { minimumFractionDigits: 1, maximumFractionDigits: 1 })}\u00a0g`;

async function plan(): Promise<void> {
  await goTo(en.nav.plan);
  await on.page.getByLabel(en.plan.dryer, { exact: true }).fill("Cellar");
  const rows = on.page.getByRole("group").filter({ has: on.page.getByRole("combobox") });
  while ((await rows.count()) < trays.length) await press(en.plan.add);
  for (let last = await rows.count(); last > trays.length; last--)
    await press(en.plan.remove(en.trayNumbered(String(last))));
  for (const [place, { name, tare, waterPct }] of trays.entries()) {
    const row = rows.nth(place);
    await row.getByLabel(en.plan.trayName, { exact: true }).fill(name);
    await row.getByRole("combobox").fill("invented food");
    await row.getByLabel(en.plan.water).fill(String(waterPct));
    if (place === 0) await row.getByLabel(en.plan.thickness).fill("6.5");
    await row.getByLabel(en.plan.tare("g")).fill(String(tare));
  }
  await press(en.plan.start);
}

/** Puts the tray on that the page asks for, and sees it taken; the mass may be one step of the scale away. */
async function weigh(name: string, gross: number): Promise<void> {
  const main = on.page.getByRole("main");
  const steps = [-0.1, 0, 0.1].map((step) => shown(gross + step));
  at.pan.place(gross);
  const taken = steps.map((mass) => en.weigh.taken(en.trayNumbered(name), mass));
  await main.getByText(anyOf(taken)).waitFor();
  at.pan.lift();
  await main.getByText(en.look.empty, { exact: true }).first().waitFor();
}

const anyOf = (texts: readonly string[]): RegExp =>
  new RegExp(texts.map((text) => text.replace(/[.*+?^${}()|[\]\\]/g, "\\$&")).join("|"));

async function dryFor(hours: number): Promise<number> {
  const [batch] = (await at.service.bench()).batches;
  const id = batch?.id ?? 0;
  await eventually(
    `${hours} drying hours`,
    () => at.service.batch(id),
    (now) => now.clock.dryingHours >= hours,
  );
  await press(en.weigh.act.out);
  const out = await eventually(
    "trays out",
    () => at.service.batch(id),
    (now) => now.clock.state === "out",
  );
  return out.clock.dryingHours;
}

test("a person plans, loads, dries, weighs, reads the words, ends the batch and finds it again", async () => {
  await on.page.goto(at.service.url);
  await on.page.getByText(en.practice.banner).first().waitFor();
  await plan();
  for (const { name, tare, fresh } of trays) await weigh(name, tare + fresh);

  await press(en.weigh.act.start);
  // Ten hours go by in a second: a slow machine takes the trays out late, and they would be dry by then.
  const first = Math.min(await dryFor(8), 10);
  for (const load of trays) await weigh(load.name, load.tare + trueNet(load, first));
  await on.page
    .getByText(/still losing/i)
    .first()
    .waitFor();
  await goTo(en.nav.batch);
  await on.page.getByText(en.batch.words.losing, { exact: true }).first().waitFor();

  await goTo(en.nav.weigh);
  await press(en.weigh.act.back);
  const second = await dryFor(72);
  for (const load of trays) await weigh(load.name, load.tare + trueNet(load, second));
  await on.page
    .getByText(/stable weight reached/i)
    .first()
    .waitFor();
  await goTo(en.nav.batch);
  await on.page.getByText(en.batch.words.stable, { exact: true }).first().waitFor();

  // What was planned is put right while it dries, and the record has what was said last.
  await on.page.getByText(en.batch.editTrays.open).click();
  const edited = on.page.locator("[data-editing]").first();
  await edited.getByLabel(en.plan.thickness).fill("201");
  await edited.getByRole("button", { name: en.batch.editTrays.keep }).click();
  await on.page.getByText(en.plan.badThickness(en.trayNumbered("1"))).waitFor();
  await edited.getByLabel(en.plan.thickness).fill("7");
  await edited.getByRole("button", { name: en.batch.editTrays.keep }).click();
  await on.page.getByText(en.batch.editTrays.kept).waitFor();
  await on.page.getByText(en.batch.tray.thickness("7"), { exact: true }).first().waitFor();

  for (const { name } of trays) {
    const question = on.page.getByText(en.batch.core.title(en.trayNumbered(name))).first();
    await question.waitFor();
    await on.page
      .getByRole("button", { name: en.batch.core.findings.dry, exact: true })
      .first()
      .click();
    await question.waitFor({ state: "hidden" });
  }
  await on.page.getByText(en.batch.end.open).click();
  await press(en.batch.end.button);

  // Ended, the page shows the batch in the record; it is found there again from the list.
  await on.page.getByRole("link", { name: enKitchen.record.back }).click();
  await on.page.getByRole("main").getByRole("link", { name: /1/ }).first().click();
  await on.page.getByRole("link", { name: enKitchen.record.back }).waitFor();
  await on.page.getByText(en.batch.words.stable, { exact: true }).first().waitFor();
  await on.page.locator(".plot canvas").first().waitFor();
  expect((await at.service.bench()).batches).toEqual([]);
  const ended = await at.service.batch(1);
  expect(ended.trays.map((tray) => tray.coreCheck?.finding)).toEqual(trays.map(() => "dry"));
  expect(ended.trays.map(({ thicknessMm }) => thicknessMm)).toEqual([7, null]);
  expect(ended.moments.map((moment) => moment.is)).toEqual(["in", "out", "in", "out"]);
  expect(on.complaints).toEqual([]);
}, 300_000);
