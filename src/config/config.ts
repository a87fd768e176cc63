/**
 * What the service is told at its start. In: command line, environment and the text of a settings file (TOML), in
 * this order of precedence. Out: a whole configuration, or everything that is wrong at once.
 */
import { parse, TomlError } from "smol-toml";
import type { Form } from "../reading/form.ts";
import { isProblems, readOwnForm, type OwnFormProblem } from "../reading/ownform.ts";
import { nearest } from "../units/nearest.ts";

export type Config = {
  readonly scales: readonly string[];
  /** null: the platform's folder. */
  readonly data: string | null;
  readonly host: string;
  readonly port: number;
  readonly timeFactor: number;
  /** Further names under which the page is opened. */
  readonly names: readonly string[];
  /** Files in PEM, both or neither. */
  readonly cert: string | null;
  readonly key: string | null;
  readonly proxy: string | null;
  /** What the codes on labels begin with; null: they say the bag's number alone. */
  readonly labelAddress: string | null;
  /** null: a folder inside the data folder. */
  readonly backupTo: string | null;
  /** 0: never. */
  readonly backupHours: number;
  readonly backupKeep: number;
  /** Forms of line that the settings file describes. */
  readonly ownForms: readonly Form[];
};

type ConfigProblem = { readonly where: string; readonly detail: string };
type ReadConfig =
  | { readonly is: "config"; readonly config: Config }
  | { readonly is: "problems"; readonly problems: readonly ConfigProblem[] };

type Key = {
  readonly flag: string;
  /** Its name in the settings file. */
  readonly file: string;
  readonly env: string;
  readonly says: string;
} & (
  | { readonly takes: "texts" }
  | { readonly takes: "text" }
  | { readonly takes: "number"; readonly least: number; readonly most: number }
);

/** Every setting of the start, once; the README's table is compared with it. */
export const keys = {
  scales: {
    flag: "--scale",
    file: "scale",
    env: "STILLWEIGHT_SCALE",
    takes: "texts",
    says: "address of a scale; may be given again, in the environment with blanks between",
  },
  data: {
    flag: "--data",
    file: "data",
    env: "STILLWEIGHT_DATA",
    takes: "text",
    says: "data folder (default: the platform's)",
  },
  host: {
    flag: "--host",
    file: "host",
    env: "STILLWEIGHT_HOST",
    takes: "text",
    says: "address to listen on (default 127.0.0.1)",
  },
  port: {
    flag: "--port",
    file: "port",
    env: "STILLWEIGHT_PORT",
    takes: "number",
    least: 0,
    most: 65_535,
    says: "port to listen on (default 4680; 0 picks a free one)",
  },
  timeFactor: {
    flag: "--time-factor",
    file: "time_factor",
    env: "STILLWEIGHT_TIME_FACTOR",
    takes: "number",
    least: 1,
    most: 100_000,
    says: "how many times as fast the clock runs, for trials (default 1)",
  },
  names: {
    flag: "--name",
    file: "name",
    env: "STILLWEIGHT_NAME",
    takes: "texts",
    says: "a further name under which the page is opened: scale.lan, or https://scale.example; may be given again",
  },
  cert: {
    flag: "--cert",
    file: "cert",
    env: "STILLWEIGHT_CERT",
    takes: "text",
    says: "certificate for https (PEM); with --key",
  },
  key: {
    flag: "--key",
    file: "key",
    env: "STILLWEIGHT_KEY",
    takes: "text",
    says: "the certificate's key (PEM)",
  },
  proxy: {
    flag: "--proxy",
    file: "proxy",
    env: "STILLWEIGHT_PROXY",
    takes: "text",
    says: "address of a reverse proxy that is believed (X-Forwarded-For, X-Forwarded-Proto); pairing is then always needed",
  },
  labelAddress: {
    flag: "--label-address",
    file: "label_address",
    env: "STILLWEIGHT_LABEL_ADDRESS",
    takes: "text",
    says: "lasting address of the page for the codes on labels: http://scale.lan:4680 (default: they say the bag's number alone)",
  },
  backupTo: {
    flag: "--backup-to",
    file: "backup_to",
    env: "STILLWEIGHT_BACKUP_TO",
    takes: "text",
    says: "folder for copies of the record, best on another disk; it has to be there (default: backups in the data folder)",
  },
  backupHours: {
    flag: "--backup-hours",
    file: "backup_hours",
    env: "STILLWEIGHT_BACKUP_HOURS",
    takes: "number",
    least: 0,
    most: 8760,
    says: "hours from one copy to the next (default 24; 0: none)",
  },
  backupKeep: {
    flag: "--backup-keep",
    file: "backup_keep",
    env: "STILLWEIGHT_BACKUP_KEEP",
    takes: "number",
    least: 1,
    most: 1000,
    says: "how many of the newest copies stay, beside one for each of the twelve months before (default 14)",
  },
} as const satisfies Record<Exclude<keyof Config, "ownForms">, Key>;

type Given = { readonly value: unknown; readonly where: string };
type Name = keyof typeof keys;

export function readConfig(given: {
  /** By the name of the setting; a text each, or several for scales. */
  readonly flags: Readonly<Partial<Record<Name, string | readonly string[] | undefined>>>;
  readonly env: Readonly<Record<string, string | undefined>>;
  readonly file: { readonly path: string; readonly text: string } | null;
}): ReadConfig {
  const problems: ConfigProblem[] = [];
  const fromFile = fileValues(given.file, problems);
  const find = (name: Name): Given | null => {
    const { flag, env, file } = keys[name];
    const flagged = given.flags[name];
    if (flagged !== undefined) return { value: flagged, where: flag };
    const fromEnv = given.env[env];
    if (fromEnv !== undefined && fromEnv !== "") return { value: fromEnv, where: env };
    const filed = fromFile[file];
    return filed === undefined ? null : { value: filed, where: `${given.file?.path}: ${file}` };
  };
  const config: Config = {
    scales: texts(find("scales"), problems),
    data: text(find("data"), problems),
    host: text(find("host"), problems) ?? "127.0.0.1",
    port: number(find("port"), keys.port, problems) ?? 4680,
    timeFactor: number(find("timeFactor"), keys.timeFactor, problems) ?? 1,
    names: texts(find("names"), problems),
    cert: text(find("cert"), problems),
    key: text(find("key"), problems),
    proxy: text(find("proxy"), problems),
    labelAddress: text(find("labelAddress"), problems),
    backupTo: text(find("backupTo"), problems),
    backupHours: number(find("backupHours"), keys.backupHours, problems) ?? 24,
    backupKeep: number(find("backupKeep"), keys.backupKeep, problems) ?? 14,
    ownForms: ownForms(fromFile[formsKey], given.file, problems),
  };
  if ((config.cert === null) !== (config.key === null))
    problems.push({
      where: config.cert === null ? keys.cert.flag : keys.key.flag,
      detail: "is missing: a certificate and its key are needed together",
    });
  return problems.length > 0 ? { is: "problems", problems } : { is: "config", config };
}

function fileValues(
  file: { readonly path: string; readonly text: string } | null,
  problems: ConfigProblem[],
): Readonly<Record<string, unknown>> {
  if (file === null) return {};
  try {
    const values: Readonly<Record<string, unknown>> = parse(file.text);
    const known = [...Object.values(keys).map((key) => key.file), formsKey];
    for (const name of Object.keys(values))
      if (!known.some((one) => one === name))
        problems.push({
          where: `${file.path}: ${name}`,
          detail: `is not a setting; did you mean ${nearest(name, known)}?`,
        });
    return values;
  } catch (thrown) {
    if (!(thrown instanceof TomlError)) throw thrown;
    const line = file.text.split("\n")[thrown.line - 1] ?? "";
    const isPath = /"[^"]*\\/.test(line);
    const hint = isPath ? "write a path with \\ in single quotes, as in 'C:\\scale'. " : "";
    const detail = `${hint}${thrown.message}`;
    problems.push({ where: `${file.path}, line ${thrown.line}`, detail });
    return {};
  }
}

/** The tables `[[form]]` of the file. */
const formsKey = "form";
/** Each costs a look at every line while a stream is recognised. */
const mostForms = 16;

function ownForms(
  value: unknown,
  file: { readonly path: string; readonly text: string } | null,
  problems: ConfigProblem[],
): readonly Form[] {
  if (value === undefined || file === null) return [];
  if (!Array.isArray(value) || value.length > mostForms) {
    const detail = `has to be at most ${mostForms} tables, each begun with [[form]]`;
    problems.push({ where: `${file.path}: ${formsKey}`, detail });
    return [];
  }
  const forms: Form[] = [];
  value.forEach((table: unknown, at) => {
    const read = readOwnForm(table);
    const say = (problem: OwnFormProblem): void => {
      const line = lineOfProblem(file.text, at, problem);
      const part = problem.part === null ? "" : `, part ${problem.part} of the line`;
      const where = `${file.path}, line ${line}: form ${at + 1}${part}`;
      problems.push({ where, detail: problem.detail });
    };
    if (isProblems(read)) for (const problem of read.problems) say(problem);
    else if (forms.some(({ name }) => name === read.name))
      say({ key: "name", part: null, detail: `"${read.name}" is there twice; rename one` });
    else forms.push(read);
  });
  return forms;
}

/**
 * Where in the text the fault most likely stands; the parser keeps no places. From 1; the form's head where
 * nothing nearer is found.
 */
function lineOfProblem(text: string, form: number, { key, part }: OwnFormProblem): number {
  const lines = text.split("\n").map((line) => (/^\s*#/.test(line) ? "" : line));
  const heads = lines.flatMap((line, at) => (/^\s*\[\[\s*form\s*\]\]/.test(line) ? [at] : []));
  const head = heads[form] ?? 0;
  const own = lines.slice(head, heads[form + 1]);
  let seen = 0;
  const at = own.findIndex((line) => {
    if (part === null) return key !== null && keyOfLine(line) === key;
    seen += line.match(/\bpart\s*=/g)?.length ?? 0;
    return seen >= part;
  });
  return head + Math.max(at, 0) + 1;
}

const keyOfLine = (line: string): string | undefined =>
  /^\s*"?(?<key>[^"=\s]+)"?\s*=/.exec(line)?.groups?.["key"];

function texts(given: Given | null, problems: ConfigProblem[]): readonly string[] {
  if (given === null) return [];
  const { value, where } = given;
  const list: unknown[] =
    typeof value === "string" ? value.split(/\s+/) : Array.isArray(value) ? value : [value];
  const good = list.filter((one): one is string => typeof one === "string" && one !== "");
  if (good.length < list.length)
    problems.push({
      where,
      detail: list.includes("") ? "is empty" : `${JSON.stringify(value)} is not a list of texts`,
    });
  return good;
}

function text(given: Given | null, problems: ConfigProblem[]): string | null {
  if (given === null) return null;
  if (typeof given.value === "string" && given.value !== "") return given.value;
  const detail = given.value === "" ? "is empty" : `${JSON.stringify(given.value)} is not a text`;
  problems.push({ where: given.where, detail });
  return null;
}

function number(
  given: Given | null,
  { least, most }: { readonly least: number; readonly most: number },
  problems: ConfigProblem[],
): number | null {
  if (given === null) return null;
  const { value, where } = given;
  const isText = typeof value === "string" && value.trim() !== "";
  const read = isText ? Number(value) : typeof value === "number" ? value : Number.NaN;
  if (Number.isInteger(read) && read >= least && read <= most) return read;
  problems.push({
    where,
    detail: `${JSON.stringify(value)} is not a whole number from ${least} to ${most}`,
  });
  return null;
}
