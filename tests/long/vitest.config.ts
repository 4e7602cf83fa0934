import { defineConfig } from "vitest/config";

export default defineConfig({
  test: {
    setupFiles: ["tests/setup.ts"],
    include: ["tests/long/**/*.test.ts"],
    testTimeout: 1_800_000,
  },
});
