/** What each file of tests in the browser stands on: a stand-in for the service, a browser, the page that is open. */
import type { Browser } from "playwright-core";
import { afterAll, afterEach, beforeAll, expect } from "vitest";
import { bagScenes } from "./bag-scenes.ts";
import { openBrowser, openPage, show, tablet, type Opened } from "./browser.ts";
import { scenes, type Scene } from "./scenes.ts";
import { startStub, type Stub } from "./stub.ts";

export let browser: Browser;
export let stub: Stub;
export let opened: Opened;

export function sceneOf(name: string): Scene {
  const scene = [...scenes, ...bagScenes].find((one) => one.name === name);
  if (scene === undefined) throw new Error(`no scene ${name}`);
  return scene;
}

/** Once a file, before its first test. */
export function setStage(): void {
  beforeAll(async () => {
    stub = await startStub(sceneOf("weigh-no-batch").world);
    browser = await openBrowser();
  });
  afterAll(async () => {
    await browser.close();
    await stub.close();
  });
}

/** Opens a page for the tests of one block, at a scene where one is named, and fails each that the browser complained of. */
export function withPage(first: string | null = null, locale = "en-GB"): void {
  beforeAll(async () => {
    opened = await openPage(browser, stub, tablet, "light", locale);
    if (first !== null) await show(opened.page, stub, sceneOf(first));
  });
  afterEach(() => {
    expect(opened.complaints.splice(0)).toEqual([]);
  });
  afterAll(() => opened.context.close());
}
