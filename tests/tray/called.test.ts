import { expect, test } from "vitest";
import { trayCalled } from "../../src/tray/called.ts";

test("a tray with a bare number is called a tray in a sentence; any other name stands", () => {
  expect(["3", " 12 ", "Upper left", "3b", ""].map(trayCalled)).toEqual([
    "tray 3",
    "tray 12",
    "Upper left",
    "3b",
    "",
  ]);
});
