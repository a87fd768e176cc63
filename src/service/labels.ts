/** Labels as files. Drawing takes longer than a reading of the scale may wait, so a thread of its own does it. */
import { Worker } from "node:worker_threads";
import { Fault } from "../faults.ts";
import { labelContent, type LabelWords } from "../label/content.ts";
import type { LabelsAsked } from "../label/draw.ts";
import type { UtcMs } from "../units/quantity.ts";
import type { Bag, LabelStock, LabelText } from "../wire/bag.ts";
import type { LabelFile } from "./service.ts";

export type LabelAsked = {
  readonly id: number;
  readonly labels: LabelsAsked;
  readonly madeAt: UtcMs;
};
export type LabelDone =
  | { readonly id: number; readonly pdf: Uint8Array }
  | { readonly id: number; readonly failed: string };

type LabelsWanted = {
  readonly bags: readonly Bag[];
  readonly stock: LabelStock;
  readonly skip: number;
  readonly words: Omit<LabelWords, "dayOf">;
};

export type Labels = {
  draw(wanted: LabelsWanted, at: UtcMs): Promise<LabelFile>;
  close(): Promise<void>;
};

/** A file takes up to some seconds, and holds its labels in memory until it is drawn. */
const mostWaiting = 20;

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
    draw: async ({ bags, stock, skip, words }, at) => {
      if (waiting.size >= mostWaiting)
        throw new Fault(
          "label.too-many",
          `${waiting.size} files of labels are being drawn already`,
        );
      worker ??= start();
      const id = ++asked;
      const pdf = new Promise<Uint8Array>((resolve, reject) =>
        waiting.set(id, { resolve, reject }),
      );
      const contents = bags.map((bag) => labelContent(bag, { ...words, dayOf: localDay }));
      worker.postMessage({
        id,
        labels: { contents, stock, skip },
        madeAt: at,
      } satisfies LabelAsked);
      const [only, ...others] = bags;
      const named = others.length > 0 || only === undefined ? "bags" : `bag-${only.code}`;
      return { pdf: await pdf, name: `${named.toLowerCase()}-${stock}.pdf` };
    },
    close: async () => {
      const ending = worker;
      fail(new Error("the thread of labels was ended"));
      await ending?.terminate();
    },
  };
}

/** What a label says, for a page to print. */
export const labelText = (bag: Bag, words: Omit<LabelWords, "dayOf">): LabelText => {
  const content = labelContent(bag, { ...words, dayOf: localDay });
  const { code, title, marks, lines, cautions, footer } = content;
  return {
    bag: bag.id,
    code,
    title,
    marks: [...marks],
    lines: [...lines],
    cautions: [...cautions],
    footer,
  };
};

/** The day of a moment in the time zone of the computer: 2026-11-25. */
function localDay(iso: string): string {
  const at = new Date(iso);
  const two = (number: number): string => String(number).padStart(2, "0");
  return `${at.getFullYear()}-${two(at.getMonth() + 1)}-${two(at.getDate())}`;
}
