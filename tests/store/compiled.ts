import { spawnSync } from "node:child_process";
import { cpSync, mkdirSync, mkdtempSync, rmSync } from "node:fs";
import { join } from "node:path";
import { toolIn } from "../../.ci/tools.mjs";

const root = join(import.meta.dirname, "..", "..");

/** A program among the tests, with the sources that it uses, as plain JavaScript for a process of its own. */
export function compileProgram(name: string): {
  readonly file: string;
  readonly remove: () => void;
} {
  mkdirSync(join(root, ".build"), { recursive: true });
  const folder = mkdtempSync(join(root, ".build", "compiled-"));
  const asked =
    "--ignoreConfig --noCheck --target es2023 --module nodenext --rewriteRelativeImportExtensions";
  const places = ["--rootDir", root, "--outDir", folder];
  const source = join(root, "tests", "store", `${name}.ts`);
  const args = [toolIn(root, "tsc"), ...asked.split(" "), ...places, source];
  const done = spawnSync(process.execPath, args, { encoding: "utf8" });
  if (done.status !== 0) throw new Error(`tsc failed: ${done.stdout}${done.stderr}`);
  const steps = join("src", "store", "steps");
  cpSync(join(root, steps), join(folder, steps), { recursive: true });
  return {
    file: join(folder, "tests", "store", `${name}.js`),
    remove: () => rmSync(folder, { recursive: true, force: true }),
  };
}
