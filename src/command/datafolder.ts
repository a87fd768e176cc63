import { homedir } from "node:os";
import { join, posix, win32 } from "node:path";
import { Fault } from "../faults.ts";

const name = "stillweight";
const settings = "settings.toml";

/** null: a user that the system knows by number alone, as of a service, has none. */
function homeFolder(): string | null {
  try {
    return homedir();
  } catch {
    return null;
  }
}

/**
 * Where data lies when nobody says so. Sources: systemd.exec(5) for STATE_DIRECTORY, the XDG Base Directory
 * Specification 0.8, which has relative paths ignored; on macOS and Windows the system's usual place (common
 * practice, no source). Refused where there is no such place.
 */
export function dataFolderIn(
  env: NodeJS.ProcessEnv,
  platform: NodeJS.Platform,
  home: string | null = homeFolder(),
): string {
  const inHome = (style: typeof posix, ...parts: string[]): string => {
    const folder = under(home, style, ...parts);
    if (folder !== null) return folder;
    throw new Fault(
      "word.unknown-command",
      "this user has no home folder to keep the data in: name a folder with --data DIR",
    );
  };
  if (platform === "win32") {
    const local = absolute(env["LOCALAPPDATA"], win32);
    return win32.join(local ?? inHome(win32, "AppData", "Local"), name);
  }
  if (platform === "darwin") return inHome(posix, "Library", "Application Support", name);
  const ofService = firstOf(env["STATE_DIRECTORY"]);
  if (ofService !== null) return ofService;
  const ofPerson = absolute(env["XDG_DATA_HOME"], posix);
  return posix.join(ofPerson ?? inHome(posix, ".local", "share"), name);
}

const absolute = (path: string | undefined, style: typeof posix): string | null =>
  path !== undefined && style.isAbsolute(path) ? path : null;

const under = (folder: string | null, style: typeof posix, ...parts: string[]): string | null =>
  folder === null ? null : style.join(folder, ...parts);

/** A service's folders are separated by colons; one is ours. */
const firstOf = (folders: string | undefined): string | null =>
  absolute(folders?.split(":")[0], posix);

/** Practice has a folder of its own, inside the one for real food. */
export const practiceFolderIn = (dataFolder: string): string => join(dataFolder, "practice");

/**
 * The settings file that is read when none is named; null: no place for one. Sources: as above, for
 * CONFIGURATION_DIRECTORY and XDG_CONFIG_HOME.
 */
export function settingsFileIn(
  env: NodeJS.ProcessEnv,
  platform: NodeJS.Platform,
  home: string | null = homeFolder(),
): string | null {
  if (platform === "darwin")
    return under(home, posix, "Library", "Application Support", name, settings);
  if (platform === "win32") {
    const ofPerson = absolute(env["APPDATA"], win32) ?? under(home, win32, "AppData", "Roaming");
    return under(ofPerson, win32, name, settings);
  }
  const ofService = firstOf(env["CONFIGURATION_DIRECTORY"]);
  if (ofService !== null) return posix.join(ofService, settings);
  const ofPerson = absolute(env["XDG_CONFIG_HOME"], posix) ?? under(home, posix, ".config");
  return under(ofPerson, posix, name, settings);
}
