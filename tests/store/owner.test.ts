// Root looks after a service that runs as another user: what root makes in its folder has to be the service's own.
import { chownSync, readdirSync, statSync } from "node:fs";
import { join } from "node:path";
import { expect, test } from "vitest";
import { backUp, bringBack } from "../../src/store/backup.ts";
import { writeCode } from "../../src/store/devices.ts";
import { inspectStore } from "../../src/store/inspect.ts";
import { openStore } from "../../src/store/store.ts";
import { aBatch, aTray, aWeighing, noon, started, taken } from "./facts.ts";
import { real, tempFolder } from "./folder.ts";

const isRoot = process.getuid?.() === 0;
if (!isRoot)
  console.warn("not tried: whose the files are that root makes (only root may give them away)");

const never = new AbortController().signal;
const [user, group] = [54320, 54321];

test.runIf(isRoot)(
  "a code, a store brought back and the one set aside are the folder's owner's",
  async () => {
    const store = openStore(tempFolder(), real);
    store.record([started(aBatch(1, [aTray(1, 1)])), taken(aWeighing(1))]);
    const copy = join(tempFolder(), "copy.db");
    await backUp(store.folder, copy, never);
    store.close();

    const folder = tempFolder();
    chownSync(folder, user, group);
    writeCode(folder, "full", noon);
    // The second time a store is there, and is set aside.
    for (const _ of ["none yet", "one"]) await bringBack(copy, folder, noon, never);
    expect(inspectStore(join(folder, "stillweight.db")).problems).toEqual([]);
    const names = readdirSync(folder);
    expect(names).toHaveLength(4);
    for (const name of names)
      expect([name, statSync(join(folder, name))]).toMatchObject([name, { uid: user, gid: group }]);
  },
);
