import { fileURLToPath } from "node:url";
import { defineConfig } from "vitest/config";

const source = (file: string): string => fileURLToPath(new URL(`src/${file}`, import.meta.url));

export default defineConfig({
  resolve: {
    // Code in the README names the package; in tests it meets the source.
    alias: [
      { find: /^ductgraph$/, replacement: source("index.ts") },
      { find: /^ductgraph\/fans$/, replacement: source("fans/index.ts") },
      { find: /^ductgraph\/fittings$/, replacement: source("fittings/index.ts") },
    ],
  },
  test: {
    include: ["tests/**/*.test.ts"],
    exclude: ["tests/long/**"],
    setupFiles: ["tests/setup.ts"],
    // Numerical campaigns share two cores; a slow machine is no failure.
    testTimeout: 60_000,
  },
});
