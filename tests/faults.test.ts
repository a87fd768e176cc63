import { expect, test } from "vitest";
import { Fault, type FaultCode, faults, isFault } from "../src/faults.ts";

const all = Object.entries(faults);

test("the catalogue is not empty, and each code says layer and cause", () => {
  expect(all.length).toBeGreaterThan(10);
  for (const [code] of all) expect(code).toMatch(/^[a-z]+\.[a-z]+(-[a-z]+)*$/);
});

test.each(all)("%s has a title, a hint and a status that fit", (_code, { title, hint, status }) => {
  expect(title).toMatch(/^[A-Z].*[^.]$/);
  expect(hint).toMatch(/^\S.{8,}[^.]$/);
  expect(hint).not.toBe(title);
  expect(status).toBeGreaterThanOrEqual(400);
  expect(status).toBeLessThan(600);
});

test("no two codes have the same title", () => {
  expect(new Set(all.map(([, { title }]) => title)).size).toBe(all.length);
});

test("a fault is known by its code, not by its text", () => {
  const fault = new Fault("batch.ended", "batch 3 has ended", { cause: "x" });
  expect(isFault(fault)).toBe(true);
  expect(isFault(fault, "batch.ended")).toBe(true);
  expect(isFault(fault, "batch.not-found" satisfies FaultCode)).toBe(false);
  expect(isFault(new Error("batch.ended"))).toBe(false);
  expect(fault.cause).toBe("x");
});
