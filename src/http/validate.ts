/** Checks a request against its schema and says in plain words which parts are not right, all at once. */
import type { FastifySchemaCompiler } from "fastify";
import type { TSchema } from "typebox";
import { Compile } from "typebox/compile";
import Format from "typebox/format";
import { Settings } from "typebox/system";
import { Fault } from "../faults.ts";
import { isLegible, inOneForm, tooLong } from "../units/written.ts";

type Wrong = { readonly pointer: string; readonly detail: string };
type Found = ReturnType<ReturnType<typeof Compile>["Errors"]>[number];

// Enough for a batch of 60 trays with something wrong in each.
Settings.Set({ maxErrors: 250 });
// RFC 3339 knows leap seconds (23:59:60); the clock that has to read them does not.
Format.Set("date-time", (text) => Format.IsDateTime(text) && !Number.isNaN(Date.parse(text)));

/** Half of a character written in two halves. The store would keep another text than the one that was digested. */
const halfCharacter = /\p{Surrogate}/u;

/** Parts of bodies that are words of a person; addresses, secrets, files and words of ours are kept to the letter. */
const typedParts = new Set([
  "name",
  "tray",
  "dryer",
  "food",
  "product",
  "supplier",
  "lot",
  "although",
  "reason",
  "note",
  "currency",
]);

/** What a body says, names and reasons in one form each; undefined where it is empty. Throws input.invalid. */
export function bodyIn(text: string): unknown {
  if (text === "") return undefined;
  let hasHalf = false;
  const illegible: Wrong[] = [];
  let body: unknown;
  try {
    body = JSON.parse(text, (name, part: unknown) => {
      if (typeof part !== "string") return part;
      hasHalf ||= halfCharacter.test(part);
      if (!typedParts.has(name)) return part;
      if (!isLegible(part))
        illegible.push({ pointer: `#/${name}`, detail: `${name} ${tooManyMarks}` });
      return inOneForm(part);
    });
  } catch (error) {
    throw new Fault("input.invalid", "the body is not JSON", { cause: error });
  }
  if (hasHalf)
    throw new Fault(
      "input.invalid",
      "a text in it has half of a character (an unpaired surrogate)",
    );
  if (illegible.length > 0) throw notAsAsked(illegible);
  return body;
}

const tooManyMarks = "has more marks on one letter than can be read";

function notAsAsked(errors: readonly Wrong[]): Fault {
  const many = errors.length === 1 ? "one part is" : `${errors.length} parts are`;
  return new Fault("input.invalid", `${many} not as asked for`, { errors });
}

/** Only whole numbers come in addresses and headers. "1e3", " 7" and "0x10" stay text, and are refused as such. */
function numbersIn(schema: TSchema, given: unknown): unknown {
  const parts = (schema as { properties?: Record<string, { type?: unknown }> }).properties ?? {};
  return Object.fromEntries(
    Object.entries(given ?? {}).map(([name, value]: [string, unknown]) => {
      const isWhole = parts[name]?.type === "integer" && /^\d{1,15}$/.test(String(value));
      return [name, isWhole && typeof value === "string" ? Number(value) : value];
    }),
  );
}

/** Where in a request a part stands: the body's own pointers, `#/query/…`, `#/path/…` or `#/header/…`. */
const roots: Readonly<Record<string, string>> = {
  querystring: "#/query",
  params: "#/path",
  headers: "#/header",
};

export const validatorCompiler: FastifySchemaCompiler<TSchema> = ({ schema, httpPart }) => {
  const check = Compile(schema);
  const root = roots[httpPart ?? ""];
  return (given: unknown) => {
    const value = root === undefined ? given : numbersIn(schema, given);
    if (check.Check(value)) return { value };
    return { error: notAsAsked(wrongParts(check.Errors(value), value, root ?? "#")) };
  };
};

function wrongParts(found: readonly Found[], value: unknown, root: string): Wrong[] {
  const all = found.flatMap((one) => wrongPart(one, value, root));
  const seen = new Set<string>();
  return all.filter(({ pointer, detail }) => {
    const isNew = !seen.has(pointer + detail);
    seen.add(pointer + detail);
    return isNew;
  });
}

function wrongPart(found: Found, value: unknown, root: string): Wrong[] {
  const say = (path: string, detail: string): Wrong => ({
    pointer: root + path,
    detail: `${path === "" ? "it" : path.slice(1)} ${detail}`,
  });
  const path = found.instancePath;
  const got = (detail: string): Wrong[] => [say(path, `${detail} (got ${shown(at(value, path))})`)];
  switch (found.keyword) {
    case "required":
      return found.params.requiredProperties.map((name) =>
        say(`${path}/${escaped(name)}`, "is missing"),
      );
    case "additionalProperties":
      return found.params.additionalProperties.map((name) =>
        say(`${path}/${escaped(name)}`, "is not known here"),
      );
    // "schema is false" repeats an unknown part; "anyOf" and its null branch only say that a part may be left null.
    case "boolean":
    case "anyOf":
      return [];
    case "type":
      if (found.params.type === "null" && found.schemaPath.includes("/anyOf/")) return [];
      return got(found.message);
    case "enum":
      return got(`must be one of ${found.params.allowedValues.join(", ")}`);
    case "format":
      return got("must be a time with its offset, such as 2026-01-31T18:00:00+01:00");
    case "maxLength":
      return isName.test(path)
        ? [{ pointer: root + path, detail: tooLong(String(at(value, path)), found.params.limit) }]
        : got(found.message);
    default:
      return got(found.message);
  }
}

/** Parts that a person fills in with a name: whoever typed one too long knows nothing of parts. */
const isName = /\/(?:name|food|product|supplier|dryer)$/;

const escaped = (name: string): string => name.replaceAll("~", "~0").replaceAll("/", "~1");

/** The value at a JSON pointer. */
function at(value: unknown, pointer: string): unknown {
  return pointer
    .split("/")
    .slice(1)
    .map((part) => part.replaceAll("~1", "/").replaceAll("~0", "~"))
    .reduce<unknown>(
      (inside, part) =>
        typeof inside === "object" && inside !== null ? Reflect.get(inside, part) : undefined,
      value,
    );
}

function shown(value: unknown): string {
  if (value === null || value === undefined) return "nothing";
  if (Array.isArray(value)) return "a list";
  if (typeof value === "object") return "an object";
  const text = JSON.stringify(value);
  return text.length > 60 ? `${text.slice(0, 60)}…` : text;
}
