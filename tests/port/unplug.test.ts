import { expect, test } from "vitest";
import { spread, unplugAndReplug } from "../rig/unplug.ts";

// A device that hangs up while it streams may go on to read as nothing for ever; the shorter the gap between
// lines, the likelier it is.
test.each([1, 10, 100])(
  "an unplug with a line every %d ms is noticed within 0.5 s, the scale is back within 2 s, and no weight is lost or invented",
  async (gapMs) => {
    const done = await unplugAndReplug(gapMs, 12, gapMs);
    console.log(
      `gap ${gapMs} ms: noticed after ${spread(done.noticedMs)} ms, weights again after ${spread(done.backMs)} ms`,
    );
    expect(Math.max(...done.noticedMs)).toBeLessThan(500);
    expect(Math.max(...done.backMs)).toBeLessThan(2000);
    expect(done.renamed).toBe(12);
    expect(done.invented).toBe(0);
    expect(done.announced).toEqual(done.expected);
  },
);
