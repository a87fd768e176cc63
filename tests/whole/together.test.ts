// Two people, two pages, one service: nothing is taken twice, and an edit that crosses another is refused with what
// changed, never kept over it unseen.
import { afterAll, beforeAll, expect, test } from "vitest";
import type { Bag } from "../../src/wire/bag.ts";
import type { Batch, History } from "../../src/wire/batch.ts";
import type { Kitchen } from "../../src/wire/kitchen.ts";
import type { Problem } from "../../src/wire/requests.ts";
import { NetScale } from "./netscale.ts";
import { dataFolder, recordIn, Service, type Answer, type Live } from "./service.ts";

const data = dataFolder();
let scale: NetScale;
let service: Service;
let pages: readonly [Live, Live];
let batch: Batch;
const times = 25;
/** Rounds of one load after the other that both reach for; STILLWEIGHT_ROUNDS=100 takes eight minutes. */
const rounds = Number(process.env["STILLWEIGHT_ROUNDS"] ?? 5);

beforeAll(async () => {
  scale = await NetScale.start();
  service = await Service.start({ scale: scale.uri, data: data.path });
  pages = [await service.live(), await service.live()];
});
afterAll(async () => {
  for (const page of pages) page.close();
  await service.stop();
  scale.close();
  data.remove();
});

const trayId = (place: number): number => batch.trays[place]?.id ?? 0;
const weighings = async (of = batch.id) =>
  (await service.get<History>(`/api/batches/${of}/history`)).weighings;
const statuses = (answers: readonly Answer[]): number[] =>
  answers.map(({ status }) => status).toSorted((a, b) => a - b);
const refusedOf = (answers: readonly Answer[]): Problem =>
  answers.find(({ status }) => status >= 400)?.body as Problem;
/** In flight together; which of the two is asked first changes from call to call. */
let turn = 0;
async function both(asking: (who: "Ada" | "Ben") => Promise<Answer>): Promise<[Answer, Answer]> {
  turn++;
  if (turn % 2 === 0) return Promise.all([asking("Ada"), asking("Ben")]);
  const [ben, ada] = await Promise.all([asking("Ben"), asking("Ada")]);
  return [ada, ben];
}
const winnerOf = ([ada, ben]: readonly [Answer, Answer]): "Ada" | "Ben" => {
  expect([ada.status, ben.status].filter((status) => status === 200)).toHaveLength(1);
  return ada.status === 200 ? "Ada" : "Ben";
};

const empty = (): Promise<unknown> =>
  Promise.all(
    pages.map((page) =>
      page.until("an empty pan", () => {
        const now = page.of("reading").at(-1);
        return now?.settled === true && Math.abs(now.grams ?? 1) < 0.05;
      }),
    ),
  );
const lift = (): Promise<unknown> => {
  scale.lift();
  return empty();
};
const atScale = async (): Promise<string> =>
  `/api/scales/${encodeURIComponent((await service.bench()).scales[0]?.id ?? "")}`;

test(
  "a load that two people reach for is taken once, for the tray that the answer says, whatever crosses",
  async () => {
    let grams = 450;
    const won = { choice: new Set<string>(), undo: new Set<string>(), answer: new Set<string>() };
    for (let round = 1; round <= rounds; round++) {
      await empty();
      const at = await atScale();
      const mine = await service.post<Batch>("/api/batches", {
        dryer: "Cellar",
        trays: ["A", "B"].map((name) => ({ name, tareGrams: 400 })),
      });
      const tray = { Ada: mine.trays[0]?.id ?? 0, Ben: mine.trays[1]?.id ?? 0 };
      const counted = async (gross: number): Promise<number[]> =>
        (await weighings(mine.id))
          .filter((one) => one.current && !one.struck && Math.abs(one.grossGrams - gross) < 0.05)
          .map((one) => one.tray);

      // Both say which tray comes next, each having seen that nobody had said so.
      const seen = (await service.bench()).tasks[0]?.chosen;
      expect(seen).toEqual({ tray: null, portion: null, bag: null, weight: null });
      const choices = await both((who) =>
        service.ask("POST", `${at}/task`, { tray: tray[who], kind: "fresh", seen }),
      );
      expect(statuses(choices)).toEqual([200, 412]);
      expect(refusedOf(choices).errors?.[0]?.detail).toMatch(/^[AB] stands chosen there now$/);
      const chooser = winnerOf(choices);
      won.choice.add(chooser);

      // The load is taken by itself, for the tray that stands chosen, and both pages hear of the same weighing.
      grams = Math.round(10 * grams + 7) / 10;
      const heard = pages.map((page) => page.of("weighing").length);
      scale.place(grams);
      for (const [n, page] of pages.entries())
        await page.until("the weighing", () => page.of("weighing").length > (heard[n] ?? 0));
      const told = pages.map((page) => page.of("weighing").at(-1)?.weighing);
      expect(told[0]).toEqual(told[1]);
      expect(told[0]?.tray).toBe(tray[chooser]);
      expect(await counted(grams)).toEqual([tray[chooser]]);

      // Ada takes it back while Ben says that it is the other tray's.
      const other = chooser === "Ada" ? tray.Ben : tray.Ada;
      const undone = await both((who) =>
        service.ask("PATCH", `/api/weighings/${told[0]?.id}`, {
          ...(who === "Ada" ? { struck: true } : { tray: other }),
          reason: `${who} says so`,
        }),
      );
      expect(statuses(undone)).toEqual([200, 409]);
      expect(refusedOf(undone)).toMatchObject({ type: "/problems/weighing.edited-meanwhile" });
      won.undo.add(winnerOf(undone));
      expect(await counted(grams)).toEqual(winnerOf(undone) === "Ada" ? [] : [other]);
      await lift();

      // Nothing of it is taken again when the next lies there. Both trays go in, and both people say so.
      const { trays } = await service.batch(mine.id);
      for (const one of trays.filter(({ freshGrams }) => freshGrams === null))
        await service.post("/api/weighings", { tray: one.id, kind: "fresh", value: 900 });
      const ins = await both(() =>
        service.ask("POST", `/api/batches/${mine.id}/clock`, { is: "in" }),
      );
      expect(statuses(ins)).toEqual([200, 409]);

      // A load while the clock says that both are in the dryer is asked about: both answer, each with a tray of theirs.
      grams = Math.round(10 * grams + 7) / 10;
      scale.place(grams);
      const question = () => pages[0].of("bench").at(-1)?.bench.tasks[0]?.question;
      await pages[0].until("a question", () => question()?.grams === grams);
      const load = question()?.load;
      const answers = await both((who) =>
        service.ask("POST", `${at}/answer`, { load, tray: tray[who], kind: "dry" }),
      );
      expect(statuses(answers)).toEqual([200, 409]);
      expect(refusedOf(answers)).toMatchObject({ type: "/problems/load.gone" });
      won.answer.add(winnerOf(answers));
      expect(await counted(grams)).toEqual([tray[winnerOf(answers)]]);
      await lift();
      expect(await counted(grams)).toEqual([tray[winnerOf(answers)]]);

      const ends = await both(() => service.ask("POST", `/api/batches/${mine.id}/end`, {}));
      expect(statuses(ends)).toEqual([200, 409]);
      const shown = await Promise.all([service.bench(), service.bench()]);
      expect(shown[0].batches).toEqual(shown[1].batches);
    }
    // Neither is always the first: otherwise nothing crossed.
    for (const who of Object.values(won)) expect(who.size).toBeGreaterThan(rounds < 5 ? 0 : 1);
    console.log(`${rounds} rounds in which two people reached for the same`);
    expect(recordIn(data.path).problems).toEqual([]);
  },
  120_000 + rounds * 12_000,
);

test("a scale that two people set up at once is read once, so that its loads are not taken twice", async () => {
  const other = await NetScale.start();
  const scales = async () =>
    (await service.bench()).scales.filter(({ uri }) => uri.includes(other.uri));
  const added = await both(() => service.ask("POST", "/api/scales", { uri: other.uri }));
  expect(statuses(added)).toEqual([200, 200]);
  expect(await scales()).toHaveLength(1);
  const otherwise = await service.ask("POST", "/api/scales", { uri: `${other.uri}?form=marked` });
  expect(otherwise).toMatchObject({ status: 400, body: { type: "/problems/link.refused" } });
  expect(await scales()).toHaveLength(1);
  const removed = await both(async () =>
    service.ask("DELETE", `/api/scales/${encodeURIComponent((await scales())[0]?.id ?? "gone")}`),
  );
  expect(removed.some(({ status }) => status < 300)).toBe(true);
  expect(await scales()).toEqual([]);
  other.close();
});

test("of two corrections of one weighing one is kept, and the other told what changed", async () => {
  batch = await service.post<Batch>("/api/batches", {
    dryer: "Cellar",
    trays: [
      { name: "A", tareGrams: 400 },
      { name: "B", tareGrams: 401 },
    ],
  });
  await service.post("/api/weighings", { tray: trayId(1), kind: "fresh", value: 1012.3 });
  for (let n = 0; n < times; n++) {
    const { id } = (await weighings()).find((one) => one.current && !one.struck) ?? { id: 0 };
    const before = (await weighings()).length;
    const answers = await both((who) =>
      service.ask("PATCH", `/api/weighings/${id}`, {
        grossGrams: 1000 + n + (who === "Ada" ? 0.1 : 0.2),
        reason: `${who} looked again`,
      }),
    );
    expect(statuses(answers)).toEqual([200, 409]);
    expect(refusedOf(answers)).toMatchObject({ type: "/problems/weighing.edited-meanwhile" });
    expect(refusedOf(answers).detail).toMatch(
      /replaced by \d+\.\d g, fresh, on tray \d+ \((Ada|Ben) looked again\)/,
    );
    expect((await weighings()).length).toBe(before + 1);
  }
});

test("of two edits of a tray one is kept, and the other told what stands there now", async () => {
  let name = "A";
  for (let n = 0; n < times; n++) {
    const seen = { name };
    const answers = await both((who) =>
      service.ask("PATCH", `/api/batches/${batch.id}/trays/${trayId(0)}`, {
        name: `${who} ${n}`,
        seen,
      }),
    );
    expect(statuses(answers)).toEqual([200, 412]);
    const now = (await service.batch(batch.id)).trays[0]?.name ?? "";
    expect(refusedOf(answers)).toMatchObject({
      type: "/problems/edit.crossed",
      errors: [{ pointer: "#/name", detail: `name is "${now}" now and was "${name}"` }],
    });
    name = now;
  }
});

test("edits of different parts do not cross, and settings are guarded as trays are", async () => {
  const settings = (change: object) => service.ask("PATCH", "/api/settings", change);
  const [one, two] = await Promise.all([
    settings({ limitPct: 2, seen: { limitPct: 1 } }),
    settings({ outTooLongMinutes: 45, seen: { outTooLongMinutes: 30 } }),
  ]);
  expect([one.status, two.status]).toEqual([200, 200]);
  const crossed = await settings({ limitPct: 3, seen: { limitPct: 1 } });
  expect(crossed).toMatchObject({
    status: 412,
    body: { errors: [{ pointer: "#/limitPct", detail: "limitPct is 2 now and was 1" }] },
  });
  expect((await service.bench()).settings).toMatchObject({ limitPct: 2, outTooLongMinutes: 45 });
});

test("of two edits of the same thing made up on the same page one is kept, whatever it is", async () => {
  const portioned = await service.post<Batch>("/api/batches", {
    dryer: "Cellar",
    trays: [{ name: "P", tareGrams: 400, portions: [{ food: "one" }, { food: "two" }] }],
  });
  const [tray] = portioned.trays;
  const weight = { name: "brass", nominalGrams: 200, weightClass: "M1", everyDays: 30 };
  const food = { name: "our stew", waterPct: 70, waterSdPct: 5 };
  await service.post("/api/kitchen/dryers", { name: "Cellar", watts: 900 });
  await service.post("/api/kitchen/foods", food);
  const kitchen = await service.post<Kitchen>("/api/kitchen/weights", weight);
  const [ownFood] = kitchen.foods;
  const [checkWeight] = kitchen.checkWeights;
  const portions = (tray?.portions ?? []).map(({ food: name, waterPct, targetGrams, fromBag }) => ({
    food: name,
    waterPct,
    targetGrams,
    bag: fromBag,
  }));
  const mqtt = { url: "mqtt://127.0.0.1:9", prefix: "kitchen", user: null };
  const crossings: readonly (readonly [string, string, (n: number) => object, object])[] = [
    [
      "PATCH",
      `/api/batches/${portioned.id}/trays/${tray?.id}`,
      (n) => ({ portions: [{ food: `one ${n}` }, { food: "two" }] }),
      { portions },
    ],
    ["POST", "/api/kitchen/dryers", (n) => ({ name: "Cellar", watts: 1000 + n }), { watts: 900 }],
    [
      "PATCH",
      `/api/kitchen/foods/${ownFood?.id}`,
      (n) => ({ ...food, waterPct: 60 + n }),
      { waterPct: 70 },
    ],
    [
      "PATCH",
      `/api/kitchen/weights/${checkWeight?.id}`,
      (n) => ({ ...weight, everyDays: 10 + n }),
      { everyDays: 30 },
    ],
    ["PATCH", "/api/settings", (n) => ({ mqtt: { ...mqtt, prefix: `k${n}` } }), { mqtt: null }],
    ["PATCH", "/api/settings", (n) => ({ webhook: `http://127.0.0.1:9/${n}` }), { webhook: null }],
  ];
  for (const [method, path, change, seen] of crossings) {
    const answers = await both((who) =>
      service.ask(method, path, { ...change(who === "Ada" ? 1 : 2), seen }),
    );
    expect(statuses(answers), path).toEqual([200, 412]);
    expect(refusedOf(answers).errors?.[0]?.detail, path).toMatch(/ now and was /);
  }
});

/** A batch of one tray that was in the dryer once, taken out. */
async function driedOnce(): Promise<{ readonly out: Batch; readonly tray: number }> {
  const { id, trays } = await service.post<Batch>("/api/batches", {
    dryer: "Cellar",
    trays: [{ name: "A", tareGrams: 400, food: "invented", waterPct: 60 }],
  });
  const tray = trays[0]?.id ?? 0;
  await service.post("/api/weighings", { tray, kind: "fresh", value: 900 });
  await service.post(`/api/batches/${id}/clock`, { is: "in" });
  const out = await service.post<Batch>(`/api/batches/${id}/clock`, { is: "out" });
  await service.post("/api/weighings", { tray, kind: "dry", value: 600 });
  return { out, tray };
}

test("a moment of the clock and a weighing of a bag are put right once: the other is told how", async () => {
  const { out, tray } = await driedOnce();
  const moment = out.moments.at(-1);
  const moved = await both((who) =>
    service.ask("PATCH", `/api/batches/${out.id}/clock/${moment?.id}`, {
      at: moment?.at,
      reason: `${who} was there`,
    }),
  );
  expect(statuses(moved)).toEqual([200, 412]);
  expect(refusedOf(moved).detail).toMatch(/was put at .* \((Ada|Ben) was there\) since$/);

  const [bag] = await service.post<Bag[]>(`/api/batches/${out.id}/bags`, {
    trays: [{ tray }],
    divide: { count: 1 },
    container: "soft",
    volumeMl: 946,
    although: "nothing of this is food",
  });
  const path = `/api/bags/${bag?.id}/weighings`;
  const weighed = await service.post<Bag>(path, { kind: "tare", value: 8.1, divisionGrams: 0.1 });
  const put = await both((who) =>
    service.ask("PATCH", `${path}/${weighed.weighings[0]?.id}`, {
      grossGrams: who === "Ada" ? 8.2 : 8.3,
      reason: `${who} looked again`,
    }),
  );
  expect(statuses(put)).toEqual([200, 409]);
  expect(refusedOf(put).detail).toMatch(/replaced by 8\.[23] g \((Ada|Ben) looked again\) since$/);
  const filled = await both(() => service.ask("POST", path, { kind: "filled", value: 208 }));
  expect(statuses(filled)).toEqual([200, 409]);
  const planned = await both(() =>
    service.ask("POST", `/api/batches/${out.id}/bags`, {
      trays: [{ tray }],
      divide: { count: 1 },
      container: "soft",
      volumeMl: 946,
      although: "nothing of this is food",
    }),
  );
  // All of the tray is in the first bag, its 200 g and the empty bag: a second plan for the same food is refused, to both.
  expect(statuses(planned).every((status) => status >= 400)).toBe(true);
});

test("of two choices at one scale one stands, of trays, portions, bags and check weights alike", async () => {
  await empty();
  const at = await atScale();
  const chosen = async () => (await service.bench()).tasks[0]?.chosen;
  const mine = await service.post<Batch>("/api/batches", {
    dryer: "Cellar",
    trays: [
      { name: "P", tareGrams: 400, portions: [{ food: "one" }, { food: "two" }] },
      { name: "Q", tareGrams: 400 },
    ],
  });
  const [parted, whole] = mine.trays.map(({ id }) => id);
  await service.post("/api/weighings", { tray: whole, kind: "fresh", value: 900 });
  await service.post(`/api/batches/${mine.id}/clock`, { is: "in", trays: [whole] });
  await service.post(`/api/batches/${mine.id}/clock`, { is: "out", trays: [whole] });
  await service.post("/api/weighings", { tray: whole, kind: "dry", value: 600 });
  const bags = await service.post<Bag[]>(`/api/batches/${mine.id}/bags`, {
    trays: [{ tray: whole }],
    divide: { count: 2 },
    container: "soft",
    volumeMl: 946,
    although: "nothing of this is food",
  });
  const kitchen = await service.post<Kitchen>("/api/kitchen/weights", {
    name: "steel",
    nominalGrams: 100,
    weightClass: "M1",
    everyDays: 30,
  });
  const portion = (n: number) => ["task", { tray: parted, kind: "dry", portion: n }] as const;
  const bag = (n: number) => ["bag", { bag: bags[n]?.id }] as const;
  const weight = ["check", { weight: kitchen.checkWeights.at(-1)?.id }] as const;
  const pairs = [
    [portion(1), portion(2)],
    [bag(0), bag(1)],
    [portion(2), bag(0)],
    [["task", { tray: whole }], weight],
    [bag(1), weight],
  ] as const;
  for (const [ada, ben] of pairs) {
    const seen = await chosen();
    const answers = await both((who) => {
      const [what, choice] = who === "Ada" ? ada : ben;
      return service.ask("POST", `${at}/${what}`, { ...choice, seen });
    });
    expect(statuses(answers), JSON.stringify([ada, ben])).toEqual([200, 412]);
    expect(refusedOf(answers)).toMatchObject({ type: "/problems/edit.crossed" });
    expect(refusedOf(answers).errors?.[0]?.detail).toMatch(/ stands chosen there now$/);
    // Who has seen what stands there now may change it.
    for (const [what, none] of [
      ["check", { weight: null }],
      ["bag", { bag: null }],
      ["task", { tray: null }],
    ] as const)
      await service.post(`${at}/${what}`, { ...none, seen: await chosen() });
  }
  await service.post(`/api/batches/${mine.id}/end`, {});
});

test("a fate taken back is the one that was seen: another person's newer one stays", async () => {
  const { out: mine, tray } = await driedOnce();
  const [planned] = await service.post<Bag[]>(`/api/batches/${mine.id}/bags`, {
    trays: [{ tray }],
    divide: { count: 1 },
    container: "soft",
    volumeMl: 946,
    although: "nothing of this is food",
  });
  const path = `/api/bags/${planned?.id}`;
  for (const [kind, value] of [
    ["tare", 8],
    ["filled", 208],
    ["sealed", 212],
  ])
    await service.post(`${path}/weighings`, { kind, value, divisionGrams: 0.1 });
  const seenOf = ({ state, fates }: Bag) => ({ state, last: fates.at(-1)?.id });
  const put = async (fate: string) =>
    seenOf((await service.ask("PATCH", path, { fate })).body as Bag);
  const opened = await put("opened");

  // Ben says that it was used; Ada, who saw it opened, takes that back: the one that is asked last is refused.
  const used = await put("used");
  const late = await service.ask("POST", `${path}/back`, { seen: opened });
  expect(late).toMatchObject({ status: 412, body: { type: "/problems/edit.crossed" } });
  expect((late.body as Problem).errors?.[0]?.detail).toBe('state is "used" now and was "opened"');
  expect((await service.get<Bag>(path)).state).toBe("used");

  // The same word said anew is another row: it is not taken back by who saw the first.
  const back = seenOf(await service.post<Bag>(`${path}/back`, { seen: used }));
  expect(back.state).toBe("opened");
  await put("used");
  const anew = await service.ask("POST", `${path}/back`, { seen: used });
  expect(anew.status).toBe(412);

  // Both take the same one back at once: it is taken back once.
  const now = seenOf(await service.get<Bag>(path));
  const answers = await both(() => service.ask("POST", `${path}/back`, { seen: now }));
  expect(statuses(answers)).toEqual([200, 412]);
  expect((await service.get<Bag>(path)).state).toBe("opened");
  await service.post(`/api/batches/${mine.id}/end`, {});
});

test("an interruption is ended once: the other is told when, and may then set it right", async () => {
  const open = await service.post<Batch>("/api/batches", {
    dryer: "Cellar",
    trays: [{ name: "A", tareGrams: 400 }],
  });
  const at = `/api/batches/${open.id}/interruptions`;
  const from = new Date().toISOString();
  const noted = await service.post<Batch>(at, { from, reason: "mains" });
  const path = `${at}/${noted.interruptions[0]?.id}`;
  const said = async (who: string) =>
    service.ask("PATCH", path, {
      to: new Date(Date.parse(from) + (who === "Ada" ? 1 : 2)).toISOString(),
    });
  const ended = await both(said);
  expect(statuses(ended)).toEqual([200, 412]);
  expect(refusedOf(ended).errors?.[0]?.detail).toMatch(/^to is ".*" now and was null$/);
  const [stands] = (await service.batch(open.id)).interruptions;
  // Who has seen when it ended may set it right.
  const set = await service.ask("PATCH", path, {
    to: new Date(Date.parse(from) + 3).toISOString(),
    seen: { to: stands?.to },
  });
  expect(set.status).toBe(200);
});
