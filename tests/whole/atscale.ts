/**
 * The built service with a scale on a line, begun before the tests of a file and ended after them:
 * `const at = atScale({ timeFactor: 1000 })`, then `at.pan.place(400)`, `at.service.bench()`, `at.live`.
 */
import type { Browser, Page } from "playwright-core";
import { afterAll, beforeAll } from "vitest";
import { Pty } from "../rig/pty.ts";
import { openWholeBrowser, slowDown } from "../web/browser.ts";
import { Pan } from "./pan.ts";
import { dataFolder, type Live, Service, type Started } from "./service.ts";

type Begun = {
  readonly line: Pty;
  readonly pan: Pan;
  service: Service;
  live: Live;
};

class AtScale {
  readonly data: string;
  readonly #more: Omit<Started, "data" | "scale">;
  #begun: Begun | null = null;

  constructor(data: string, more: Omit<Started, "data" | "scale">) {
    this.data = data;
    this.#more = more;
  }

  async begin(): Promise<void> {
    const line = await Pty.start();
    const service = await this.#start(line);
    this.#begun = { line, pan: new Pan(line), service, live: await service.live() };
  }

  async end(): Promise<void> {
    const { line, pan, service, live } = this.#there;
    live.close();
    pan.stop();
    await service.stop();
    await line.close();
  }

  /** As after a power cut. */
  async killAndStart(): Promise<void> {
    const there = this.#there;
    await there.service.kill();
    there.service = await this.#start(there.line);
    there.live = await there.service.live();
  }

  get line(): Pty {
    return this.#there.line;
  }

  get pan(): Pan {
    return this.#there.pan;
  }

  get service(): Service {
    return this.#there.service;
  }

  get live(): Live {
    return this.#there.live;
  }

  /** Takes the load off, and waits until the service has seen that. */
  async lift(): Promise<void> {
    const before = this.live.of("lifted").length;
    this.pan.lift();
    await this.live.until("the load to be lifted", () => this.live.of("lifted").length > before);
  }

  #start(line: Pty): Promise<Service> {
    return Service.start({ ...this.#more, scale: line.path, data: this.data });
  }

  get #there(): Begun {
    if (this.#begun === null) throw new Error("the scale is there once the tests have begun");
    return this.#begun;
  }
}

export function atScale(more: Omit<Started, "data" | "scale"> = {}): AtScale {
  const data = dataFolder();
  const at = new AtScale(data.path, more);
  beforeAll(() => at.begin());
  afterAll(async () => {
    await at.end();
    data.remove();
  });
  return at;
}

/** A page as on a tablet, and what its browser complained of. */
class OnPage {
  readonly complaints: string[] = [];
  #opened: { readonly browser: Browser; readonly page: Page } | null = null;

  async open(): Promise<void> {
    const browser = await openWholeBrowser();
    const context = await browser.newContext({
      viewport: { width: 820, height: 1180 },
      locale: "en-GB",
    });
    const page = await context.newPage();
    page.setDefaultTimeout(30_000);
    await slowDown(page);
    page.on("pageerror", (error) => this.complaints.push(String(error)));
    page.on("console", (message) => {
      if (message.type() === "error") this.complaints.push(message.text());
    });
    this.#opened = { browser, page };
  }

  async close(): Promise<void> {
    await this.#opened?.browser.close();
  }

  get page(): Page {
    if (this.#opened === null) throw new Error("the page is there once the tests have begun");
    return this.#opened.page;
  }

  press(name: string | RegExp): Promise<void> {
    return this.page.getByRole("button", { name, exact: typeof name === "string" }).click();
  }
}

export function onPage(): OnPage {
  const on = new OnPage();
  beforeAll(() => on.open());
  afterAll(() => on.close());
  return on;
}
