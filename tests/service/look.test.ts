import { expect, test } from "vitest";
import { batchLabel } from "../../src/service/look.ts";

test("a batch is told of by its number and name, and practice is always said", () => {
  expect(batchLabel({ name: "", number: 7, practice: false })).toBe("Batch 7");
  expect(batchLabel({ name: "Apples", number: 7, practice: false })).toBe("Batch 7 (Apples)");
  expect(batchLabel({ name: "", number: 7, practice: true })).toBe("Practice batch 7");
  expect(batchLabel({ name: "Apples", number: 7, practice: true })).toBe(
    "Practice batch 7 (Apples)",
  );
});
