/**
 * Writes docs/fittings.md and a chart a kind into docs/charts/, from the catalogue and the laws of the built package. What
 * each chart shows stands in scripts/fittings-charts.mjs.
 */
import { mkdirSync, writeFileSync } from "node:fs";
import * as library from "ductgraph/fittings";
import { charts } from "./fittings-charts.mjs";
import { lineChart } from "./line-chart.mjs";

const INTRODUCTION = `# Fittings

<!-- Written by \`npm run docs:fittings\` from the catalogue in src/fittings/; edit that instead. -->

This page lists what the library knows of each fitting: how it is described, its pressure drop, where the number comes from
and how far it can be trusted. \`catalogue()\` of \`ductgraph/fittings\` gives the same as data;
\`coefficientOf(fitting, parameters, state)\` gives the coefficient of a single fitting.

**Coefficient.** A fitting has a drop of total pressure: Δp = K·½ρv². K means nothing without its velocity, so each fitting says
which velocity is meant (\`area\` in a result is the area of that velocity). K is the loss **in excess of friction**: a duct's length
runs along centre lines to where axes meet, and the friction of that length is counted with the duct.

**Reynolds number.** Small ducts with slow air (Re 5,000 to 60,000) lose more in bends and similar fittings than by the
tables, which were measured at high Reynolds numbers. If a source says by how much, K is multiplied by a factor that
depends on Re and is 1 at high Re; otherwise K is the same at all Re.

**Range.** Impossible geometry is an error. Geometry outside what a source covers is still computed, mostly with the value
at the edge, and flagged: \`withinRange\` is false and \`outside\` says which parameter is outside which range.

**Spread.** Tables differ, since rigs, makes and workmanship do. The spread of a family is how far other published values
and measurements lie from K: one part that all its fittings share, since they come from one source, and one part that is
individual. Fittings in a row within a few diameters disturb one another; no table here covers that.

**Sources.** **read** in the publication or in a page that quotes it; computed with a general-purpose **library**;
**computed** from a stated formula; from **memory**, not seen. Check values from memory before anything depends on them.

A maker's measured value for the very product is better than any table: give it as a \`rating\` or \`fixed\` fitting. Local
codes and standards, and the people responsible for a building's fire safety and hygiene, come before this page.`;

const FAMILIES = {
  bends: "Bends",
  transitions: "Transitions",
  ends: "Ends",
  dampers: "Dampers",
  equipment: "Equipment",
};
const PLACES = {
  duct: "in a duct",
  end: "at the end of a duct, at the outdoors",
  transition: "between two sections, from port a to port b",
};
const SHAPES = { round: "round", rectangular: "rectangular", flatOval: "flat oval" };
const UNITS = {
  length: "m",
  angle: "°",
  area: "m²",
  fraction: "-",
  flow: "m³/s",
  pressure: "Pa",
  density: "kg/m³",
  viscosity: "Pa·s",
  number: "-",
};
const POINTS = 60;

/** The page, from the exports of \`ductgraph/fittings\`. */
export function fittingsPage({ catalogue, compressionCovered, compressionFactor, compressionSources }) {
  const entries = catalogue();
  return `${[
    INTRODUCTION,
    contents(entries),
    ...Object.entries(FAMILIES).flatMap(([family, title]) => {
      const members = entries.filter((entry) => entry.family === family);
      return members.length === 0 ? [] : [`## ${title}`, ...members.map(section)];
    }),
    flexible(compressionCovered, compressionFactor, compressionSources),
    fromMemory(entries),
  ].join("\n\n")}\n`;
}

/** The chart of each kind by its file's name. */
export function fittingsCharts(library) {
  return Object.fromEntries(library.catalogue().map((entry) => [`${entry.kind}.svg`, chart(entry, library)]));
}

function chart({ kind, family, parameters: described }, library) {
  if (charts[kind] === undefined) throw new Error(`scripts/fittings-charts.mjs has no chart of ${kind}`);
  const { x, curves } = charts[kind];
  const presets = Object.entries(described).map(([key, { preset }]) => [key, preset]);
  const isEquipment = family === "equipment";
  const lossOf = (curve, across) => {
    const { parameters, ...state } = curve.at(across);
    if (!isEquipment) return library.coefficientOf(library[kind], parameters, state).coefficient;
    const { pressure, flow, exponent } = library[kind].rating({ ...Object.fromEntries(presets), ...parameters });
    return pressure * (across / 1000 / flow) ** exponent;
  };
  return lineChart({
    title: `${kind}: ${isEquipment ? "loss" : "loss coefficient"} over ${x.label}`,
    x,
    y: { label: isEquipment ? "loss of total pressure [Pa]" : "coefficient K [-]" },
    curves: curves.map((curve) => ({
      name: curve.name,
      points: positions(x).map((across) => [across, lossOf(curve, across)]),
    })),
  });
}

function positions({ range: [from, to], logarithmic = false }) {
  return Array.from({ length: POINTS + 1 }, (_, i) =>
    logarithmic ? from * (to / from) ** (i / POINTS) : from + ((to - from) * i) / POINTS,
  );
}

const contents = (entries) =>
  table(
    ["kind", "", "status of its sources"],
    entries.map(({ kind, meaning, sources }) => [
      `[${kind}](#${kind.toLowerCase()})`,
      meaning,
      [...new Set(sources.map(({ status }) => status))].join(", "),
    ]),
  );

function section({ kind, place, meaning, parameters, shapes, reference, sources, reynolds, spread, caution }) {
  const facts = [
    `- Stands ${PLACES[place]}.`,
    shapes && `- Sections: ${shapes.map((shape) => SHAPES[shape]).join(", ")}.`,
    reference && `- The coefficient refers to the ${reference}.`,
    reynolds && `- Reynolds numbers covered: ${rangeOf(reynolds, "number")}.`,
    `- Spread: ${percent(spread.shared)} shared by all ${spread.family}, ${percent(spread.own)} for each one individually.`,
    ...sources.map((source) => `- Source: ${sourceOf(source)}`),
  ];
  return [
    `### ${kind}`,
    meaning,
    `![${kind}](charts/${kind}.svg)`,
    parametersOf(parameters),
    facts.filter(Boolean).join("\n"),
    caution && `> **Caution.** ${caution}`,
  ]
    .filter(Boolean)
    .join("\n\n");
}

function parametersOf(parameters) {
  const rows = Object.entries(parameters).flatMap(([key, parameter]) => [
    row(key, parameter),
    ...Object.entries(parameter.columns ?? {}).map(([column, held]) => row(`${key}.0.${column}`, held)),
  ]);
  return rows.length === 0 ? "No parameters." : table(["parameter", "unit", "range", "covered", "preset", ""], rows);
}

function row(key, parameter) {
  const { quantity, choices, columns, meaning, range, covered, preset, optional } = parameter;
  if (columns !== undefined) return [`\`${key}\``, "list", "2 rows or more", "", "required", meaning];
  if (choices !== undefined) {
    return [`\`${key}\``, "", choices.map((choice) => `\`"${choice}"\``).join(", "), "", `\`"${preset}"\``, meaning];
  }
  const given = optional ? "may be absent" : "required";
  const value = preset === undefined ? given : numberOf(preset, quantity);
  return [
    `\`${key}\``,
    UNITS[quantity],
    rangeOf(range, quantity),
    covered === undefined ? "" : rangeOf(covered, quantity),
    value,
    meaning,
  ];
}

function rangeOf({ min, max, above }, quantity) {
  const [low, over, high] = [min, above, max].map((bound) => bound !== undefined && numberOf(bound, quantity));
  if (over !== false) return high === false ? `> ${over}` : `> ${over}, ≤ ${high}`;
  if (low !== false) return high === false ? `≥ ${low}` : `${low} to ${high}`;
  return high === false ? "any" : `≤ ${high}`;
}

/** An angle in degrees, a large number with commas. */
function numberOf(value, quantity) {
  const inUnit = quantity === "angle" ? (value * 180) / Math.PI : value;
  const digits = Number(inUnit.toPrecision(6));
  const text = digits >= 1000 && digits < 1e6 ? digits.toLocaleString("en-GB") : String(digits);
  return text.replace("e+", "e").replace("-", "−");
}

const percent = (share) => `±${numberOf(share * 100, "number")} %`;

function sourceOf({ author, title, year, where, status }) {
  const published = [author, title, year].filter((part) => part !== undefined).join(", ");
  return `${published}${where === undefined ? "" : `: ${where}`} (${status}).`;
}

function flexible({ compression, diameter }, compressionFactor, sources) {
  const percents = [4, 10, 15, 30, 45];
  const diameters = [0.125, 0.15, 0.16, 0.2, 0.25, 0.315];
  return [
    "## Flexible duct",
    `A flexible duct is a duct with the roughness of its make (a material such as \`"flexible duct, fully extended"\`, or the
maker's friction as \`frictionRating\`). Left longer than its run it lies in folds and its pressure drop is much higher: by
\`compressionFactor(compression, diameter)\` = 1 + 0.58·r·exp(−0.00496·D), with r the compression in per cent of the
full length and D in mm.`,
    table(
      ["diameter", ...percents.map((one) => `${one} %`)],
      diameters.map((one) => [
        `${numberOf(one * 1000, "number")} mm${one < diameter.min ? " (not covered)" : ""}`,
        ...percents.map((share) => compressionFactor(share / 100, one).toFixed(2)),
      ]),
    ),
    [
      `- Covered: diameters of ${rangeOf(diameter, "length")} m; compressions of ${rangeOf(compression, "number")}, beyond which is an error.`,
      ...sources.map((source) => `- Source: ${sourceOf(source)}`),
    ].join("\n"),
    "> **Caution.** Pull flexible duct to its full length, keep it short and support it: the factor leaves sagging and tight turns out.",
  ].join("\n\n");
}

function fromMemory(entries) {
  const kinds = entries.filter(({ sources }) => sources.every(({ status }) => status === "memory"));
  const list = kinds.map(({ kind }) => `[${kind}](#${kind.toLowerCase()})`).join(", ");
  return `## From memory alone\n\nNo source of these has been seen while they were written: ${list || "none"}.`;
}

const table = (head, rows) =>
  [head, head.map(() => "---"), ...rows].map((cells) => `| ${cells.join(" | ")} |`.replace(/ {2,}/g, " ")).join("\n");

if (process.argv[1] === import.meta.filename) {
  writeFileSync("docs/fittings.md", fittingsPage(library));
  mkdirSync("docs/charts", { recursive: true });
  for (const [file, drawing] of Object.entries(fittingsCharts(library))) writeFileSync(`docs/charts/${file}`, drawing);
}
