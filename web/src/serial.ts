/**
 * A scale that is plugged into this device: reads its bytes (WICG, Web Serial API, draft community group report) and
 * hands them over to the service, which does all the rest. Nothing is understood here. One scale for each page.
 */
import { signal } from "@preact/signals";
import type { Scale } from "../../src/wire/bench.ts";
import { service, type Refusal } from "./ask.ts";

/** What is used of the browser's port; the types of the language have none of it yet. */
type DevicePort = {
  readonly readable: ReadableStream<Uint8Array> | null;
  readonly writable: WritableStream<Uint8Array> | null;
  open(settings: LineSettings): Promise<void>;
  close(): Promise<void>;
};
type DevicePorts = {
  requestPort(): Promise<DevicePort>;
  getPorts(): Promise<readonly DevicePort[]>;
};

type LineSettings = {
  readonly baudRate: number;
  readonly dataBits: 7 | 8;
  readonly stopBits: 1 | 2;
  readonly parity: "none" | "even" | "odd";
};

/** `lost`: the device was pulled out and is tried again. `why`: the service does not take the bytes. */
type Here =
  | { readonly is: "off"; readonly why: Refusal | null }
  | { readonly is: "reading" | "lost"; readonly scale: string };

export const here = signal<Here>({ is: "off", why: null });

const storedAs = "scale-here";
const handOverEveryMs = 90;
const lifeSignEveryMs = 600;
const openAgainEveryMs = 500;
/** What is not handed over in time is thrown away: old bytes are of no use to a scale. */
const mostKeptBytes = 16 * 1024;
const mostInChunk = 2048;
const mostChunks = 64;

const portsOf = (): DevicePorts | null =>
  "serial" in navigator ? (navigator.serial as DevicePorts) : null;

/** Whether this browser can read a scale here. `insecure`: it would, but not over plain http. */
export function canReadHere(): "yes" | "insecure" | "no-browser" {
  if (!isSecureContext) return "insecure";
  return portsOf() === null ? "no-browser" : "yes";
}

/** Lets the person choose a device; null when none was chosen. To be called from a touch. */
export async function pickDevice(): Promise<DevicePort | null> {
  return (
    (await portsOf()
      ?.requestPort()
      .catch(() => null)) ?? null
  );
}

/** The service's own scale of the name that the address has. */
export const scaleAt = (uri: string, scales: readonly Scale[]): Scale | undefined =>
  scales.find((one) => one.uri.split("?")[0] === uri.split("?")[0]);

let reader: Reader | null = null;
let wasTriedAgain = false;

/** `uri` has the settings of the line; the service's own scale of that name may have others. */
export async function readHere(device: DevicePort, scale: string, uri: string): Promise<void> {
  await stopHere();
  remember(uri);
  reader = new Reader(device, scale, settingsIn(uri));
  reader.begin();
}

export async function stopHere(): Promise<void> {
  remember(null);
  await reader?.end(null);
  reader = null;
}

/** Goes on after the page was loaded anew, where this browser still has the device and no other. */
export async function readHereAgain(scales: readonly Scale[]): Promise<void> {
  const uri = remembered();
  const scale = uri === null ? undefined : scaleAt(uri, scales);
  if (uri === null || wasTriedAgain || reader !== null || scale === undefined) return;
  wasTriedAgain = true;
  const [device, ...others] = (await portsOf()?.getPorts()) ?? [];
  if (device !== undefined && others.length === 0) await readHere(device, scale.id, uri);
}

function remember(uri: string | null): void {
  try {
    if (uri === null) localStorage.removeItem(storedAs);
    else localStorage.setItem(storedAs, uri);
  } catch {
    // A private window: it holds as long as the page.
  }
}

function remembered(): string | null {
  try {
    return localStorage.getItem(storedAs);
  } catch {
    return null;
  }
}

/** The speed of the line as the scale's address has it; the service has checked it. */
function settingsIn(uri: string): LineSettings {
  const options = new URLSearchParams(uri.split("?")[1] ?? "");
  const parity = options.get("parity");
  return {
    baudRate: Number(options.get("baud") ?? "9600"),
    dataBits: options.get("bits") === "7" ? 7 : 8,
    stopBits: options.get("stop") === "2" ? 2 : 1,
    parity: parity === "even" || parity === "odd" ? parity : "none",
  };
}

type Chunk = { readonly atMs: number; readonly bytes: Uint8Array };

class Reader {
  readonly #device: DevicePort;
  readonly #scale: string;
  readonly #settings: LineSettings;
  readonly #sender = crypto.randomUUID();
  #kept: Chunk[] = [];
  #keptBytes = 0;
  #handing = false;
  #handedMs = Number.NEGATIVE_INFINITY;
  #timer: ReturnType<typeof setInterval> | undefined;
  #bytes: ReadableStreamDefaultReader<Uint8Array> | null = null;
  #ended = false;

  constructor(device: DevicePort, scale: string, settings: LineSettings) {
    this.#device = device;
    this.#scale = scale;
    this.#settings = settings;
  }

  begin(): void {
    addEventListener("pagehide", this.#leave);
    this.#timer = setInterval(() => void this.#handOver(), handOverEveryMs / 2);
    void this.#keepReading();
  }

  async end(why: Refusal | null): Promise<void> {
    if (this.#ended) return;
    this.#ended = true;
    removeEventListener("pagehide", this.#leave);
    clearInterval(this.#timer);
    here.value = { is: "off", why };
    await this.#bytes?.cancel().catch(() => undefined);
    await this.#device.close().catch(() => undefined);
    await service.handOver(this.#scale, { sender: this.#sender, chunks: [], ended: true });
  }

  /** The page goes: the request outlives it. */
  readonly #leave = (): void => {
    void service.handOver(this.#scale, { sender: this.#sender, chunks: [], ended: true });
  };

  async #keepReading(): Promise<void> {
    while (!this.#ended) {
      try {
        await this.#device.open(this.#settings);
        here.value = { is: "reading", scale: this.#scale };
        await this.#readOn();
      } catch {
        // Pulled out, or held by another program: tried again below, and shown as lost.
      }
      if (this.#ended) return;
      await this.#lose();
      await new Promise((resolve) => setTimeout(resolve, openAgainEveryMs));
    }
  }

  /** A fault of the line ends one stream and the port gives another; a device that is gone gives none. */
  async #readOn(): Promise<void> {
    while (this.#device.readable !== null && !this.#ended) {
      const bytes = this.#device.readable.getReader();
      this.#bytes = bytes;
      try {
        for (;;) {
          const { value, done } = await bytes.read();
          if (done) return;
          this.#keep(value);
          void this.#handOver();
        }
      } catch {
        // Told by `readable`: null when the device is gone.
      } finally {
        this.#bytes = null;
        bytes.releaseLock();
      }
    }
  }

  async #lose(): Promise<void> {
    const wasReading = here.value.is === "reading";
    here.value = { is: "lost", scale: this.#scale };
    this.#kept = [];
    this.#keptBytes = 0;
    await this.#device.close().catch(() => undefined);
    if (wasReading)
      await service.handOver(this.#scale, { sender: this.#sender, chunks: [], ended: true });
  }

  #keep(value: Uint8Array): void {
    const atMs = performance.now();
    for (let from = 0; from < value.length; from += mostInChunk)
      this.#kept.push({ atMs, bytes: value.slice(from, from + mostInChunk) });
    this.#keptBytes += value.length;
    while (this.#keptBytes > mostKeptBytes || this.#kept.length > mostChunks)
      this.#keptBytes -= this.#kept.shift()?.bytes.length ?? 0;
  }

  /** One at a time, so that the order holds and nothing piles up; empty as a sign of life. */
  async #handOver(): Promise<void> {
    const now = performance.now();
    const due = this.#kept.length > 0 ? handOverEveryMs : lifeSignEveryMs;
    if (this.#handing || this.#ended || here.value.is !== "reading") return;
    if (now - this.#handedMs < due) return;
    this.#handing = true;
    this.#handedMs = now;
    const chunks = this.#kept.map(({ atMs, bytes }) => ({
      agoMs: Math.min(10_000, Math.max(0, now - atMs)),
      hex: hexOf(bytes),
    }));
    this.#kept = [];
    this.#keptBytes = 0;
    const answer = await service.handOver(this.#scale, { sender: this.#sender, chunks });
    this.#handing = false;
    if (answer.is === "done" && answer.body.send !== null) await this.#write(answer.body.send);
    // A service that is away comes back; one that refuses does not take this scale from this page.
    if (answer.is === "not-done" && !answer.mayPass) await this.end(answer.why);
  }

  async #write(hex: string): Promise<void> {
    const writer = this.#device.writable?.getWriter();
    try {
      await writer?.write(bytesOf(hex));
    } catch {
      // The device is gone, which its reading side tells.
    } finally {
      writer?.releaseLock();
    }
  }
}

const hexOf = (bytes: Uint8Array): string =>
  Array.from(bytes, (byte) => byte.toString(16).padStart(2, "0")).join("");

const bytesOf = (hex: string): Uint8Array =>
  Uint8Array.from(hex.match(/../g) ?? [], (pair) => Number.parseInt(pair, 16));
