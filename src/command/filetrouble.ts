/** What the system said of a file that a person named, in words that say what to do next. */
const words: Readonly<Record<string, string>> = {
  ENOENT: "there is no such file or folder; look at its name",
  EISDIR: "it is a folder; name a file",
  ENOTDIR: "a part of its path is a file, not a folder; look at its name",
  EEXIST: "it is there already; name a new file",
  EACCES: "the rights to it are missing; look at whose it is",
  EPERM: "the rights to it are missing; look at whose it is",
  EROFS: "its disk may only be read; name a file elsewhere",
  ENOSPC: "its disk is full; make room",
};

export function fileTrouble(thrown: unknown): string {
  if (!(thrown instanceof Error)) return String(thrown);
  const code = "code" in thrown ? String(thrown.code) : "";
  return words[code] ?? thrown.message;
}
