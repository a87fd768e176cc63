import { defineConfig } from "vite";

export default defineConfig({
  root: import.meta.dirname,
  base: "./",
  build: {
    outDir: "../dist/web",
    emptyOutDir: true,
    target: "es2022",
    // The strict content policy of the service allows no inline script, style or data address.
    assetsInlineLimit: 0,
    modulePreload: { polyfill: false },
  },
  oxc: { jsx: { runtime: "automatic", importSource: "preact" } },
});
