// The sources on another system: Git for Windows turns line ends where nobody says otherwise, and the usual file
// systems of Windows and macOS tell no capitals apart.
import { spawnSync } from "node:child_process";
import { join } from "node:path";
import { describe, expect, test } from "vitest";

const root = join(import.meta.dirname, "..");
const listed = spawnSync("git", ["ls-files", "-z", "--eol"], { cwd: root, encoding: "utf8" });
const files = (listed.stdout ?? "")
  .split("\0")
  .filter((row) => row !== "")
  .map((row) => {
    const [about = "", name = ""] = row.split("\t");
    return { name, attributes: /attr\/(.*)/.exec(about)?.[1]?.trim() };
  });

describe.skipIf(listed.status !== 0)("every file of the repository", () => {
  test("has the same bytes whatever git is set to do with line ends", () => {
    const turned = files.filter(
      ({ attributes }) => attributes !== "text=auto eol=lf" && attributes !== "-text",
    );
    expect(files.length).toBeGreaterThan(700);
    expect(turned).toEqual([]);
  });

  test("has a name that Windows takes, and that differs from every other by more than capitals", () => {
    const names = files.map(({ name }) => name);
    expect(new Set(names.map((name) => name.toLowerCase())).size).toBe(names.length);
    // Microsoft's "Naming Files, Paths, and Namespaces": characters and names that are reserved.
    const reserved = /[<>:"\\|?*]|[ .](?:\/|$)|(?:^|\/)(?:con|prn|aux|nul|com\d|lpt\d)(?:\.|\/|$)/i;
    expect(names.filter((name) => reserved.test(name))).toEqual([]);
  });
});
