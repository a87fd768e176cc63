/** Labels as files. Drawing takes longer than a reading of the scale may wait, so a thread of its own does it. */
import { Worker } from "node:worker_threads";
import { labelContent, type LabelContent } from "../label/content.ts";
import type { UtcMs } from "../units/quantity.ts";
import type { Bag, LabelStock } from "../wire/bag.ts";
import type { LabelFile } from "./service.ts";

export type LabelAsked = {
  readonly id: number;
  readonly content: LabelContent;
  readonly stock: LabelStock;
  readonly madeAt: UtcMs;
};
export type LabelDone =
  | { readonly id: number; readonly pdf: Uint8Array }
  | { readonly id: number; readonly failed: string };

export type Labels = {
  draw(bag: Bag, stock: LabelStock, at: UtcMs): Promise<LabelFile>;
  close(): Promise<void>;
};

type Waiting = {
  readonly resolve: (pdf: Uint8Array) => void;
  readonly reject: (why: Error) => void;
};

/** Starts the thread with the first label, and again should it ever end. */
export function labelsInThread(): Labels {
  const waiting = new Map<number, Waiting>();
  let worker: Worker | null = null;
  let asked = 0;
  const fail = (why: Error): void => {
    worker = null;
    for (const { reject } of waiting.values()) reject(why);
    waiting.clear();
  };
  const start = (): Worker => {
    const started = new Worker(new URL("./labelthread.js", import.meta.url));
    started.unref();
    started.on("message", (done: LabelDone) => {
      const one = waiting.get(done.id);
      waiting.delete(done.id);
      if ("pdf" in done) one?.resolve(done.pdf);
      else one?.reject(new Error(done.failed));
    });
    started.on("error", fail);
    started.on("exit", () => worker === started && fail(new Error("the thread of labels ended")));
    return started;
  };
  return {
    draw: async (bag, stock, at) => {
      worker ??= start();
      const id = ++asked;
      const pdf = new Promise<Uint8Array>((resolve, reject) =>
        waiting.set(id, { resolve, reject }),
      );
      const content = labelContent(bag, localDay);
      worker.postMessage({ id, content, stock, madeAt: at } satisfies LabelAsked);
      return { pdf: await pdf, name: `bag-${bag.code.toLowerCase()}-${stock}.pdf` };
    },
    close: async () => {
      const ending = worker;
      worker = null;
      await ending?.terminate();
    },
  };
}

/** The day of a moment in the time zone of the computer: 2026-11-25. */
function localDay(iso: string): string {
  const at = new Date(iso);
  const two = (number: number): string => String(number).padStart(2, "0");
  return `${at.getFullYear()}-${two(at.getMonth() + 1)}-${two(at.getDate())}`;
}
