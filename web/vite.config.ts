import { defineConfig } from "vitest/config";

const SERVED = process.env.CADDIS_SERVED ?? "http://127.0.0.1:8417";

export default defineConfig({
  oxc: { jsx: { runtime: "automatic", importSource: "preact" } },
  build: {
    outDir: "built/page",
    emptyOutDir: true,
    // The page may use nothing inline: its content security policy forbids it.
    assetsInlineLimit: 0,
    modulePreload: { polyfill: false },
    chunkSizeWarningLimit: 1000,
  },
  // The program answers its own page alone: for work on the page the proxy speaks as if it were that.
  server: { proxy: { "/api": { target: SERVED, changeOrigin: true, headers: { origin: SERVED } } } },
  test: {
    projects: [
      { test: { name: "unit", include: ["src/**/*.test.ts"] } },
      {
        test: {
          name: "browser",
          include: ["tests/browser/*.test.ts"],
          testTimeout: 600_000,
          hookTimeout: 60_000,
          fileParallelism: false,
        },
      },
      {
        test: { name: "live", include: ["tests/live/*.test.ts"], testTimeout: 600_000, hookTimeout: 600_000 },
      },
    ],
  },
});
