import { join } from "node:path";
import { expect, test } from "vitest";
import { dataFolderIn, practiceFolderIn, settingsFileIn } from "../../src/command/datafolder.ts";

// XDG Base Directory Specification 0.8: $HOME/.local/share when unset or empty; relative paths are to be ignored.
// systemd.exec(5): STATE_DIRECTORY holds absolute paths, separated by colons when there are several.
test.each([
  ["linux", {}, "/home/ann/.local/share/stillweight"],
  ["linux", { XDG_DATA_HOME: "" }, "/home/ann/.local/share/stillweight"],
  ["linux", { XDG_DATA_HOME: "/data" }, "/data/stillweight"],
  ["linux", { XDG_DATA_HOME: "data" }, "/home/ann/.local/share/stillweight"],
  ["linux", { XDG_DATA_HOME: "./data" }, "/home/ann/.local/share/stillweight"],
  ["linux", { STATE_DIRECTORY: "/var/lib/stillweight" }, "/var/lib/stillweight"],
  ["linux", { STATE_DIRECTORY: "/var/lib/a:/var/lib/b", XDG_DATA_HOME: "/data" }, "/var/lib/a"],
  ["linux", { STATE_DIRECTORY: "" }, "/home/ann/.local/share/stillweight"],
  ["freebsd", {}, "/home/ann/.local/share/stillweight"],
  ["darwin", { XDG_DATA_HOME: "/data" }, "/home/ann/Library/Application Support/stillweight"],
] as const)("on %s with %j: %s", (platform, env, folder) => {
  expect(dataFolderIn(env, platform, "/home/ann")).toBe(folder);
});

test("on Windows: the person's local application data", () => {
  const home = "C:\\Users\\ann";
  const env = { LOCALAPPDATA: "D:\\Local" };
  expect(dataFolderIn(env, "win32", home)).toBe("D:\\Local\\stillweight");
  expect(dataFolderIn({}, "win32", home)).toBe("C:\\Users\\ann\\AppData\\Local\\stillweight");
});

// systemd.exec(5): CONFIGURATION_DIRECTORY likewise. XDG: $HOME/.config when unset, empty or relative.
test.each([
  ["linux", {}, "/home/ann/.config/stillweight/settings.toml"],
  ["linux", { XDG_CONFIG_HOME: "/etc/xdg" }, "/etc/xdg/stillweight/settings.toml"],
  ["linux", { XDG_CONFIG_HOME: "xdg" }, "/home/ann/.config/stillweight/settings.toml"],
  [
    "linux",
    { CONFIGURATION_DIRECTORY: "/etc/stillweight:/etc/b", XDG_CONFIG_HOME: "/etc/xdg" },
    "/etc/stillweight/settings.toml",
  ],
  ["darwin", {}, "/home/ann/Library/Application Support/stillweight/settings.toml"],
] as const)("on %s with %j the settings file is %s", (platform, env, file) => {
  expect(settingsFileIn(env, platform, "/home/ann")).toBe(file);
});

test("a user without a home folder has the service's folders, or is asked to name one", () => {
  const env = { STATE_DIRECTORY: "/var/lib/stillweight", CONFIGURATION_DIRECTORY: "/etc/still" };
  expect(dataFolderIn(env, "linux", null)).toBe("/var/lib/stillweight");
  expect(settingsFileIn(env, "linux", null)).toBe("/etc/still/settings.toml");
  expect(settingsFileIn({}, "linux", null)).toBeNull();
  for (const platform of ["linux", "darwin", "win32"] as const)
    expect(() => dataFolderIn({}, platform, null)).toThrow(/--data DIR/);
});

test("practice and real food lie in different folders", () => {
  expect(practiceFolderIn("/data/stillweight")).toBe(join("/data/stillweight", "practice"));
});
