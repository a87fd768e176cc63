/** `stillweight check`: verifies the store from end to end and says what it holds. May run beside the service. */
import { replay } from "../service/replay.ts";
import { databaseIn } from "../store/database.ts";
import { inspectStore } from "../store/inspect.ts";
import { askedOf } from "./asked.ts";
import { holdingInWords } from "./holding.ts";
import type { Io } from "./io.ts";

/** 0: whole. 1: something is not as it was kept. Throws Faults. */
export async function check(args: readonly string[], io: Io): Promise<number> {
  const { folder } = askedOf(args, io, null);
  const report = inspectStore(databaseIn(folder), replay);
  io.out(report.file);
  for (const line of holdingInWords(report)) io.out(line);
  if (report.problems.length > 0) {
    for (const problem of report.problems) io.err(problem);
    io.err("the store is not as it was kept: bring back a backup with stillweight restore");
    return 1;
  }
  if (report.holds === null) {
    io.out("an older layout: the service brings it up to date at its next start");
    io.out("the file is whole");
    return 0;
  }
  io.out(
    "the file is whole, every row finds the rows it names, no weighing was changed or removed, every verdict checked follows from the weighings kept",
  );
  return 0;
}
