import { defineConfig } from "vitest/config";
import { LongFirst } from "./order.ts";

export default defineConfig({
  root: `${import.meta.dirname}/..`,
  oxc: { jsx: { runtime: "automatic", importSource: "preact" } },
  test: {
    include: ["tests/**/*.test.ts", "tests/**/*.test.tsx"],
    // None of these says how quick anything is: they only end what hangs, on a slow machine too.
    testTimeout: 120_000,
    hookTimeout: 180_000,
    expect: { poll: { timeout: 20_000 } },
    // Two workers: the tests of the whole run child processes and a browser of their own.
    maxWorkers: 2,
    // Tests of one file that wait beside each other: more would start so many services at once that others are held up.
    maxConcurrency: 2,
    sequence: { sequencer: LongFirst },
  },
});
