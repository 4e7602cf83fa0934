import { readFileSync } from "node:fs";
import { expect, test } from "vitest";
import { unitCharts } from "../../scripts/write-unit-charts.mjs";
import { exchangerTemperatures, frostReducedSupply } from "../../src/air/exchanger.js";
import { selectUnit } from "../../src/design/select-unit.js";
import * as fans from "../../src/fans/index.js";
import { solveNetwork } from "../../src/network/solve/solve.js";

const charts = unitCharts({ exchangerTemperatures, frostReducedSupply, selectUnit, solveNetwork }, fans);

test.each(Object.entries(charts))(
  "docs/charts/%s is what the library says today (else: node scripts/write-unit-charts.mjs)",
  (name, svg) => {
    expect(svg).toBe(readFileSync(new URL(`../../docs/charts/${name}`, import.meta.url), "utf8"));
  },
);
