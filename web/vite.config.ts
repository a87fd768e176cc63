import { defineConfig } from "vite";

type Graph = { getModuleInfo(id: string): { isEntry: boolean; importers: string[] } | null };

/** Whether a file is needed for the first weight: imported by the entry, or by a file that is, not when a page is opened. */
function isFirst(id: string, graph: Graph, seen = new Set<string>()): boolean {
  if (seen.has(id)) return false;
  seen.add(id);
  const of = graph.getModuleInfo(id);
  return of !== null && (of.isEntry || of.importers.some((one) => isFirst(one, graph, seen)));
}

type Files = Record<string, { type: "chunk"; code: string } | { type: "asset" }>;

/** Where a style was taken out of a script, the builder leaves a note. */
const withoutNotes = {
  name: "without-notes",
  enforce: "post",
  generateBundle(_: unknown, files: Files): void {
    for (const file of Object.values(files))
      if (file.type === "chunk") file.code = file.code.replace(/\/\* empty css\s*\*\//g, "");
  },
} as const;

export default defineConfig({
  plugins: [withoutNotes],
  root: import.meta.dirname,
  base: "./",
  build: {
    outDir: "../dist/web",
    emptyOutDir: true,
    // The oldest browsers are in README; what ES2022 has beyond them `tests/web/oldest.test.ts` forbids.
    target: "es2022",
    cssTarget: ["chrome105", "firefox121", "safari15.4"],
    // The strict content policy of the service allows no inline script, style or data address.
    assetsInlineLimit: 0,
    // A page asks itself for what it shares with others: to name that beforehand costs more than one way to the service.
    modulePreload: false,
    // The first load in one file: cut in three by what later pages share of it, it is the larger and asked for thrice.
    rolldownOptions: {
      output: {
        codeSplitting: {
          groups: [
            { name: (id, graph) => (isFirst(id, graph) ? "first" : null) },
            // A few lines each, which several pages share: as files of their own they are larger.
            {
              name: "bag-parts",
              test: /\/(ask-bags|bag-texts|label-choice|bag-at-scale|typed-bag-weight|fates|with-code|find-bag|packed-bags|from-top|shelf-mark|label-links)\.tsx?$/,
            },
            {
              name: "kitchen-parts",
              test: /\/(ask-kitchen|kitchen-texts|asking-scale|food-field|yields)\.tsx?$/,
            },
          ],
        },
      },
    },
  },
  oxc: { jsx: { runtime: "automatic", importSource: "preact" } },
});
