/** `stillweight restore FILE`: brings a copy back. Refused while the service runs. */
import { resolve } from "node:path";
import { systemClock } from "../clock.ts";
import { bringBack, markOf } from "../store/backup.ts";
import { askedOf, unlessInterrupted } from "./asked.ts";
import { practiceFolderIn } from "./datafolder.ts";
import { holdingInWords } from "./holding.ts";
import type { Io } from "./io.ts";

/** Throws Faults; the folder's store is then as it was. */
export function restore(args: readonly string[], io: Io): Promise<number> {
  return unlessInterrupted(io, async () => {
    const asked = askedOf(
      args,
      io,
      "the one file with the copy to be brought back, as in stillweight restore copy.db",
    );
    const file = resolve(asked.files[0] ?? "");
    // A copy of practice goes where practice is, unless a person names the folder.
    const ofPractice = markOf(file)?.practice === true && !asked.folderNamed;
    const folder = ofPractice ? practiceFolderIn(asked.folder) : asked.folder;
    const { report, aside } = await bringBack(file, folder, systemClock().utc(), io.signal);
    io.out(`brought back ${file} to ${folder}, and found it whole`);
    for (const line of holdingInWords(report)) io.out(line);
    if (aside !== null) io.out(`the store that was there is kept as ${aside}`);
  });
}
