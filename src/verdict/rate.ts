/** What the trays of one lot showed of its rate constant, once all of them were dry. */
import { weighEvidence } from "../drying/evidence.ts";
import { rateSeen, seenTogether, type RateSeen } from "../drying/learnedrate.ts";
import type { TrayLog } from "../tray/weighing.ts";
import { loadOf } from "./load.ts";
import { kitchenGrams } from "./rules.ts";

/** null: the weighings show next to nothing of it. A dryer that works is taken for granted. */
export function rateSeenIn(logs: readonly TrayLog[], limit: number): RateSeen | null {
  return seenTogether(
    logs.flatMap((log) => {
      const load = loadOf(log, kitchenGrams);
      if (load === null) return [];
      const question = { stops: [], logOdds: [], limit, alone: true };
      const prior = { ...load.end, freshGrams: load.freshGrams };
      return rateSeen(weighEvidence(load.rows, prior, question)) ?? [];
    }),
  );
}
