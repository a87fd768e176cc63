import { defineConfig } from "vitest/config";

export default defineConfig({
  root: `${import.meta.dirname}/..`,
  test: { include: ["tests/web/shots.ts", "tests/web/icons.ts"] },
});
