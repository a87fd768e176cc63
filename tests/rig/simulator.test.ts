import { setTimeout as pause } from "node:timers/promises";
import { test as inTurn, type ExpectStatic, type TestContext } from "vitest";
import { systemClock } from "../../src/clock.ts";
import { openScale, type Scale, type ScaleReport } from "../../src/port/scale.ts";
import { noFacts, type BuiltInName } from "../../src/reading/form.ts";
import { forms } from "../../src/reading/forms.ts";
import { said } from "../../src/reading/piece.ts";
import type { Reading } from "../../src/reading/reading.ts";
import { overLineOf } from "./scale.ts";
import { Simulator, words, type SimulatorSettings } from "./simulator.ts";

/** The tests run beside each other. What each puts up it takes down at its end, the last first. */
const test = inTurn.concurrent;
type Undo = TestContext["onTestFinished"];

type Ear = {
  readonly scale: Scale;
  readonly simulator: Simulator;
  readonly readings: Reading[];
  readonly reports: ScaleReport[];
};

async function listening(
  undo: Undo,
  settings: Partial<SimulatorSettings> = {},
  options = "form=marked",
): Promise<Ear> {
  const simulator = await Simulator.start({ perSecond: 50, noiseGrams: 0, ...settings });
  undo(() => simulator.close());
  const readings: Reading[] = [];
  const reports: ScaleReport[] = [];
  const scale = openScale(`serial://${simulator.path}?${options}`, systemClock(), {
    reading: (reading) => void readings.push(reading),
    link: (report) => void reports.push(report),
  });
  undo(() => scale.close());
  return { scale, simulator, readings, reports };
}

const soon = { interval: 20 };
const shows = (expect: ExpectStatic, ear: Ear, grams: number) =>
  expect
    .poll(() => {
      const last = ear.readings.at(-1);
      return last?.is === "weight" ? Math.round(last.mass * 10) / 10 : last?.is;
    }, soon)
    .toBe(grams);

/** Whether a load of 412.6 g on a simulator of this form comes to be read as such. */
async function isRead(undo: Undo, form: BuiltInName): Promise<boolean> {
  const unit = form === "pounds-ounces" ? "oz" : form.startsWith("status") ? "kg" : "g";
  const step = { oz: 0.1, kg: 0.001, g: 0.1 }[unit];
  const within = { oz: 1.5, kg: 0.5, g: 0.05 }[unit];
  const isDeclared = ["bare", "implied-point", "unit-when-still"].includes(form);
  const facts = isDeclared ? "&unit=g&division=0.1" : "";
  const ear = await listening(undo, { form, unit, step, perSecond: 20 }, `form=${form}${facts}`);
  await ear.simulator.say("place 412.6");
  for (let tries = 0; tries < 150; tries++) {
    const last = ear.readings.at(-1);
    if (last?.is === "weight" && Math.abs(last.mass - 412.6) <= within) return true;
    await pause(40);
  }
  return false;
}

test("a load placed on the simulator is what a scale of that form reads, form by form", async ({
  expect,
  onTestFinished: undo,
}) => {
  const names = forms.map(({ name }) => name).filter((name) => name !== "usb-report");
  const read = await Promise.all(
    names.map(async (name) => [name, await isRead(undo, name)] as const),
  );
  expect(read.filter(([, is]) => !is)).toEqual([]);
  expect(read).toHaveLength(forms.length - 1);
});

test("what the simulator sends for an overload is an overload in every form that can say it", ({
  expect,
}) => {
  const can = forms.flatMap((form) => {
    const line = overLineOf(form.name);
    return line === null ? [] : [{ form, line }];
  });
  expect(can.length).toBeGreaterThan(10);
  for (const { form, line } of can) {
    const raw =
      form.cut === "line" ? line.replaceAll(/[\r\n]/g, "") : line.slice(0, form.cut.length);
    expect([form.name, said(form, noFacts, raw)?.is]).toEqual([form.name, "over"]);
  }
});

test("swing and bump do not come to rest at once; noise and drift move the last figures", async ({
  expect,
  onTestFinished: undo,
}) => {
  const ear = await listening(undo);
  await ear.simulator.play("place 500; wait 1");
  await shows(expect, ear, 500);
  const spread = async (): Promise<number> => {
    ear.readings.length = 0;
    await expect.poll(() => ear.readings.length, soon).toBeGreaterThan(30);
    const masses = ear.readings.flatMap((one) => (one.is === "weight" ? [one.mass] : []));
    return Math.max(...masses) - Math.min(...masses);
  };
  expect(await spread()).toBe(0);
  await ear.simulator.say("swing on");
  expect(await spread()).toBeGreaterThan(5);
  await ear.simulator.say("swing off");
  await shows(expect, ear, 500);
  await ear.simulator.say("bump");
  expect(await spread()).toBeGreaterThan(5);
  await ear.simulator.say("noise 1");
  expect(await spread()).toBeGreaterThan(0.5);
  await ear.simulator.play("noise 0; drift -10");
  await spread();
  expect(await spread()).toBeGreaterThan(2);
});

test("half a line and a damaged one give no weight that does not lie there", async ({
  expect,
  onTestFinished: undo,
}) => {
  const ear = await listening(undo);
  await ear.simulator.play("place 500; wait 1");
  await shows(expect, ear, 500);
  ear.readings.length = 0;
  for (let count = 0; count < 10; count++)
    await ear.simulator.play("partial; wait 0.05; damage; wait 0.05");
  const weights = ear.readings.flatMap((one) => (one.is === "weight" ? [one.mass] : []));
  expect(new Set(weights)).toEqual(new Set([500]));
  expect(ear.readings.some((one) => one.is === "unreadable")).toBe(true);
});

test("silence is told as silent, an unplug as lost, and both end", async ({
  expect,
  onTestFinished: undo,
}) => {
  const ear = await listening(undo);
  await shows(expect, ear, 0);
  await ear.simulator.say("silence 4");
  await expect.poll(() => ear.scale.state().link, soon).toBe("silent");
  await expect.poll(() => ear.scale.state().link, soon).toBe("up");
  const { device } = ear.simulator;
  await ear.simulator.say("unplug 0.5");
  expect(ear.reports.some(({ link }) => link === "searching")).toBe(true);
  expect(ear.simulator.device).not.toBe(device);
  await expect.poll(() => ear.scale.state().link, soon).toBe("up");
});

test("overload is told as over, and ends", async ({ expect, onTestFinished: undo }) => {
  const ear = await listening(undo);
  await shows(expect, ear, 0);
  await ear.simulator.say("overload on");
  await expect.poll(() => ear.readings.at(-1)?.is, soon).toBe("over");
  await ear.simulator.say("overload off");
  await shows(expect, ear, 0);
});

test("tare, zero and unit sent by the program are obeyed, and the form is known after the unit changed", async ({
  expect,
  onTestFinished: undo,
}) => {
  const ear = await listening(undo, {}, "form=auto");
  await ear.simulator.say("place 500");
  await shows(expect, ear, 500);
  await ear.scale.press("tare");
  await shows(expect, ear, 0);
  await expect.poll(() => ear.readings.at(-1), soon).toMatchObject({ is: "weight", basis: "net" });
  await ear.simulator.say("place 700");
  await shows(expect, ear, 200);
  await ear.scale.press("zero");
  await shows(expect, ear, 0);
  await ear.scale.press("unit");
  await expect.poll(() => ear.scale.state().unit, soon).toBe("kg");
  expect(ear.scale.state()).toMatchObject({ form: "marked", why: "the unit changed from g to kg" });
  await ear.simulator.say("place 1000");
  await shows(expect, ear, 300);
});

test("a scale that waits to be asked answers each question once", async ({
  expect,
  onTestFinished: undo,
}) => {
  const ear = await listening(
    undo,
    { form: "answer", askedBy: "SI\r\n" },
    "form=answer&ask=SI%0D%0A",
  );
  await ear.simulator.say("place 81.2");
  await shows(expect, ear, 81.2);
});

test("what it does not know is named, with what it knows", async ({
  expect,
  onTestFinished: undo,
}) => {
  const simulator = await Simulator.start({ form: "prefixed" });
  undo(() => simulator.close());
  await expect(simulator.say("plaec 3")).rejects.toThrow("place, lift, bump");
  await expect(simulator.say("place heavy")).rejects.toThrow(words.place);
  await expect(simulator.say("overload on")).rejects.toThrow("no way to say overload");
  await expect(simulator.say("unit stone")).rejects.toThrow("g, kg, oz, lb");
});
