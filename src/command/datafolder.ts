import { homedir } from "node:os";
import { join, posix, win32 } from "node:path";

const name = "stillweight";

/**
 * Where data lies when nobody says so. Sources: systemd.exec(5) for STATE_DIRECTORY, the XDG Base Directory
 * Specification 0.8, which has relative paths ignored; on macOS and Windows the system's usual place (common
 * practice, no source).
 */
export function dataFolderIn(
  env: NodeJS.ProcessEnv,
  platform: NodeJS.Platform,
  home: string = homedir(),
): string {
  if (platform === "win32") {
    const local = env["LOCALAPPDATA"];
    return win32.join(absolute(local, win32) ?? win32.join(home, "AppData", "Local"), name);
  }
  if (platform === "darwin") return posix.join(home, "Library", "Application Support", name);
  const ofService = absolute(env["STATE_DIRECTORY"]?.split(":")[0], posix);
  if (ofService !== null) return ofService;
  const ofPerson = absolute(env["XDG_DATA_HOME"], posix);
  return posix.join(ofPerson ?? posix.join(home, ".local", "share"), name);
}

const absolute = (path: string | undefined, style: typeof posix): string | null =>
  path !== undefined && style.isAbsolute(path) ? path : null;

/** Practice has a folder of its own, inside the one for real food. */
export const practiceFolderIn = (dataFolder: string): string => join(dataFolder, "practice");

/** The settings file that is read when none is named. Sources: as above, for XDG_CONFIG_HOME. */
export function settingsFileIn(
  env: NodeJS.ProcessEnv,
  platform: NodeJS.Platform,
  home: string = homedir(),
): string {
  const file = "settings.toml";
  if (platform === "win32") {
    const roaming = absolute(env["APPDATA"], win32) ?? win32.join(home, "AppData", "Roaming");
    return win32.join(roaming, name, file);
  }
  if (platform === "darwin") return posix.join(home, "Library", "Application Support", name, file);
  const ofPerson = absolute(env["XDG_CONFIG_HOME"], posix) ?? posix.join(home, ".config");
  return posix.join(ofPerson, name, file);
}
