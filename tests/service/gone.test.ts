import { expect, onTestFinished, test } from "vitest";
import { isFault } from "../../src/faults.ts";
import { startService } from "../../src/service/run.ts";
import { isoOf } from "../../src/clock.ts";
import { utcMs } from "../../src/units/quantity.ts";
import { tempStore } from "../store/folder.ts";
import { settingOn } from "./computer.ts";

const said = (code: string, work: () => unknown): string => {
  try {
    work();
  } catch (error) {
    if (!isFault(error)) throw error;
    expect(error.code).toBe(code);
    return error.message;
  }
  throw new Error("nothing was refused");
};

test("a bag that another page said is used is no bag that never was: each refusal names what it is", () => {
  const running = startService(settingOn(tempStore()));
  onTestFinished(() => running.close());
  const { service } = running;
  const batch = service.startBatch({ dryer: "D", trays: [{ name: "A", tareGrams: 400 }] });
  const tray = batch.trays[0]!.id;
  const begun = Date.now() - 40 * 3_600_000;
  const at = (hour: number): string => isoOf(utcMs(begun + hour * 3_600_000));
  service.typeWeighing({ tray, kind: "fresh", value: 1000, at: at(0) });
  service.setClock(batch.id, { is: "in", at: at(1) });
  service.setClock(batch.id, { is: "out", at: at(30) });
  service.typeWeighing({ tray, kind: "dry", value: 460, at: at(31) });
  const [bag] = service.planBags(batch.id, {
    trays: [{ tray }],
    divide: { count: 1 },
    container: "soft",
    volumeMl: 950,
    tareGrams: 8,
    although: "a test",
  });
  const id = bag!.id;
  service.weighBag(id, { kind: "filled", value: 68 });
  service.setFate(id, { fate: "used" });
  const gone = `bag ${bag!.code} is used: nothing of it is weighed any more`;
  for (const work of [
    () => service.weighBag(id, { kind: "shelf", value: 70 }),
    () => service.editBagWeighing(id, 1, { grossGrams: 69, reason: "x" }),
    () => service.acceptGain(id),
    () => service.chooseBag("scale-1", { bag: id }),
  ])
    expect(said("bag.wrong-state", work)).toBe(gone);
  expect(said("bag.wrong-state", () => service.setFate(id, { fate: "given-away" }))).toBe(
    `bag ${bag!.code} is used: it cannot become given-away`,
  );
  for (const work of [
    () => service.weighBag(99, { kind: "shelf", value: 70 }),
    () => service.editBagWeighing(99, 1, { grossGrams: 69, reason: "x" }),
    () => service.setFate(99, { fate: "used" }),
    () => service.acceptGain(99),
    () => service.chooseBag("scale-1", { bag: 99 }),
  ])
    expect(said("bag.not-found", work)).toBe("no bag has the number 99");
});
