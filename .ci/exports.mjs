// Says of every exported name that no other file takes. What is used in its own file alone needs no `export`,
// and without it the compiler finds what is not used at all.
import { readdirSync, readFileSync } from "node:fs";
import { dirname, join, relative } from "node:path";
import { parseSync } from "vite";

const root = join(import.meta.dirname, "..");
const files = ["src", "web", "tests", "bench", ".ci"].flatMap((folder) =>
  readdirSync(join(root, folder), { recursive: true })
    .filter((name) => /(?<!\.d)\.(ts|tsx|mjs)$/.test(name))
    .map((name) => join(root, folder, name)),
);

const exported = new Map(); // file → its exported names
const taken = new Map(); // file → names that other files take; "*": all of them
const take = (file, name) => taken.set(file, (taken.get(file) ?? new Set()).add(name));

for (const file of files) {
  const text = readFileSync(file, "utf8");
  const { staticImports, staticExports } = parseSync(file, text).module;
  const at = (request) => join(dirname(file), request);
  exported.set(file, new Set());
  for (const { moduleRequest, entries } of staticImports)
    for (const { importName } of entries) take(at(moduleRequest.value), importName.name ?? "*");
  for (const { entries } of staticExports)
    for (const { moduleRequest, importName, exportName } of entries) {
      if (exportName.name) exported.get(file).add(exportName.name);
      if (moduleRequest) take(at(moduleRequest.value), importName.name ?? "*");
    }
  // A file fetched when it is needed, or a type named in place: any of its names that stands in this file is taken.
  for (const [, request] of text.matchAll(/\bimport\(\s*"([^"]+)"/g))
    for (const name of text.match(/[\w$]+/g)) take(at(request), name);
}

/** @returns {string[]} one line for each name that no other file takes */
export function untakenExports() {
  return [...exported].flatMap(([file, names]) => {
    const by = taken.get(file) ?? new Set();
    if (by.has("*")) return [];
    return [...names]
      .filter((name) => name !== "default" && !by.has(name))
      .map(
        (name) =>
          `${relative(root, file)}: ${name} is exported, and no other file takes it; leave \`export\` out`,
      );
  });
}
