/**
 * Writes docs/charts/tee-models.svg: the published models of tees over the flow share of the branch, from what the built
 * package computes.
 */
import { writeFileSync } from "node:fs";
import { lineChart } from "./line-chart.mjs";

const models = ["gardel", "idelchik", "momentum"];
const [WIDTH, HEIGHT] = [420, 268];

/** One coefficient of a square tee whose branch has 0.64 of the main's area, by model. */
function panel(teeCoefficients, pattern, which) {
  return lineChart({
    title: `${pattern}, ${which}`,
    x: { label: "branch flow over summed flow [-]", range: [0, 1] },
    y: { label: `${pattern}: ${which} [-]` },
    curves: models.map((model) => ({
      name: model,
      points: Array.from({ length: 51 }, (_, i) => {
        const form = { model, angle: Math.PI / 2, areaRatio: 0.64 };
        return [i / 50, teeCoefficients(form, i / 50, pattern)[which]];
      }),
    })),
  });
}

/** The chart, from `teeCoefficients` of the library. */
export function teeChart(teeCoefficients) {
  const panels = ["diverging", "converging"].flatMap((pattern, row) =>
    ["branch", "run"].map((which, column) =>
      panel(teeCoefficients, pattern, which).replace("<svg ", `<svg x="${column * WIDTH}" y="${row * HEIGHT}" `),
    ),
  );
  const size = `width="${2 * WIDTH}" height="${2 * HEIGHT}" viewBox="0 0 ${2 * WIDTH} ${2 * HEIGHT}"`;
  const title = "<title>Loss coefficients of a square tee, area ratio 0.64, by three models</title>";
  return `<svg xmlns="http://www.w3.org/2000/svg" ${size}>\n${title}\n${panels.join("")}</svg>\n`;
}

if (process.argv[1] === import.meta.filename) {
  const { teeCoefficients } = await import("ductgraph/fittings");
  writeFileSync("docs/charts/tee-models.svg", teeChart(teeCoefficients));
}
