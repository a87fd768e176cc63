/** `stillweight backup FILE`: a verified copy of the store. May run beside the service. */
import { resolve } from "node:path";
import { backUp } from "../store/backup.ts";
import { askedOf, unlessInterrupted } from "./asked.ts";
import { holdingInWords } from "./holding.ts";
import type { Io } from "./io.ts";

/** Throws Faults; FILE is then as it was. */
export function backup(args: readonly string[], io: Io): Promise<number> {
  return unlessInterrupted(io, async () => {
    const { folder, files } = askedOf(
      args,
      io,
      "the one file that the copy is written to, as in stillweight backup copy.db",
    );
    const report = await backUp(folder, resolve(files[0] ?? ""), io.signal);
    io.out(`copied ${folder} to ${report.file}, and found the copy whole`);
    for (const line of holdingInWords(report)) io.out(line);
  });
}
