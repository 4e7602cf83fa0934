import { readFileSync } from "node:fs";
import { expect, test } from "vitest";
import { fanCharts } from "../../scripts/write-fan-charts.mjs";
import * as fans from "../../src/fans/index.js";
import { solveNetwork } from "../../src/network/solve/solve.js";

test.each(Object.entries(fanCharts(fans, { solveNetwork })))(
  "docs/charts/%s is what the library says today (else: node scripts/write-fan-charts.mjs)",
  (name, svg) => {
    expect(svg).toBe(readFileSync(new URL(`../../docs/charts/${name}`, import.meta.url), "utf8"));
  },
);
