import { expect, test } from "vitest";
import { labelsInThread } from "../../src/service/labels.ts";
import { utcMs } from "../../src/units/quantity.ts";

test("labels that are being drawn when the thread is ended are refused, not waited for", async () => {
  const labels = labelsInThread();
  const words = { fields: [], language: "en", head: null, origin: null } as const;
  // Its file is made by the build: whatever becomes of the thread, nobody waits for ever.
  const drawn = labels.draw({ bags: [], stock: "70x37-sheet", skip: 0, words }, utcMs(0));
  const [first] = await Promise.allSettled([drawn, labels.close()]);
  expect(first.status).toBe("rejected");
}, 3000);
