import { readFileSync } from "node:fs";
import { expect, test } from "vitest";
import { keys, readConfig } from "../../src/config/config.ts";
import { noFacts } from "../../src/reading/form.ts";
import { said } from "../../src/reading/piece.ts";
import fc from "../rig/properties.ts";

const file = (text: string) => ({ path: "settings.toml", text });
const nothing = { flags: {}, env: {}, file: null };

const backups = { backupTo: null, backupHours: 24, backupKeep: 14 };
/** What only a settings file or a network adds. */
const noNetwork = {
  ownForms: [],
  names: [],
  cert: null,
  key: null,
  proxy: null,
  labelAddress: null,
  ...backups,
};

test("with nothing said: loopback, port 4680, no scale, the clock as it is", () => {
  expect(readConfig(nothing)).toEqual({
    is: "config",
    config: { scales: [], data: null, host: "127.0.0.1", port: 4680, timeFactor: 1, ...noNetwork },
  });
});

test("the command line wins over the environment, and that over the file", () => {
  const env = { STILLWEIGHT_PORT: "5001", STILLWEIGHT_SCALE: "/dev/a /dev/b" };
  const text = 'port = 5002\nscale = ["/dev/c"]\nhost = "::1"\n';
  expect(readConfig({ flags: { port: "5000" }, env, file: file(text) })).toEqual({
    is: "config",
    config: {
      scales: ["/dev/a", "/dev/b"],
      data: null,
      host: "::1",
      port: 5000,
      timeFactor: 1,
      ...noNetwork,
    },
  });
});

test.each([
  ["prot = 1", "settings.toml: prot", "did you mean port"],
  ["port = 70000", "settings.toml: port", "70000 is not a whole number from 0 to 65535"],
  ['port = "x"', "settings.toml: port", "not a whole number"],
  ["scale = 3", "settings.toml: scale", "not a list of texts"],
  ["data = true", "settings.toml: data", "not a text"],
  ['data = ""', "settings.toml: data", "is empty"],
  ['scale = [""]', "settings.toml: scale", "is empty"],
  ["port = ", "settings.toml, line 1", "Invalid TOML"],
  ['data = "C:\\Users\\anna"', "settings.toml, line 1", "in single quotes"],
])("%s is refused with its place", (text, where, detail) => {
  const read = readConfig({ ...nothing, file: file(text) });
  expect(read.is).toBe("problems");
  if (read.is !== "problems") return;
  expect(read.problems[0]?.where).toBe(where);
  expect(read.problems[0]?.detail).toContain(detail);
});

const ownForm = `[[form]]
name = "bench"
# a comment with part = "sign" in it
line = [
  { part = "padding" },
  { part = "digit" },
]

[[form]]
name = "other"
lenght = 12
line = [{ part = "digits" }]
`;

test("a form in the file that is wrong is refused with its line, its part and what to write", () => {
  const read = readConfig({ ...nothing, file: file(ownForm) });
  expect(read).toMatchObject({
    problems: [
      {
        where: "settings.toml, line 6: form 1, part 2 of the line",
        detail: '"digit" is no part; did you mean "digits"?',
      },
      {
        where: "settings.toml, line 11: form 2",
        detail: '"lenght" is not known here; did you mean "length"?',
      },
    ],
  });
});

test("a form in the file that is right is taken, and the same name twice is refused", () => {
  const right = ownForm.replace('"digit"', '"digits"').replace("lenght", "length");
  const read = readConfig({ ...nothing, file: file(right) });
  expect(read.is === "config" && read.config.ownForms.map(({ name }) => name)).toEqual([
    "own:bench",
    "own:other",
  ]);
  const twice = readConfig({ ...nothing, file: file(right.replace("other", "bench")) });
  expect(twice).toMatchObject({ problems: [{ where: "settings.toml, line 10: form 2" }] });
});

test("everything that is wrong is said at once", () => {
  const read = readConfig({
    flags: { port: "" },
    env: { STILLWEIGHT_TIME_FACTOR: "0" },
    file: file("hots = 1"),
  });
  expect(read.is === "problems" && read.problems.map(({ where }) => where)).toEqual([
    "settings.toml: hots",
    "--port",
    "STILLWEIGHT_TIME_FACTOR",
  ]);
});

test("a certificate without its key is refused", () => {
  const read = readConfig({ ...nothing, flags: { cert: "cert.pem" } });
  expect(read.is === "problems" && read.problems.map(({ where }) => where)).toEqual(["--key"]);
});

test("no text of a file makes it throw", () => {
  fc.assert(
    fc.property(fc.string(), (text) => {
      expect(["config", "problems"]).toContain(readConfig({ ...nothing, file: file(text) }).is);
    }),
  );
});

test("the README has every setting, with its name in the file and in the environment", () => {
  const readme = readFileSync(`${import.meta.dirname}/../../README.md`, "utf8");
  for (const { flag, file: name, env, says } of Object.values(keys))
    expect(readme).toContain(`| \`${flag}\` | \`${name}\` | \`${env}\` | ${says} |`);
});

test("the forms that the documents describe are read as they stand there", () => {
  const page = readFileSync(`${import.meta.dirname}/../../docs/scale-forms.md`, "utf8");
  const text = [...page.matchAll(/```toml\n(.*?)```/gs)].map(([, toml]) => toml).join("\n");
  const read = readConfig({ ...nothing, file: file(text) });
  const forms = read.is === "config" ? read.config.ownForms : [];
  expect(forms.map(({ name }) => name)).toEqual(["own:bakery", "own:cellar"]);
  expect(said(forms[0]!, noFacts, "W:     412,6 GRM;*")).toMatchObject({
    mass: 412.6,
    division: 0.1,
    scaleSaysStill: true,
  });
});
