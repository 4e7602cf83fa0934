import { readFileSync } from "node:fs";
import { expect, test } from "vitest";
import { teeChart } from "../../scripts/write-tee-charts.mjs";
import { teeCoefficients } from "../../src/fittings/tees/coefficients.js";
import { teeModels } from "../../src/fittings/tees/models.js";

const docs = new URL("../../docs/", import.meta.url);
const page = readFileSync(new URL("junctions.md", docs), "utf8");

test("docs/charts/tee-models.svg is what the models give today (else: node scripts/write-tee-charts.mjs)", () => {
  expect(teeChart(teeCoefficients)).toBe(readFileSync(new URL("charts/tee-models.svg", docs), "utf8"));
});

const models = ["gardel", "idelchik", "momentum"] as const;
const shown = (value: number): string => value.toFixed(2).replace("-", "−");
const rows = [...page.matchAll(/^\| (diverging|converging), (branch|run) +\| ([\d.]+) +\|(.+)\|$/gm)];

test.each(rows.map(([, pattern, which, share, cells]) => [pattern, which, share, cells] as const))(
  "docs/junctions.md: %s, %s at flow share %s has the coefficients of its table",
  (pattern, which, share, cells) => {
    const values = models.map((model) => {
      const form = { model, angle: Math.PI / 2, areaRatio: 0.64 };
      return teeCoefficients(form, Number(share), pattern as "diverging" | "converging")[which as "branch" | "run"];
    });
    expect(cells.split("|").map((cell) => cell.trim())).toEqual(values.map(shown));
  },
);

test("docs/junctions.md states what is added where it is most", () => {
  const most = [
    ["gardel", "converging", 20, 1.2, 0.12, 1],
    ["idelchik", "converging", 30, 0.3625, 0, 0.2275],
    ["idelchik", "converging", 20, 0.368, 0, 0.2475],
    ["momentum", "diverging", 30, 0.2, 0, 0.175],
    ["momentum", "diverging", 20, 0.173, 0, 0.17],
  ] as const;
  for (const [model, pattern, degrees, areaRatio, edgeRadius, share] of most) {
    const form = { model, angle: (degrees * Math.PI) / 180, areaRatio, edgeRadius };
    const { added } = teeCoefficients(form, share, pattern);
    const row = page
      .split("\n")
      .find((line) => line.includes(`${degrees}°, area ${areaRatio}`) && line.includes(model));
    expect(row, `${model} ${degrees}`).toMatch(new RegExp(`\\| ${added.toFixed(2)} \\|$`));
  }
});

test("docs/junctions.md states the ranges and the spread of every model", () => {
  expect(rows.length).toBe(12);
  for (const { name, covered, spread } of Object.values(teeModels)) {
    const degrees = [covered.turn.min, covered.turn.max].map((turn) => Math.round(((turn ?? 0) * 180) / Math.PI));
    const { min, max } = covered.areaRatio;
    const row = page.split("\n").find((line) => line.startsWith(`| \`${name}\``));
    expect(row).toContain(`${degrees[0]}–${degrees[1]}°`);
    expect(row).toContain(`${min}–${max}`);
    expect(row).toContain(`±${Math.round(100 * (spread.shared + spread.own))} %`);
  }
});
