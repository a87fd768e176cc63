/** In which order the files of tests are begun; none of them depends on it. */
import { relative, sep } from "node:path";
import { BaseSequencer, type TestSpecification } from "vitest/node";

/** Folders whose tests wait most of their time, and those that keep a core busy; the files of the others are short. */
const waiting = ["whole"];
const working = ["web", "bench", "settle", "label"];

/**
 * What waits beside what works, so that both cores have work, and what is short at the end, so that no worker is left
 * alone with a long file. Within that as the runner has it: by what it remembers of the last run, else by size.
 */
export class LongFirst extends BaseSequencer {
  override async sort(files: TestSpecification[]): Promise<TestSpecification[]> {
    const sorted = await super.sort(files);
    const folderOf = ({ moduleId }: TestSpecification): string =>
      relative(this.ctx.config.root, moduleId).split(sep)[1] ?? "";
    const inFolders = (folders: readonly string[]) =>
      sorted.filter((file) => folders.includes(folderOf(file)));
    const [waits, works] = [inFolders(waiting), inFolders(working)];
    const short = sorted.filter((file) => !waits.includes(file) && !works.includes(file));
    const long = Array.from({ length: Math.max(waits.length, works.length) }, (_, place) => [
      waits.slice(place, place + 1),
      works.slice(place, place + 1),
    ]);
    return [...long.flat(2), ...short];
  }
}
