// The service put together: what happens between its desks.
import { once } from "node:events";
import { createServer, type AddressInfo } from "node:net";
import { expect, onTestFinished, test } from "vitest";
import { startService } from "../../src/service/run.ts";
import type { Shown } from "../../src/service/service.ts";
import type { RunSetting } from "../../src/service/work.ts";
import { openStore, type Store } from "../../src/store/store.ts";
import { utcMs } from "../../src/units/quantity.ts";
import { aBatch, aMoment, aTray, started } from "../store/facts.ts";
import { real, refusal, tempStore } from "../store/folder.ts";
import { onFullDisk, settingOn } from "./computer.ts";

const hour = 3_600_000;
/** Nobody listens there. */
const uri = "tcp://127.0.0.1:1";

/** Practice that ends when a scale is chosen, and opens this store then. */
const practiceBefore = (store: Store): RunSetting =>
  settingOn(tempStore(), { practice: "a test", leavePractice: () => settingOn(store) });

function begun(setting: RunSetting) {
  const work = startService(setting);
  const told: Shown[] = [];
  work.onShow((message) => void told.push(message));
  work.begin([]);
  onTestFinished(() => work.close());
  return { work, service: work.service, told };
}

/** A folder whose trays went in three hours ago, and nobody was there for the last two. */
function leftAlone(): Store {
  const now = Date.now();
  const store = tempStore();
  store.record([
    started(aBatch(1, [aTray(1, 1)])),
    { is: "moment-set", moment: aMoment(1, { at: utcMs(now - 3 * hour) }) },
  ]);
  store.alive({ at: utcMs(now - 2 * hour), systemAt: utcMs(now - 2 * hour) });
  return store;
}

test("practice is left for a folder about whose trays there is something to ask, while pages look on", async () => {
  const { service, told } = begun(practiceBefore(leftAlone()));
  const bench = await service.addScale({ uri });
  expect(bench.scales.map((scale) => scale.uri)).toEqual([uri]);
  expect(service.batch(1).gaps).toHaveLength(1);
  expect(told.at(-1)).toMatchObject({ type: "bench", bench: { practice: null } });
});

test("practice goes on where the folder after it cannot be opened, and is left when it can", async () => {
  const before = leftAlone();
  before.close();
  const { folder } = before;
  let isFull = true;
  const leavePractice = (): RunSetting => {
    const disk = onFullDisk(openStore(folder, real));
    disk.isFull = isFull;
    return settingOn(disk.store);
  };
  const { service, told } = begun(settingOn(tempStore(), { practice: "a test", leavePractice }));
  await expect(service.addScale({ uri })).rejects.toEqual(refusal("store.full"));
  expect(service.bench()).toMatchObject({ practice: "a test", scales: [] });
  service.editSettings({ sound: false });
  expect(told.at(-1)).toMatchObject({ bench: { practice: "a test", settings: { sound: false } } });
  isFull = false;
  await service.addScale({ uri });
  expect(service.batch(1).gaps).toHaveLength(1);
});

test("an alert that is tried while practice is left brings its bench back to no page", async () => {
  const broker = createServer((socket) => void socket.on("error", () => undefined));
  broker.listen(0, "127.0.0.1");
  await once(broker, "listening");
  onTestFinished(() => void broker.close());
  const { port } = broker.address() as AddressInfo;
  const { service, told } = begun(practiceBefore(tempStore()));
  const mqtt = { url: `mqtt://127.0.0.1:${port}`, prefix: "kitchen", user: null, password: null };
  service.editSettings({ mqtt });
  const tried = service.tryAlert("mqtt");
  await service.addScale({ uri });
  expect(await tried).not.toBeNull();
  expect(told.at(-1)).toMatchObject({ type: "bench", bench: { practice: null } });
}, 20_000);

test("a scale that is taken away and set up again at once is there, and kept", async () => {
  const store = tempStore();
  const { service } = begun(settingOn(store));
  const first = await service.addScale({ uri });
  const [scale] = first.scales;
  const [, again] = await Promise.all([service.removeScale(scale!.id), service.addScale({ uri })]);
  expect(again.scales.map((one) => one.uri)).toEqual([uri]);
  expect(service.bench().scales.map((one) => one.uri)).toEqual([uri]);
  expect(store.load().scales).toEqual([uri]);
});
