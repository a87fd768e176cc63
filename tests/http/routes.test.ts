import Type, { type TSchema } from "typebox";
import { Compile } from "typebox/compile";
import { afterAll, beforeEach, describe, expect, test } from "vitest";
import {
  Bag,
  BagLine,
  BagsPreview,
  LabelText,
  LotLine,
  StockLine,
  Unpacked,
} from "../../src/wire/bag.ts";
import { labelFields } from "../../src/wire/words.ts";
import { Batch, BatchSummary, Curve, History } from "../../src/wire/batch.ts";
import { Bench, Settings } from "../../src/wire/bench.ts";
import { DishPreview, Kitchen, LoadLook } from "../../src/wire/kitchen.ts";
import { BatchExport } from "../../src/wire/export.ts";
import { Yields } from "../../src/wire/yield.ts";
import { Health } from "../../src/wire/health.ts";
import {
  FoodFound,
  LessonShown,
  LogImport,
  PageWrites,
  Ports,
  type Problem,
  AlertTried,
} from "../../src/wire/requests.ts";
import fc from "../rig/properties.ts";
import { at, batch, bench, fakeService, host, makeTestServer } from "./fake.ts";

const service = fakeService();
const api = await makeTestServer(service);
afterAll(() => api.close());
beforeEach(() => void (service.calls.length = 0));

type Row = [method: "GET" | "POST" | "PATCH" | "DELETE", url: string, body: object | null];
type Reached = [call: string, given: unknown[], answer: TSchema];

const newBatch = { dryer: "The dryer", trays: [{ name: "Tray 1", tareGrams: 400, food: null }] };
const typed = { tray: 5, kind: "fresh", value: 1612.4, unit: "g", at };
const newBags = {
  trays: [{ tray: 5 }],
  divide: { freshGrams: 453.59237 },
  container: "soft",
  volumeMl: 946,
};
const taken = { kind: "shelf", scale: "practice" };
const read = { kind: "sealed", value: 63.2, unit: "g" };
const anyBatch = { q: "", from: null, to: null };
const recipe = { ingredients: [{ food: "11124", grams: 200 }], cookedGrams: 150 };
const ownFood = { name: "Aunt's soup", recipe };
const kilogram = { name: "the kilogram", nominalGrams: 1000, weightClass: "M1", everyDays: 30 };
const bagLines = Type.Array(BagLine);
const rows: [...Row, ...Reached][] = [
  ["GET", "/api/health", null, "health", [], Health],
  ["GET", "/api/bench", null, "bench", [], Bench],
  ["GET", "/api/batches", null, "batches", ["open", anyBatch], Type.Array(BatchSummary)],
  ["GET", "/api/batches?state=all", null, "batches", ["all", anyBatch], Type.Array(BatchSummary)],
  [
    "GET",
    "/api/batches?state=ended",
    null,
    "batches",
    ["ended", anyBatch],
    Type.Array(BatchSummary),
  ],
  [
    "GET",
    "/api/batches?state=all&q=peas&from=2026-01-01",
    null,
    "batches",
    ["all", { q: "peas", from: "2026-01-01", to: null }],
    Type.Array(BatchSummary),
  ],
  ["GET", "/api/batches/3/export.json", null, "exportBatch", [3], BatchExport],
  ["POST", "/api/batches", newBatch, "startBatch", [newBatch], Batch],
  ["GET", "/api/batches/3", null, "batch", [3], Batch],
  ["GET", "/api/batches/3/curves", null, "curves", [3], Type.Array(Curve)],
  ["GET", "/api/batches/3/history", null, "history", [3], History],
  ["POST", "/api/batches/3/trays", { name: "A" }, "addTray", [3, { name: "A" }], Batch],
  ["PATCH", "/api/batches/3/trays/5", { food: null }, "editTray", [3, 5, { food: null }], Batch],
  ["POST", "/api/batches/3/clock", { is: "in" }, "setClock", [3, { is: "in" }, 0], Batch],
  [
    "PATCH",
    "/api/batches/3/clock/1",
    { struck: true, reason: "typed twice" },
    "editMoment",
    [3, 1, { struck: true, reason: "typed twice" }],
    Batch,
  ],
  [
    "POST",
    "/api/batches/3/interruptions",
    { from: at, reason: "power cut" },
    "noteInterruption",
    [3, { from: at, reason: "power cut" }],
    Batch,
  ],
  [
    "PATCH",
    "/api/batches/3/interruptions/2",
    { to: at },
    "endInterruption",
    [3, 2, { to: at }],
    Batch,
  ],
  [
    "PATCH",
    "/api/batches/3/interruptions/2",
    { to: null },
    "endInterruption",
    [3, 2, { to: null }],
    Batch,
  ],
  ["POST", "/api/batches/3/end", {}, "endBatch", [3], Batch],
  ["POST", "/api/batches/3/end", null, "endBatch", [3], Batch],
  ["POST", "/api/gaps/4", { dryerRan: true }, "answerGap", [4, { dryerRan: true }], Batch],
  ["POST", "/api/trays/5/core", { finding: "cold" }, "checkCore", [5, { finding: "cold" }], Batch],
  [
    "POST",
    "/api/scales/tcp%3A%2F%2Fa%3A1/task",
    { tray: null },
    "chooseTask",
    ["tcp://a:1", { tray: null }],
    Bench,
  ],
  [
    "POST",
    "/api/scales/a/answer",
    { load: 8, tray: 5 },
    "answerLoad",
    ["a", { load: 8, tray: 5 }],
    Bench,
  ],
  ["POST", "/api/scales/a/tared", { pressed: true }, "sayTared", ["a", { pressed: true }], Bench],
  ["GET", "/api/kitchen", null, "kitchen", [], Kitchen],
  [
    "POST",
    "/api/kitchen/dryers",
    { name: "D", watts: 900 },
    "setDryer",
    [{ name: "D", watts: 900 }],
    Kitchen,
  ],
  ["POST", "/api/kitchen/foods", ownFood, "setOwnFood", [null, ownFood], Kitchen],
  ["PATCH", "/api/kitchen/foods/1", ownFood, "setOwnFood", [1, ownFood], Kitchen],
  ["POST", "/api/kitchen/dish", recipe, "dish", [recipe], DishPreview],
  ["POST", "/api/kitchen/weights", kilogram, "setCheckWeight", [null, kilogram], Kitchen],
  ["PATCH", "/api/kitchen/weights/1", kilogram, "setCheckWeight", [1, kilogram], Kitchen],
  ["POST", "/api/scales/a/check", { weight: 1 }, "chooseCheck", ["a", { weight: 1 }], Bench],
  ["POST", "/api/scales/a/asking", { ask: "SI\r\n" }, "sayAsking", ["a", { ask: "SI\r\n" }], Bench],
  ["POST", "/api/scales/a/compare", { with: "b" }, "compareScales", ["a", { with: "b" }], Bench],
  ["DELETE", "/api/kitchen/comparisons/1", null, "takeBackComparison", [1], Kitchen],
  ["POST", "/api/batches/look", newBatch, "lookAtPlan", [newBatch], LoadLook],
  ["GET", "/api/batches/3/load", null, "lookAtBatch", [3], LoadLook],
  ["GET", "/api/batches/3/yields", null, "yields", [3], Yields],
  [
    "POST",
    "/api/scales/a/bytes",
    { sender: "a page of mine", chunks: [{ agoMs: 1.5, hex: "0d0a" }] },
    "takeBytes",
    ["a", { sender: "a page of mine", chunks: [{ agoMs: 1.5, hex: "0d0a" }] }],
    PageWrites,
  ],
  ["POST", "/api/scales/a/send", { what: "tare" }, "pressKey", ["a", { what: "tare" }], Bench],
  ["POST", "/api/scales/a/form", { form: "plain" }, "chooseForm", ["a", { form: "plain" }], Bench],
  ["POST", "/api/scales", { uri: "serial:COM3" }, "addScale", [{ uri: "serial:COM3" }], Bench],
  ["DELETE", "/api/scales/a", null, "removeScale", ["a"], Bench],
  ["GET", "/api/ports", null, "ports", [], Ports],
  ["POST", "/api/weighings", typed, "typeWeighing", [typed], Batch],
  [
    "PATCH",
    "/api/weighings/7",
    { struck: true, reason: "x" },
    "editWeighing",
    [7, { struck: true, reason: "x" }],
    Batch,
  ],
  [
    "POST",
    "/api/weighings/7/swap",
    { with: 8, reason: "x" },
    "swapWeighings",
    [7, { with: 8, reason: "x" }],
    Batch,
  ],
  ["POST", "/api/alerts/9/acknowledge", {}, "acknowledge", [9], Bench],
  ["POST", "/api/alerts/try", {}, "tryAlert", ["webhook"], AlertTried],
  ["POST", "/api/alerts/try", { channel: "mqtt" }, "tryAlert", ["mqtt"], AlertTried],
  ["GET", "/api/settings", null, "bench", [], Settings],
  ["PATCH", "/api/settings", { limitPct: 2 }, "editSettings", [{ limitPct: 2 }], Bench],
  ["GET", "/api/foods?q=straw&most=5", null, "foods", ["straw", 5], Type.Array(FoodFound)],
  [
    "POST",
    "/api/imports/preview",
    { csv: "hours,grams\n", dryer: "kitchen" },
    "previewImport",
    [{ csv: "hours,grams\n", dryer: "kitchen" }],
    LogImport,
  ],
  [
    "POST",
    "/api/imports",
    { csv: "hours,grams\n", dryer: "kitchen", startedAt: at },
    "importLog",
    [{ csv: "hours,grams\n", dryer: "kitchen", startedAt: at }],
    LogImport,
  ],
  ["GET", "/api/lessons", null, "lessons", [], Type.Array(LessonShown)],
  [
    "PATCH",
    "/api/lessons/1",
    { counts: false, reason: "a bag was damp" },
    "editLesson",
    [1, { counts: false, reason: "a bag was damp" }],
    Type.Array(LessonShown),
  ],
  ["GET", "/api/foods", null, "foods", ["", 10], Type.Array(FoodFound)],
  ["GET", "/api/bags", null, "bags", [{ state: "in-store", q: "", batch: null }], bagLines],
  [
    "GET",
    "/api/bags?state=all&q=12-3&batch=3",
    null,
    "bags",
    [{ state: "all", q: "12-3", batch: 3 }],
    bagLines,
  ],
  ["GET", "/api/lots", null, "lots", [], Type.Array(LotLine)],
  ["GET", "/api/stock", null, "stock", [], Type.Array(StockLine)],
  [
    "GET",
    "/api/labels?bags=6,7&fields=dates,gross&language=de",
    null,
    "labelTexts",
    [[6, 7], ["dates", "gross"], "de"],
    Type.Array(LabelText),
  ],
  ["GET", "/api/bags/6", null, "bag", [6, null], Bag],
  ["GET", "/api/bags/6?limitPct=5", null, "bag", [6, 5], Bag],
  ["GET", "/api/batches/3/unpacked", null, "unpacked", [3], Unpacked],
  ["POST", "/api/batches/3/bags/preview", newBags, "previewBags", [3, newBags], BagsPreview],
  ["POST", "/api/batches/3/bags", newBags, "planBags", [3, newBags], Type.Array(Bag)],
  ["POST", "/api/bags/6/weighings", taken, "weighBag", [6, taken], Bag],
  ["POST", "/api/bags/6/weighings", read, "weighBag", [6, read], Bag],
  [
    "PATCH",
    "/api/bags/6/weighings/2",
    { struck: true, reason: "x" },
    "editBagWeighing",
    [6, 2, { struck: true, reason: "x" }],
    Bag,
  ],
  ["PATCH", "/api/bags/6", { fate: "used" }, "setFate", [6, { fate: "used" }], Bag],
  ["POST", "/api/bags/6/back", { note: "a slip" }, "takeFateBack", [6, { note: "a slip" }], Bag],
  ["POST", "/api/bags/6/gain", { seal: true }, "acceptGain", [6], Bag],
  ["POST", "/api/scales/a/bag", { bag: "3-1" }, "chooseBag", ["a", { bag: "3-1" }], Bench],
  ["POST", "/api/scales/a/bag", { bag: null }, "chooseBag", ["a", { bag: null }], Bench],
  ["POST", "/api/practice", { works: false }, "practice", [{ works: false }], Bench],
];

const ask = (method: Row[0], url: string, body: unknown = null) =>
  api.inject({
    method,
    url,
    headers: { host },
    ...(body === null ? {} : { payload: body as object }),
  });

describe("each route calls the service with what was sent and answers in the wire's shape", () => {
  test.each(rows)("%s %s %j", async (method, url, body, call, given, shape) => {
    const answer = await ask(method, url, body);
    expect(answer.statusCode).toBe(url === "/api/batches" && method === "POST" ? 201 : 200);
    expect(service.calls).toEqual([{ name: call, given }]);
    expect(Compile(shape).Errors(answer.json())).toEqual([]);
  });

  test("the table above has every call of the service that a person can make", () => {
    const notForPeople = [
      "calls",
      "show",
      "listeners",
      "measures",
      "onShow",
      "close",
      "under",
      "wasKept",
    ];
    // In photos.test.ts.
    const ofPhotos = ["addPhoto", "photo", "photos", "removePhoto"];
    const reached = new Set([
      ...rows.map((row) => row[3]),
      "weighingsCsv",
      "recordLines",
      "bagLabels",
      "bagCode",
      ...ofPhotos,
    ]);
    expect([...reached].toSorted()).toEqual(
      Object.keys(service)
        .filter((name) => !notForPeople.includes(name))
        .toSorted(),
    );
  });

  test("a started batch is found under its address", async () => {
    const answer = await ask("POST", "/api/batches", newBatch);
    expect(answer.headers.location).toBe("/api/batches/3");
  });

  test("the weighings come as a file with a name", async () => {
    const answer = await ask("GET", "/api/batches/3/weighings.csv");
    expect(answer.headers["content-type"]).toBe("text/csv; charset=utf-8; header=present");
    expect(answer.headers["content-disposition"]).toBe(
      'attachment; filename="practice-batch-3-weighings.csv"',
    );
    expect(answer.body).toBe("hours,grams\r\n0,1200\r\n");
    await ask("GET", "/api/batches/3/weighings.csv?decimals=comma");
    const asked = service.calls.filter(({ name }) => name === "weighingsCsv");
    expect(asked.map(({ given }) => given)).toEqual([
      [3, "point"],
      [3, "comma"],
    ]);
    const wrong = await ask("GET", "/api/batches/3/weighings.csv?decimals=dot");
    expect(wrong.statusCode).toBe(400);
  });

  test("a label comes as a PDF to be shown in the browser, small where nothing is said", async () => {
    const answer = await ask("GET", "/api/bags/6/label.pdf?stock=4x6");
    expect(answer.headers["content-type"]).toBe("application/pdf");
    expect(answer.headers["content-disposition"]).toBe(
      'inline; filename="bag-practice-3-1-62x29.pdf"',
    );
    expect(answer.body).toBe("%PDF-1.3");
    await ask("GET", "/api/bags/6/label.pdf");
    await ask("GET", "/api/labels.pdf?bags=6,7&fields=&skip=3");
    expect(service.calls.map(({ given }) => given)).toEqual([
      [{ bags: [6], stock: "4x6", skip: 0, fields: labelFields, language: "en" }],
      [{ bags: [6], stock: "62x29", skip: 0, fields: labelFields, language: "en" }],
      [{ bags: [6, 7], stock: "70x37-sheet", skip: 3, fields: [], language: "en" }],
    ]);
    for (const wrong of ["bags=", "bags=6;7", "bags=6&fields=colour", "bags=6&skip=24"])
      expect((await ask("GET", `/api/labels.pdf?${wrong}`)).statusCode).toBe(400);
    expect((await ask("GET", "/api/bags/6/label.pdf?stock=a4")).statusCode).toBe(400);
  });

  test("the code of a bag comes as a picture", async () => {
    const answer = await ask("GET", "/api/bags/6/code.svg");
    expect(answer.headers["content-type"]).toBe("image/svg+xml");
    expect(answer.body).toBe("<svg></svg>");
  });

  test("only a practice batch has practice in its file's name", async () => {
    const real = await makeTestServer(
      fakeService({ batch: () => ({ ...batch, practice: false }) }),
    );
    const answer = await real.inject({ url: "/api/batches/3/weighings.csv", headers: { host } });
    expect(answer.headers["content-disposition"]).toBe(
      'attachment; filename="batch-3-weighings.csv"',
    );
    await real.close();
  });

  test("health is 503 when nothing can be kept, with the reason", async () => {
    const full = fakeService({
      health: () => ({
        status: "not-recording",
        scales: [],
        store: { recording: false, why: "the disk is full", backup: null },
      }),
    });
    const other = await makeTestServer(full);
    const answer = await other.inject({ url: "/api/health", headers: { host } });
    expect(answer.statusCode).toBe(503);
    expect(answer.json()).toMatchObject({ store: { why: "the disk is full" } });
    await other.close();
  });

  test("a webhook that fails is an answer, not an error", async () => {
    const failing = fakeService({ tryAlert: () => Promise.resolve("nobody there") });
    const other = await makeTestServer(failing);
    const answer = await other.inject({
      method: "POST",
      url: "/api/alerts/try",
      headers: { host },
      payload: {},
    });
    expect(answer.json()).toEqual({ sent: false, why: "nobody there" });
    await other.close();
  });
});

describe("what is sent is checked before the service hears of it", () => {
  const wrong = async (method: Row[0], url: string, body: unknown): Promise<Problem> => {
    const answer = await ask(method, url, body);
    expect(answer.statusCode).toBe(400);
    expect(answer.headers["content-type"]).toBe("application/problem+json");
    expect(service.calls).toEqual([]);
    return answer.json<Problem>();
  };

  test("all that is wrong is said at once, each with its pointer and the value seen", async () => {
    const problem = await wrong("POST", "/api/batches", {
      dryer: "",
      trays: [{ name: "A", tareGrams: -1, "odd/name": 1 }],
      colour: "red",
    });
    expect(problem).toMatchObject({
      type: "/problems/input.invalid",
      status: 400,
      detail: "4 parts are not as asked for",
    });
    expect(problem.errors?.toSorted((a, b) => a.pointer.localeCompare(b.pointer))).toEqual([
      { pointer: "#/colour", detail: "colour is not known here" },
      { pointer: "#/dryer", detail: 'dryer must not have fewer than 1 characters (got "")' },
      { pointer: "#/trays/0/odd~1name", detail: "trays/0/odd~1name is not known here" },
      { pointer: "#/trays/0/tareGrams", detail: "trays/0/tareGrams must be > 0 (got -1)" },
    ]);
  });

  test.each([
    ["POST", "/api/batches", {}, "#/dryer", "dryer is missing"],
    ["POST", "/api/batches", [], "#", "it must be object (got a list)"],
    ["POST", "/api/batches", null, "#", "it must be object (got nothing)"],
    [
      "POST",
      "/api/weighings",
      { ...typed, value: "3" },
      "#/value",
      'value must be number (got "3")',
    ],
    [
      "POST",
      "/api/weighings",
      { ...typed, tray: true },
      "#/tray",
      "tray must be integer (got true)",
    ],
    [
      "POST",
      "/api/weighings",
      { ...typed, kind: "wet" },
      "#/kind",
      'kind must be one of tare, fresh, dry (got "wet")',
    ],
    [
      "POST",
      "/api/weighings",
      { ...typed, at: "31.1.2026" },
      "#/at",
      'at must be a time with its offset, such as 2026-01-31T18:00:00+01:00 (got "31.1.2026")',
    ],
    [
      "POST",
      "/api/batches/3/clock",
      { is: "in", at: "2016-12-31T23:59:60Z" },
      "#/at",
      'at must be a time with its offset, such as 2026-01-31T18:00:00+01:00 (got "2016-12-31T23:59:60Z")',
    ],
    // The store could not keep it, and the answer was an error of the program.
    [
      "POST",
      "/api/scales/a/asking",
      { ask: "\0" },
      "#/ask",
      'ask must match pattern "^[\\u0001-\\u00ff][\\u0000-\\u00ff]{0,31}$" (got "\\u0000")',
    ],
    ["PATCH", "/api/settings", { webhook: 5 }, "#/webhook", "webhook must be string (got 5)"],
    ["PATCH", "/api/batches/3/interruptions/2", {}, "#/to", "to is missing"],
    ["POST", "/api/batches/3/end", { now: true }, "#/now", "now is not known here"],
    [
      "POST",
      "/api/batches",
      { dryer: "Cellar", trays: [{ name: "upper shelf ".repeat(7) }] },
      "#/trays/0/name",
      'the name "upper shelf upper sh…" is longer than 80 letters',
    ],
    ["GET", "/api/batches/0", null, "#/path/batch", "batch must be >= 1 (got 0)"],
    ["GET", "/api/batches/-3", null, "#/path/batch", 'batch must be integer (got "-3")'],
    ["GET", "/api/batches/1e3", null, "#/path/batch", 'batch must be integer (got "1e3")'],
    ["GET", "/api/batches/0x10", null, "#/path/batch", 'batch must be integer (got "0x10")'],
    ["GET", "/api/batches/3.5", null, "#/path/batch", 'batch must be integer (got "3.5")'],
    [
      "GET",
      `/api/batches/${"9".repeat(30)}`,
      null,
      "#/path/batch",
      `batch must be integer (got "${"9".repeat(30)}")`,
    ],
    [
      "GET",
      "/api/batches?state=opne",
      null,
      "#/query/state",
      'state must be one of open, ended, all (got "opne")',
    ],
    ["GET", "/api/batches?stat=open", null, "#/query/stat", "stat is not known here"],
    ["GET", "/api/foods?most=500", null, "#/query/most", "most must be <= 100 (got 500)"],
    ["GET", "/api/foods?q=a&q=b", null, "#/query/q", "q must be string (got a list)"],
  ] as const)("%s %s %j", async (method, url, body, pointer, detail) => {
    const { errors } = await wrong(method, url, body);
    expect(errors).toContainEqual({ pointer, detail });
  });

  test("no body makes the service hear something that its schema does not allow", async () => {
    await fc.assert(
      fc.asyncProperty(fc.jsonValue({ maxDepth: 3 }), async (body) => {
        service.calls.length = 0;
        const answer = await api.inject({
          method: "POST",
          url: "/api/weighings",
          headers: { host, "content-type": "application/json" },
          payload: JSON.stringify(body),
        });
        // No value without the exact required parts can be a weighing.
        expect(answer.statusCode).toBe(400);
        expect(service.calls).toEqual([]);
      }),
      { numRuns: 200 },
    );
  });

  test("a wrong part in every tray of a large batch is said for every tray", async () => {
    const trays = Array.from({ length: 60 }, (_, n) => ({ name: `Tray ${n}`, tareGrams: -1 }));
    const { errors } = await wrong("POST", "/api/batches", { dryer: "d", trays });
    expect(errors).toHaveLength(60);
  });
});

test("the settings are the bench's", async () => {
  const answer = await ask("GET", "/api/settings");
  expect(answer.json()).toEqual(bench.settings);
});
