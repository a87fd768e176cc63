// What the scripts here share; plain JavaScript with no import from npm.
import { readFileSync, realpathSync } from "node:fs";
import { join } from "node:path";

const packageOf = { tsc: "typescript" };

/**
 * The file of a program of npm's, for Node to run. What npm puts into node_modules/.bin is a batch file on Windows: a
 * shell has to run it, which takes a path with a blank in it apart.
 */
export function toolIn(root, name) {
  const folder = join(root, "node_modules", packageOf[name] ?? name);
  const { bin } = JSON.parse(readFileSync(join(folder, "package.json"), "utf8"));
  return join(folder, typeof bin === "string" ? bin : bin[name]);
}

/**
 * Whether a file is the one that Node was started with, by whatever name: through a link, in other capitals. A Node.js
 * that is too old cannot name the file.
 */
export const isStarted = (file) =>
  file !== undefined &&
  process.argv[1] !== undefined &&
  realpathSync.native(process.argv[1]) === realpathSync.native(file);
