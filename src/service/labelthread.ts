/** The thread that draws labels: their texts in, a PDF out. */
import { readFileSync } from "node:fs";
import { join } from "node:path";
import { parentPort } from "node:worker_threads";
import { drawLabels } from "../label/draw.ts";
import type { LabelAsked, LabelDone } from "./labels.ts";

const fontFolder = join(import.meta.dirname, "..", "label", "font");
const fonts = {
  regular: readFileSync(join(fontFolder, "DejaVuSans.ttf")),
  bold: readFileSync(join(fontFolder, "DejaVuSans-Bold.ttf")),
};

async function done({ id, labels, madeAt }: LabelAsked): Promise<LabelDone> {
  try {
    return { id, pdf: await drawLabels(labels, fonts, new Date(madeAt)) };
  } catch (thrown) {
    return { id, failed: thrown instanceof Error ? (thrown.stack ?? thrown.message) : "unknown" };
  }
}

parentPort?.on("message", (asked: LabelAsked) => {
  void done(asked).then((answer) => parentPort?.postMessage(answer));
});
