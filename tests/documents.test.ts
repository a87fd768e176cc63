// What the documents name is there: files, chapters, commands.
import { existsSync, readdirSync, readFileSync } from "node:fs";
import { basename, dirname, join } from "node:path";
import { expect, test } from "vitest";

const root = join(import.meta.dirname, "..");
const read = (file: string): string => readFileSync(join(root, file), "utf8");
const documents = [
  "README.md",
  "DEVELOPERS.md",
  ...readdirSync(join(root, "docs"))
    .filter((name) => name.endsWith(".md"))
    .map((name) => `docs/${name}`),
];

/** A path is said from the root, or from the folder of sources in which it lies. */
const places = ["", "src", "web", "web/src"];
const files = ["src", "web", "tests", "bench", "docs", ".ci", "docker", "fixtures"].flatMap(
  (folder) =>
    readdirSync(join(root, folder), { recursive: true, encoding: "utf8" }).map((name) =>
      join(folder, name),
    ),
);
const names = new Set([...files, ...readdirSync(root)].map((file) => basename(file)));

const isThere = (named: string): boolean =>
  named.includes("/")
    ? places.some((place) => existsSync(join(root, place, named)))
    : names.has(named);

/** As a page of a forge makes it of a heading. */
const anchorOf = (heading: string): string =>
  heading
    .toLowerCase()
    .replaceAll(/[^\p{L}\p{N} -]/gu, "")
    .replaceAll(" ", "-");

const chaptersOf = (file: string): readonly string[] =>
  [...read(file).matchAll(/^#+ (.+)$/gm)].map(([, heading = ""]) => anchorOf(heading));

test.each(documents)("%s names files that are there", (document) => {
  const sources = [
    ...read(document).matchAll(/`((?:[\w.-]+\/)*[\w.-]+\.(?:tsx?|mjs|css|sql|py|rules|service))`/g),
  ].map(([, named = ""]) => named);
  // Capitals stand for any name.
  const missing = sources.filter((named) => !/[A-Z]{4}/.test(named) && !isThere(named));
  expect(missing).toEqual([]);
  if (document === "DEVELOPERS.md") expect(sources.length).toBeGreaterThan(50);
});

test.each(documents)("%s leads to files and chapters that are there", (document) => {
  for (const [link, to = "", chapter] of read(document).matchAll(
    /\]\((?!https?:)([^)#]*)(?:#([^)]+))?\)/g,
  )) {
    const file = to === "" ? document : join(dirname(document), to);
    expect(existsSync(join(root, file)), link).toBe(true);
    if (chapter !== undefined) expect(chaptersOf(file), link).toContain(chapter);
  }
});

test.each(documents)("%s names commands that package.json has", (document) => {
  const { scripts } = JSON.parse(read("package.json")) as { readonly scripts: object };
  for (const [, script = ""] of read(document).matchAll(/npm run ([\w:]+)/g))
    expect(scripts, script).toHaveProperty([script]);
});
