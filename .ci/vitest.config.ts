import { defineConfig } from "vitest/config";

export default defineConfig({
  root: `${import.meta.dirname}/..`,
  oxc: { jsx: { runtime: "automatic", importSource: "preact" } },
  test: {
    include: ["tests/**/*.test.ts", "tests/**/*.test.tsx"],
    testTimeout: 20_000,
    hookTimeout: 60_000,
    // Two workers: the tests of the whole run child processes and a browser of their own.
    maxWorkers: 2,
  },
});
