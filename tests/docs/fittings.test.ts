import { readdirSync, readFileSync } from "node:fs";
import { expect, test } from "vitest";
import { charts } from "../../scripts/fittings-charts.mjs";
import { fittingsCharts, fittingsPage } from "../../scripts/write-fittings-doc.mjs";
import * as library from "../../src/fittings/index.js";

const docs = new URL("../../docs/", import.meta.url);
const page = readFileSync(new URL("fittings.md", docs), "utf8");
const kinds = library.catalogue().map(({ kind }) => kind);
const drawn = fittingsCharts(library);

test("docs/fittings.md is what the catalogue says today (else: npm run docs:fittings)", () => {
  expect(fittingsPage(library)).toBe(page);
});

test.each(Object.entries(drawn))(
  "docs/charts/%s is what its law gives today (else: npm run docs:fittings)",
  (file, chart) => {
    expect(readFileSync(new URL(`charts/${file}`, docs), "utf8")).toBe(chart);
  },
);

test("every kind has one section and one chart", () => {
  // Other pages keep their charts in the same folder.
  expect(readdirSync(new URL("charts/", docs))).toEqual(expect.arrayContaining(kinds.map((kind) => `${kind}.svg`)));
  expect(Object.keys(charts).sort()).toEqual([...kinds].sort());
  for (const kind of kinds) {
    expect(page.split(`\n### ${kind}\n`)).toHaveLength(2);
    expect(page).toContain(`![${kind}](charts/${kind}.svg)`);
  }
});

test("a chart is small and holds numbers only where it should", () => {
  for (const chart of Object.values(drawn)) {
    expect(chart.length).toBeLessThan(8000);
    expect(chart).not.toMatch(/NaN|Infinity|undefined/);
  }
});

test("the page names the status of every source, and every caution stands in it", () => {
  for (const { sources, caution } of library.catalogue()) {
    for (const { author, status } of sources) expect(page).toMatch(new RegExp(`Source: ${author}.*\\(${status}\\)\\.`));
    if (caution !== undefined) expect(page).toContain(`> **Caution.** ${caution}`);
  }
  expect(page).not.toMatch(/undefined|NaN|\[object/);
});
