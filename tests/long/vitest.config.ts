import { defineConfig } from "vitest/config";
import common from "../../vitest.config.js";

export default defineConfig({
  resolve: common.resolve,
  test: {
    setupFiles: ["tests/setup.ts"],
    include: ["tests/long/**/*.test.ts"],
    testTimeout: 1_800_000,
  },
});
