// The layout of the code as rules. `may` lists the folders whose values (not only types) a folder may import;
// `packages` the packages. Folders that compute also get no clock, no file, no network and no chance.
import { readdirSync } from "node:fs";
import { join } from "node:path";

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
  store: { computes: false, may: ["units", "tray"] },
  send: { computes: false, may: ["units", "alert"] },
  http: { computes: false, may: ["units", "wire"] },
  service: { computes: false, may: "any" },
  command: { computes: false, may: "any" },
};

/** Of service/, what acts; everything else there computes. */
const acting = [
  ...["run", "work", "engine", "scales", "outgoing", "practice"],
  ...["backups", "backupthread", "labels", "labelthread"],
  ...["bagdesk", "batchdesk", "kitchendesk", "lookdesk", "scaledesk", "weighdesk", "trayplans"],
];

/** Files of acting folders that compute all the same. */
export const computingFiles = [
  "src/port/uri.ts",
  ...readdirSync(join(import.meta.dirname, "../src/service"))
    .filter((name) => !acting.includes(name.replace(/\.ts$/, "")))
    .map((name) => `src/service/${name}`),
];

/** Words and figures that the service and the page say alike: all that the page takes of folders other than units/ and wire/. */
export const sharedWithPage = [
  "src/food/german.ts",
  "src/tray/called.ts",
  "src/verdict/phrase.ts",
  "src/verdict/sentences.ts",
];

/** Packages that only one folder may touch. */
export const packageHomes = {
  "better-sqlite3": "store",
  serialport: "port",
  "@serialport/parser-readline": "port",
  fastify: "http",
  mqtt: "send",
};
