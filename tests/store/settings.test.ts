import Database from "better-sqlite3";
import { expect, test } from "vitest";
import type { Settings } from "../../src/service/bench.ts";
import { alertsIn } from "../../src/store/alert.ts";
import { settingsIn } from "../../src/store/settings.ts";
import { runSteps, stepsFolder, stepsIn } from "../../src/store/steps.ts";
import { fraction } from "../../src/units/quantity.ts";
import { noon } from "./facts.ts";

const steps = stepsIn(stepsFolder);
const before = steps.findIndex(({ name }) => name.endsWith("-alerts-elsewhere.sql"));

const settings = (password: string | null): Settings => ({
  limit: fraction(0.01),
  displayUnit: "g",
  webhook: null,
  mqtt: { url: "mqtt://192.168.1.20", prefix: "dryer", user: "cook", password },
  outTooLongMinutes: 30,
  sound: true,
  learning: true,
});

test("settings and alerts from before MQTT are read as they were", () => {
  expect(before).toBeGreaterThan(0);
  const db = new Database(":memory:");
  runSteps(db, steps.slice(0, before));
  db.exec(`
    INSERT INTO settings_version (at_utc_ms, limit_fraction, display_unit, webhook, out_too_long_minutes, sound)
    VALUES (1, 0.02, 'oz', 'http://192.168.1.9/hook', 45, 0);
    INSERT INTO alert (id, key, code, batch_id, round, text, at_utc_ms)
    VALUES (4, 'scale s lost 1', 'scale-lost', NULL, NULL, 'The scale is lost', 1);`);
  runSteps(db, steps);
  expect(settingsIn(db).current()).toEqual({
    limit: 0.02,
    displayUnit: "oz",
    webhook: "http://192.168.1.9/hook",
    mqtt: null,
    outTooLongMinutes: 45,
    sound: false,
    learning: true,
  });
  expect(alertsIn(db).open()).toMatchObject([{ id: 4, text: "The scale is lost", figures: {} }]);
  db.close();
});

test("a password that was changed or taken away is nowhere in the store", () => {
  const db = new Database(":memory:");
  runSteps(db, steps);
  const kept = settingsIn(db);
  const all = (): string =>
    JSON.stringify([
      db.prepare("SELECT * FROM settings_version").all(),
      db.prepare("SELECT * FROM secret").all(),
    ]);
  kept.change(settings("first-secret"), noon);
  expect(kept.current()).toEqual(settings("first-secret"));
  kept.change(settings("second-secret"), noon);
  expect(kept.current()?.mqtt?.password).toBe("second-secret");
  expect(all()).not.toContain("first-secret");
  kept.change({ ...settings(null), mqtt: null }, noon);
  expect(kept.current()?.mqtt).toBe(null);
  expect(all()).not.toContain("secret");
  db.close();
});
