// Runs oxlint with rules made from the table in house.mjs, and looks for exports that nothing takes.
import { spawnSync } from "node:child_process";
import { mkdirSync, readdirSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { untakenExports } from "./exports.mjs";
import { computingFiles, folders, packageHomes } from "./house.mjs";
import { toolIn } from "./tools.mjs";

const root = join(import.meta.dirname, "..");
const all = Object.keys(folders);

const onDisk = readdirSync(join(root, "src"), { withFileTypes: true })
  .filter((entry) => entry.isDirectory())
  .map((entry) => entry.name);
const unlisted = onDisk.filter((name) => !all.includes(name));
if (unlisted.length > 0) {
  console.error(`not in .ci/house.mjs: ${unlisted.join(", ")}`);
  process.exit(1);
}

const untaken = untakenExports();
if (untaken.length > 0) {
  console.error(untaken.join("\n"));
  process.exit(1);
}

const nodeModules = { group: ["node:*"], message: "a computing folder has no file and no network" };

function importRules(name, { computes, may, packages }) {
  const patterns = [];
  if (may !== "any") {
    const closed = all.filter((other) => other !== name && !may.includes(other));
    patterns.push({
      group: closed.map((other) => `**/${other}/**`),
      message: `${name}/ may take values only from: ${[...may, name].join(", ")} (types from any)`,
      allowTypeImports: true,
    });
  }
  if (computes) {
    patterns.push(nodeModules);
    patterns.push({
      group: ["**/clock.ts"],
      message: "time comes in as a value",
      allowTypeImports: true,
    });
  }
  const paths = Object.entries(packageHomes)
    .filter(([, home]) => home !== name)
    .map(([pack, home]) => ({ name: pack, message: `only ${home}/ may`, allowTypeImports: true }));
  if (computes) {
    const known = [...["typebox", "jstat", "smol-toml", "pino", "ws"], ...["pdfkit", "uqr"]];
    for (const pack of known.filter((one) => !packages.includes(one)))
      paths.push({ name: pack, message: `not listed for ${name}/` });
  }
  return ["error", { paths, patterns }];
}

const pure = {
  "no-restricted-globals": [
    "error",
    ...["process", "Date", "setTimeout", "setInterval", "setImmediate", "fetch", "performance"].map(
      (name) => ({ name, message: "a computing folder gets time and chance as values" }),
    ),
  ],
  "no-restricted-properties": ["error", { object: "Math", property: "random" }],
};

const config = {
  plugins: ["typescript", "import", "oxc", "unicorn", "promise"],
  categories: { correctness: "error" },
  rules: {
    "import/no-cycle": "error",
    "typescript/no-explicit-any": "error",
    "typescript/no-floating-promises": "error",
    "typescript/no-misused-promises": "error",
    "typescript/no-unsafe-assignment": "error",
    "typescript/no-unsafe-call": "error",
    "typescript/no-unsafe-return": "error",
    "typescript/switch-exhaustiveness-check": [
      "error",
      { considerDefaultExhaustiveForUnions: true },
    ],
    "no-console": "off",
    eqeqeq: ["error", "always"],
  },
  ignorePatterns: ["dist/**", "node_modules/**", ".build/**"],
  overrides: [
    ...all.map((name) => ({
      files: [`src/${name}/**/*.ts`],
      rules: {
        "no-restricted-imports": importRules(name, folders[name]),
        ...(folders[name].computes ? pure : {}),
      },
    })),
    { files: computingFiles, rules: pure },
    {
      files: ["web/src/**/*.ts", "web/src/**/*.tsx"],
      rules: {
        "no-restricted-imports": [
          "error",
          {
            patterns: [
              {
                group: [...all.filter((name) => name !== "units" && name !== "wire"), "wire"].map(
                  (name) => (name === "wire" ? "**/src/wire/messages*" : `**/src/${name}/**`),
                ),
                message: "the page takes values from units/ and wire/version.ts alone",
                allowTypeImports: true,
              },
            ],
          },
        ],
      },
    },
  ],
};

mkdirSync(join(root, ".build"), { recursive: true });
const configFile = join(root, ".build", "oxlint.json");
writeFileSync(configFile, JSON.stringify(config, null, 2));
const targets = process.argv.slice(2);
const done = spawnSync(
  process.execPath,
  [
    toolIn(root, "oxlint"),
    "-c",
    configFile,
    "--type-aware",
    "--deny-warnings",
    ...(targets.length ? targets : ["src", "web/src", "tests", "bench"]),
  ],
  { cwd: root, stdio: "inherit" },
);
process.exit(done.status ?? 1);
