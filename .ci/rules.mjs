// The table in house.mjs as rules of oxlint.
import { computingFiles, folders, packageHomes, sharedWithPage } from "./house.mjs";

const all = Object.keys(folders);

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

/** `files` are looked for below the folder in which the configuration lies, unless they begin with a wildcard. */
export const config = {
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
      files: [`**/src/${name}/**/*.ts`],
      rules: {
        "no-restricted-imports": importRules(name, folders[name]),
        ...(folders[name].computes ? pure : {}),
      },
    })),
    { files: computingFiles.map((file) => `**/${file}`), rules: pure },
    {
      files: ["**/web/src/**/*.ts", "**/web/src/**/*.tsx"],
      rules: {
        "no-restricted-imports": [
          "error",
          {
            patterns: [
              {
                group: [...all.filter((name) => name !== "units" && name !== "wire"), "wire"]
                  .map((name) => (name === "wire" ? "**/src/wire/messages*" : `**/src/${name}/**`))
                  .concat(sharedWithPage.map((file) => `!**/${file}`)),
                message: `the page takes values from units/, wire/version.ts, ${sharedWithPage.join(", ")} alone`,
                allowTypeImports: true,
              },
            ],
          },
        ],
      },
    },
  ],
};
