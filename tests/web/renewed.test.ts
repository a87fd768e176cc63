/** A program that was renewed while its page was open: when the page fetches its new self, and what it waits for. */
import { beforeEach, expect, test } from "vitest";
import { show } from "./browser.ts";
import { opened, sceneOf, setStage, stub, withPage } from "./stage.ts";

setStage();
withPage();

/** Whether it is still the page that was marked. */
const isSame = (): Promise<boolean> => opened.page.evaluate(() => "mark" in window);
const touch = (name: string): Promise<void> =>
  opened.page.getByRole("navigation").getByRole("link", { name }).click();
const headed = (name: string): Promise<void> =>
  opened.page.getByRole("heading", { level: 1, name }).waitFor();

beforeEach(async () => {
  await show(opened.page, stub, sceneOf("batch-yields"));
  await opened.page.evaluate(() => Object.assign(window, { mark: true }));
});

const renew = async (): Promise<void> => {
  stub.bench({ program: "Stillweight, a later one" });
  // What the page has heard by then it has heard after this.
  stub.bench({ recording: false, notRecordingWhy: "the disk is full" });
  await opened.page.getByText("the disk is full").waitFor();
};

test("with the same program it is never loaded again", async () => {
  await touch("Record");
  await headed("Record");
  expect(await isSame()).toBe(true);
});

test("it is loaded when somebody goes elsewhere on it, and is there then", async () => {
  await renew();
  expect(await isSame()).toBe(true);
  await touch("Record");
  await expect.poll(isSame).toBe(false);
  await headed("Record");
  expect(new URL(opened.page.url()).hash).toContain("record");
});

test("a plan that was begun is kept until it is done with", async () => {
  await touch("Plan");
  await headed("Plan a batch");
  await opened.page.locator("input").first().fill("Cellar, the left one");
  await renew();
  await touch("Record");
  await headed("Record");
  await touch("Plan");
  await headed("Plan a batch");
  expect(await opened.page.locator("input").first().inputValue()).toBe("Cellar, the left one");
  expect(await isSame()).toBe(true);
});
