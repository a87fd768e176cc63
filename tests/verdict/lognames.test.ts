import { expect, test } from "vitest";
import { loadFoodTable } from "../../src/foodtable.ts";
import { readLog } from "../../src/verdict/log.ts";

test("names that read the same are one tray, told as they were first written", () => {
  const csv =
    "hours,grams,tray,batch\n10,90,e\u0301  1,B\n12,80,é 1,B \n14,70,\u00E9 1\u200B,B\n10,90,f,B\n";
  const { batches, problems } = readLog(csv, loadFoodTable());
  expect(problems).toEqual([]);
  expect(batches.map(({ batch }) => batch)).toEqual(["B"]);
  expect(batches[0]!.logs.map(({ tray, weighings }) => [tray, weighings.length])).toEqual([
    ["e\u0301  1", 3],
    ["f", 1],
  ]);
});
