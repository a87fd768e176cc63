/** What a program asked of its files, in order, from a trace of its system calls by strace(1). */

export type Event =
  | { readonly is: "write"; readonly file: string; readonly at: number; readonly bytes: Buffer }
  | { readonly is: "truncate"; readonly file: string; readonly length: number }
  | { readonly is: "sync"; readonly file: string }
  /** The names in the folder: what was taken away stays away. */
  | { readonly is: "sync-names" }
  | { readonly is: "unlink"; readonly file: string }
  | { readonly is: "said"; readonly text: string };

const calls = "trace=pwrite64,write,fdatasync,fsync,ftruncate,unlink";
export const straceArguments = "-e CALLS -xx -y -s 1000000 -e signal=none"
  .split(" ")
  .map((part) => (part === "CALLS" ? calls : part));

const call =
  /^(?<name>\w+)\((?:(?<fd>\d+)(?:<(?<file>[^>]*)>)?(?:, )?)?(?:"(?<text>[^"]*)"(?<cut>\.\.\.)?(?:, )?)?(?<rest>[^)]*)\)\s+= (?<result>-?\d+)/;

/** Throws on a line that it does not understand: an overlooked write would prove nothing. */
export function eventsOf(trace: string, folder: string): readonly Event[] {
  return trace.split("\n").flatMap((line) => {
    if (line === "" || line.startsWith("+++") || line.startsWith("---")) return [];
    const parts = call.exec(line)?.groups;
    // The kill cuts the last call short.
    if (!parts) {
      if (line.includes("<unfinished") || !line.includes(") = ") || line.includes("= ?")) return [];
      throw new Error(`not understood: ${line.slice(0, 200)}`);
    }
    if (Number(parts["result"]) < 0) return [];
    if (parts["cut"]) throw new Error(`cut short: ${line.slice(0, 100)}`);
    const event = eventFrom(parts, folder);
    return event === null ? [] : [event];
  });
}

function eventFrom(
  parts: Readonly<Record<string, string | undefined>>,
  folder: string,
): Event | null {
  const bytes = Buffer.from((parts["text"] ?? "").replaceAll("\\x", ""), "hex");
  const path = parts["name"] === "unlink" ? bytes.toString() : unescaped(parts["file"] ?? "");
  if (parts["name"] === "write" && parts["fd"] === "1")
    return { is: "said", text: bytes.toString() };
  if (path === folder && parts["name"] === "fsync") return { is: "sync-names" };
  if (!path.startsWith(`${folder}/`)) return null;
  const file = path.slice(folder.length + 1);
  const numbers = (parts["rest"] ?? "").split(", ").map(Number);
  switch (parts["name"]) {
    case "pwrite64":
      return { is: "write", file, at: numbers.at(-1) ?? 0, bytes };
    case "ftruncate":
      return { is: "truncate", file, length: numbers[0] ?? 0 };
    case "fsync":
    case "fdatasync":
      return { is: "sync", file };
    case "unlink":
      return { is: "unlink", file };
    default:
      throw new Error(`${parts["name"]} on ${file}: its place in the file is not known`);
  }
}

const unescaped = (text: string): string =>
  text.includes("\\x") ? Buffer.from(text.replaceAll("\\x", ""), "hex").toString() : text;
