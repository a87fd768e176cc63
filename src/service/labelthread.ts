/** The thread that draws labels: a label in, its PDF out. */
import { readFileSync } from "node:fs";
import { join } from "node:path";
import { parentPort } from "node:worker_threads";
import { drawLabel } from "../label/draw.ts";
import type { LabelAsked, LabelDone } from "./labels.ts";

const fontFolder = join(import.meta.dirname, "..", "label", "font");
const fonts = {
  regular: readFileSync(join(fontFolder, "DejaVuSans.ttf")),
  bold: readFileSync(join(fontFolder, "DejaVuSans-Bold.ttf")),
};

async function done({ id, content, stock, madeAt }: LabelAsked): Promise<LabelDone> {
  try {
    return { id, pdf: await drawLabel(content, stock, fonts, new Date(madeAt)) };
  } catch (thrown) {
    return { id, failed: thrown instanceof Error ? (thrown.stack ?? thrown.message) : "unknown" };
  }
}

parentPort?.on("message", (asked: LabelAsked) => {
  void done(asked).then((answer) => parentPort?.postMessage(answer));
});
