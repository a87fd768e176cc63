// The layout of the code as rules. `may` lists the folders whose values (not only types) a folder may import;
// `packages` the packages. Folders that compute also get no clock, no file, no network and no chance.

/** In the order in which the data flows; a computing folder may import only folders above it. */
export const folders = {
  units: { computes: true, may: [], packages: [] },
  reading: { computes: true, may: ["units"], packages: [] },
  settle: { computes: true, may: ["units"], packages: [] },
  food: { computes: true, may: ["units"], packages: [] },
  tray: { computes: true, may: ["units"], packages: [] },
  drying: {
    computes: true,
    may: ["units"],
    packages: ["jstat"],
  },
  verdict: {
    computes: true,
    may: ["units", "food", "tray", "drying"],
    packages: ["jstat"],
  },
  bag: { computes: true, may: ["units", "food", "tray"], packages: [] },
  label: {
    computes: true,
    may: ["units", "food", "bag"],
    packages: ["pdfkit", "uqr", "bidi-js", "linebreak"],
  },
  alert: { computes: true, may: ["units", "tray"], packages: [] },
  wire: { computes: true, may: ["units"], packages: ["typebox"] },
  config: { computes: true, may: ["units", "reading"], packages: ["smol-toml"] },
  practice: { computes: true, may: ["units", "reading", "tray"], packages: [] },
  port: { computes: false, may: ["units", "reading", "practice"] },
  store: { computes: false, may: ["units"] },
  send: { computes: false, may: ["units", "alert"] },
  http: { computes: false, may: ["units", "wire"] },
  service: { computes: false, may: "any" },
  command: { computes: false, may: "any" },
};

/** Files of an acting folder that compute all the same. */
export const computingFiles = [
  "port/uri",
  ...[
    "bench",
    "apply",
    "look",
    "loads",
    "acts",
    "step",
    "given",
    "replay",
    "show",
    "csv",
    "measures",
    "foods",
    "pour",
    "kitchen",
    "comparing",
    "onescale",
    "repeats",
    "redry",
    "search",
    "warnings",
    "showkitchen",
    "yields",
  ].map((name) => `service/${name}`),
  ...["bags", "bagloads", "showbag"].map((name) => `service/${name}`),
].map((path) => `src/${path}.ts`);

/** Packages that only one folder may touch. */
export const packageHomes = {
  "better-sqlite3": "store",
  serialport: "port",
  "@serialport/parser-readline": "port",
  fastify: "http",
  mqtt: "send",
};
