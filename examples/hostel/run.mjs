// Solves the hostel and prints what an engineer looks for first.
import { readFileSync } from "node:fs";
import { indexRun, leastFavoured, parseNetwork, solveNetwork } from "ductgraph";

const network = parseNetwork(JSON.parse(readFileSync(new URL("one-unit.json", import.meta.url), "utf8")));
const solution = solveNetwork(network);

/** A number to some decimals, without "-0.0". */
const fixed = (value, decimals) => (Math.round(value * 10 ** decimals) / 10 ** decimals + 0).toFixed(decimals);
const litres = (flow) => fixed(1000 * flow, 1);
const pascals = (pressure) => fixed(pressure, 1);
const specific = (power) => fixed(power / 1000, 2);

/** Prints rows in columns: the first to the left, the others to the right. */
const print = (title, rows) => {
  const widths = rows[0].map((_, column) => Math.max(...rows.map((row) => row[column].length)));
  const line = (row) => row.map((cell, i) => (i === 0 ? cell.padEnd(widths[i]) : cell.padStart(widths[i]))).join("  ");
  console.log([`\n${title}`, ...rows.map((row) => `  ${line(row).trimEnd()}`)].join("\n"));
};

// Names for people: by the place of an element's results in the solution.
const names = new Map();
for (const { id, label = id } of network.nodes) {
  for (const list of ["nodes", "terminals", "fans"]) names.set(`${list}.${id}`, label);
  for (const stream of ["supply", "extract"]) names.set(`fans.${id}.${stream}`, label);
}
for (const { id, label = id } of network.ducts) names.set(`ducts.${id}`, label);

console.log(network.title);

const terminals = network.nodes.filter(({ kind }) => kind === "terminal");
const rooms = network.nodes.filter(({ kind }) => kind === "room");
print("Rooms", [
  ["", "supply", "extract", "design", "of design", "pressure"],
  ["", "l/s", "l/s", "l/s", "%", "Pa"],
  ...rooms.map(({ id, label }) => {
    const own = terminals.filter(({ room }) => room === id);
    const sum = (key) => own.reduce((total, terminal) => total + solution.terminals[terminal.id][key], 0);
    const flow = litres(sum("flow"));
    const flows = own[0].service === "supply" ? [flow, ""] : ["", flow];
    const share = fixed((100 * sum("flow")) / sum("designFlow"), 1);
    return [label, ...flows, litres(sum("designFlow")), share, pascals(solution.nodes[id].totalPressure)];
  }),
]);

const unit = solution.airHandlers.unit;
const streams = [unit.supply, unit.extract];
const inside = ({ components }) => components.reduce((total, { pressure }) => total + pressure, 0);
print("Ventilation unit", [
  ["", "", "supply", "extract", "unit"],
  ["flow", "l/s", ...streams.map(({ flow }) => litres(flow)), ""],
  ["external static pressure", "Pa", ...streams.map((one) => pascals(one.externalStaticPressure)), ""],
  ["filter, exchanger and casing", "Pa", ...streams.map((one) => pascals(inside(one))), ""],
  ["fan total pressure", "Pa", ...streams.map((one) => pascals(one.fanTotalPressure)), ""],
  ["electrical input", "W", ...[...streams, unit].map(({ power }) => fixed(power, 0))],
  ["specific fan power", "W/(l/s)", ...[...streams, unit].map((one) => specific(one.specificFanPower))],
]);

const tees = network.nodes.filter(({ kind }) => kind === "tee");
print("Tees", [
  ["", "coefficient", "drop, Pa"],
  ...tees.flatMap(({ id, label }) =>
    solution.nodes[id].losses.paths.map(({ from, to, coefficient, loss }) => [
      `${label}, ${from} to ${to}`,
      fixed(coefficient, 2),
      pascals(loss),
    ]),
  ),
]);

for (const stream of ["supply", "extract"]) {
  const { terminal, requiredPressure, path } = indexRun(network, `unit.${stream}`);
  const title = `Index run, ${stream}: ${names.get(`terminals.${terminal}`)}`;
  print(`${title}, needs ${pascals(requiredPressure)} Pa of the fan`, [
    ["at design flow, valve fully open", "drop, Pa", "rise, Pa", "total pressure after, Pa"],
    ...path.map((step) => [
      names.get(step.path),
      ...(step.loss < 0 ? ["", pascals(-step.loss)] : [pascals(step.loss), ""]),
      pascals(step.totalPressure),
    ]),
  ]);
}

const velocity = ({ id }) => Math.abs(solution.ducts[id].velocity);
const byVelocity = network.ducts.toSorted((a, b) => velocity(b) - velocity(a));
const isRun = ({ material }) => material.startsWith("semi-rigid");
const fastest = [byVelocity.find((duct) => !isRun(duct)), byVelocity.find(isRun)];
print("Fastest air and least favoured terminals", [
  ...["supply", "extract"].map((stream) => {
    const { terminal, ratio } = leastFavoured(network, solution, `unit.${stream}`);
    return [`least favoured, ${stream}: ${names.get(`terminals.${terminal}`)}`, `${fixed(100 * ratio, 1)} %`];
  }),
  ...fastest.map((duct, i) => [
    `fastest ${["main", "run"][i]}: ${names.get(`ducts.${duct.id}`)}`,
    `${fixed(velocity(duct), 2)} m/s`,
  ]),
]);

const warnings = solution.warnings.map(({ message }) => `\n  ${message}`).join("");
console.log(`\nWarnings: ${warnings || "none"}`);

const estimated = Object.values(solution.fans).some(({ powerEstimated }) => powerEstimated);
console.log(`
Cautions
  Scope: a help to a competent designer, no substitute. Losses are good to 30 % at best, those of tees to 50 %.
  Rates: assumed for an invented house. What counts is the flow measured in each room.
  Fire: people sleep here. Dampers, stopping and uncut fire doors as the fire strategy says. A damper here is its loss alone.
  Reynolds: no table says what bends lose below 10,000. The value there stands in, at most 2 Pa in a run.
  Flues: extract can pull flue gas back. No open-flued stove in this house; a hood stands alone.
  Moisture: insulate the outdoor ducts vapour-tight, drain them; the drying room needs its own sum.
  Filters: clean here. Loaded ones cost flow or power.
  Energy: fans and controls only, no heat.${estimated ? " Fan power is scaled by speed cubed: an estimate." : ""}`);
