// A scale that is plugged into the device of the page: over HTTP, and from a real Chromium whose `navigator.serial` is
// ours. No real Web Serial hardware was tried.
import { setTimeout as pause } from "node:timers/promises";
import { afterEach, beforeAll, afterAll, expect, test } from "vitest";
import type { Browser, Page } from "playwright-core";
import type { Bench } from "../../src/wire/bench.ts";
import type { PageWrites } from "../../src/wire/requests.ts";
import { deKitchen } from "../../web/src/texts/de-kitchen.ts";
import { enKitchen } from "../../web/src/texts/en-kitchen.ts";
import { openWholeBrowser } from "../web/browser.ts";
import { dataFolder, eventually, Service } from "./service.ts";

let browser: Browser;
beforeAll(async () => {
  browser = await openWholeBrowser();
});
afterAll(() => browser.close());

const undo: (() => unknown)[] = [];
afterEach(async () => {
  for (const step of undo.splice(0).toReversed()) await step();
});

async function started(): Promise<Service> {
  const data = dataFolder();
  undo.push(() => data.remove());
  const service = await Service.start({ data: data.path, scale: "page:bench" });
  undo.push(() => service.stop());
  return service;
}

const scaleOf = async (service: Service): Promise<Bench["scales"][number]> => {
  const { scales } = await service.bench();
  return scales.find(({ uri }) => uri.startsWith("page:"))!;
};
const line = (text: string): string =>
  Buffer.from(`ST,GS,+${text.padStart(9)} g\r\n`).toString("hex");

test("bytes handed over are recognised, read and settled; tare reaches the scale by the answer; the page gone is an unplug", async () => {
  const service = await started();
  const { id } = await scaleOf(service);
  expect(await scaleOf(service)).toMatchObject({
    link: "searching",
    why: "no page reads this scale",
  });
  const hand = (chunks: object[], more: object = {}): Promise<PageWrites> =>
    service.post<PageWrites>(`/api/scales/${id}/bytes`, {
      sender: "a page of mine",
      chunks,
      ...more,
    });
  const chunks = Array.from({ length: 30 }, (_, at) => ({
    agoMs: (29 - at) * 100,
    hex: line("812.6"),
  }));
  expect(await hand(chunks)).toEqual({ send: null });
  const read = await eventually(
    "the load",
    () => scaleOf(service),
    ({ settled }) => settled,
  );
  expect(read).toMatchObject({ link: "up", form: "marked", grams: 812.6 });
  const pressed = service.post(`/api/scales/${id}/send`, { what: "tare" });
  const answer = await eventually(
    "the key",
    () => hand([]),
    ({ send }) => send !== null,
  );
  expect(Buffer.from(answer.send!, "hex").toString()).toBe("T\r\n");
  await pressed;
  await hand([], { ended: true });
  expect(await scaleOf(service)).toMatchObject({ link: "searching", grams: null });
});

test("a tray on it is taken, though a browser says in parts of milliseconds how long ago its bytes came", async () => {
  const service = await started();
  const { id } = await scaleOf(service);
  await service.post("/api/batches", { dryer: "Cellar", trays: [{ name: "A" }] });
  const show = async (figure: string): Promise<void> => {
    const chunks = Array.from({ length: 15 }, (_, at) => ({
      agoMs: (14 - at) * 100 + 0.3,
      hex: line(figure),
    }));
    // As long as these lines take.
    await pause(1500);
    await service.post(`/api/scales/${id}/bytes`, { sender: "a page of mine", chunks });
  };
  await show("0.0");
  await show("612.4");
  const { trays } = await service.batch(1);
  expect(trays[0]?.weighings).toMatchObject([{ kind: "tare", grossGrams: 612.4 }]);
});

test("a scale that the service reads itself, bytes that are none and another page are refused", async () => {
  const service = await started();
  const { id } = await scaleOf(service);
  const path = `/api/scales/${id}/bytes`;
  const sender = "a page of mine";
  const status = async (address: string, body: object): Promise<number> =>
    (await service.ask("POST", address, body)).status;
  expect(await status(path, { sender, chunks: [{ agoMs: 0, hex: "0g" }] })).toBe(400);
  expect(await status(path, { sender, chunks: [{ agoMs: -1, hex: "00" }] })).toBe(400);
  expect(await status(path, { sender, chunks: [{ agoMs: 0, hex: "00".repeat(4000) }] })).toBe(400);
  expect(await status(path, { sender, chunks: [] })).toBe(200);
  expect(await status(path, { sender: "another page", chunks: [] })).toBe(409);
  expect(await status("/api/scales/none/bytes", { sender, chunks: [] })).toBe(404);
});

/** Put into the page before its own scripts: a serial device that says `say`, can be pulled, and notes what it gets. */
function fakeSerial(): void {
  const device = { say: "", pulled: false, got: "", opened: [] as unknown[] };
  let stream: ReadableStreamDefaultController<Uint8Array> | null = null;
  const port = {
    readable: null as ReadableStream<Uint8Array> | null,
    writable: null as WritableStream<Uint8Array> | null,
    open(settings: unknown): Promise<void> {
      if (device.pulled) return Promise.reject(new DOMException("no device", "NetworkError"));
      if (port.readable !== null)
        return Promise.reject(new DOMException("open already", "InvalidStateError"));
      device.opened.push(settings);
      port.readable = new ReadableStream({ start: (controller) => void (stream = controller) });
      port.writable = new WritableStream({
        write: (bytes) => void (device.got += new TextDecoder("latin1").decode(bytes)),
      });
      return Promise.resolve();
    },
    close(): Promise<void> {
      stream = null;
      port.readable = null;
      port.writable = null;
      return Promise.resolve();
    },
  };
  setInterval(() => {
    if (stream === null || device.say === "") return;
    if (device.pulled) {
      const lost = stream;
      stream = null;
      port.readable = null;
      lost.error(new DOMException("The device has been lost.", "NetworkError"));
    } else stream.enqueue(new TextEncoder().encode(device.say));
  }, 100);
  const granted = () => localStorage.getItem("granted") !== null;
  const serial = {
    requestPort: () => {
      localStorage.setItem("granted", "yes");
      return Promise.resolve(port);
    },
    getPorts: () => Promise.resolve(granted() ? [port] : []),
  };
  Object.defineProperty(navigator, "serial", { value: serial });
  Object.assign(window, { device });
}

type Device = { say: string; pulled: boolean; got: string; opened: unknown[] };
const device = (page: Page): Promise<Device> =>
  page.evaluate(() => (window as unknown as { device: Device }).device);
const turn = (page: Page, change: Partial<Device>): Promise<void> =>
  page.evaluate(
    (to) => void Object.assign((window as unknown as { device: Device }).device, to),
    change,
  );

async function opened(service: Service, script: () => void, locale = "en-GB"): Promise<Page> {
  const context = await browser.newContext({ locale });
  undo.push(() => context.close());
  const page = await context.newPage();
  page.setDefaultTimeout(30_000);
  await page.addInitScript(script);
  await page.goto(`${service.url}/#/setup`);
  return page;
}

const { here } = enKitchen.setup;

test("Chromium reads a device and hands it over; keys reach it, a pull and a closed page are unplugs, a reload goes on", async () => {
  const service = await started();
  const page = await opened(service, fakeSerial);
  await page.getByLabel(here.name).fill("bench");
  await page.getByLabel(here.speed).fill("4800");
  await page.getByRole("button", { name: here.begin }).click();
  await page.getByText(here.reading).waitFor();
  const tablet = async (): Promise<Bench["scales"][number]> =>
    (await service.bench()).scales.find(({ uri }) => uri === "page:bench")!;
  const say = (grams: string): Promise<void> =>
    turn(page, { say: `ST,GS,+${grams.padStart(9)} g\r\n` });
  await say("412.6");
  await expect
    .poll(tablet)
    .toMatchObject({ link: "up", form: "marked", grams: 412.6, settled: true });
  expect((await device(page)).opened).toEqual([
    { baudRate: 4800, dataBits: 8, stopBits: 1, parity: "none" },
  ]);

  const { id } = await tablet();
  await service.post(`/api/scales/${id}/send`, { what: "zero" });
  await expect.poll(() => device(page).then(({ got }) => got)).toBe("Z\r\n");

  await turn(page, { pulled: true });
  await page.getByText(here.lost).waitFor();
  await expect.poll(tablet).toMatchObject({ link: "searching", grams: null });
  await turn(page, { pulled: false });
  await expect.poll(tablet).toMatchObject({ link: "up", grams: 412.6 });

  await page.goto(`${service.url}/#/weigh`);
  await page.reload();
  await expect.poll(() => device(page).then((one) => one.opened.length)).toBe(1);
  await say("99.9");
  await expect.poll(tablet).toMatchObject({ link: "up", grams: 99.9 });

  await page.close();
  await expect.poll(tablet).toMatchObject({ link: "searching", grams: null });
});

test("where the browser cannot, the page says why, in the reader's language", async () => {
  const service = await started();
  const without = await opened(service, () => {
    Object.defineProperty(Navigator.prototype, "serial", { value: undefined, configurable: true });
    delete (Navigator.prototype as { serial?: unknown }).serial;
  });
  await without.getByText(here.noBrowser).waitFor();
  const insecure = await opened(
    service,
    () => Object.defineProperty(window, "isSecureContext", { value: false }),
    "de-DE",
  );
  await insecure.getByText(deKitchen.setup.here.insecure).waitFor();
});
