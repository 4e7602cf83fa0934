import { readFileSync } from "node:fs";
import { expect, test } from "vitest";
import { parseNetwork } from "../../src/network/document/document.js";
import { indexRun } from "../../src/network/queries/index-run.js";
import { solveNetwork } from "../../src/network/solve/solve.js";
import { expectSolved } from "../helpers/evaluator.js";

const document = new URL("../../examples/hostel/one-unit.json", import.meta.url);
const network = parseNetwork(JSON.parse(readFileSync(document, "utf8")));
const solution = solveNetwork(network);
const { unit } = solution.airHandlers;

test("the hostel is solved within tolerance; all it warns of is the slow air in the bends of small runs", () => {
  expectSolved(network, solution);
  expect(solution.warnings.map(({ code }) => code)).toEqual(["fitting.reynolds"]);
});

test("these bends lose 2 Pa in a run at most, which the example says", () => {
  const slow = Object.values(solution.ducts)
    .flatMap(({ fittings = [] }) => fittings)
    .filter(({ withinRange }) => !withinRange);
  expect(slow).toHaveLength(13);
  for (const { kind, loss } of slow) {
    expect(kind).toBe("bend");
    expect(Math.abs(loss)).toBeLessThan(2);
  }
});

/**
 * Losses of total pressure at design flow [Pa] as a designer sums them beforehand: friction of Colebrook, rounded
 * coefficients (bend 0.25, fire damper 0.35, shut-off damper 0.4, backdraught damper and attenuator 0.8, cowl 1.6, louvre
 * 1.7), tees of Gardel 1957 at the design split (computed by hand; the formulas from memory).
 */
const handSums = {
  intake: 10.9 + 7.7,
  "supply main": 11.1,
  "supply, ground floor": 11.8,
  "supply, first floor": 12.5,
  "extract, ground floor": 7.9,
  "extract, first floor": 13.3,
  "extract main": 11.1,
  exhaust: 12.8 + 10.2,
};
const { ducts, nodes } = solution;
const pathLoss = (node: string, from: string, to: string): number =>
  nodes[node].losses?.paths.find((path) => path.from === from && path.to === to)?.loss ?? Number.NaN;
const solved: Record<keyof typeof handSums, number> = {
  intake: ducts["intake-duct"].totalLoss,
  "supply main": ducts["supply-main"].totalLoss,
  "supply, ground floor": ducts["supply-ground"].totalLoss + pathLoss("supply-split", "a", "branch"),
  "supply, first floor":
    pathLoss("supply-split", "a", "b") +
    ducts["supply-neck"].totalLoss +
    pathLoss("supply-reducer", "a", "b") +
    ducts["supply-riser"].totalLoss,
  "extract, ground floor": ducts["extract-ground"].totalLoss + pathLoss("extract-join", "branch", "b"),
  "extract, first floor":
    ducts["extract-riser"].totalLoss +
    pathLoss("extract-expander", "a", "b") +
    ducts["extract-neck"].totalLoss +
    pathLoss("extract-join", "a", "b"),
  "extract main": ducts["extract-main"].totalLoss,
  exhaust: ducts["exhaust-duct"].totalLoss,
};

test.each(Object.entries(handSums))(
  "%s: loses within 12 %% of the %f Pa summed by hand with rounded coefficients",
  (part, sum) => {
    expect(Math.abs(solved[part as keyof typeof handSums] / sum - 1)).toBeLessThan(0.12);
  },
);

test("the louvre loses what a plate of its free area does on its face, and the step to the duct (by hand, formulas from memory)", () => {
  // ((1.707 − 0.45)/0.45)² on 1.333 m/s; 0.5·(1 − 0.0491/0.12)^0.75 on 3.26 m/s
  expect(ducts["intake-duct"].entryLoss).toBeCloseTo(8.323 + 2.147, 1);
});

test("tees have the coefficients of Gardel at the split of 73 to 87 l/s (by hand, formulas from memory)", () => {
  const at = (node: string, from: string, to: string): number =>
    pathLoss(node, from, to) / (nodes[node].losses?.velocityPressure as number);
  expect(at("supply-split", "a", "branch")).toBeCloseTo(0.914, 2);
  expect(at("supply-split", "a", "b")).toBeCloseTo(0.032, 2);
  expect(at("extract-join", "branch", "b")).toBeCloseTo(0.555, 2);
  expect(at("extract-join", "a", "b")).toBeCloseTo(0.504, 2);
});

test("every terminal has its design flow within 1 %, with 8 to 40 Pa across its valve", () => {
  for (const [id, { ratio, pressureLoss }] of Object.entries(solution.terminals)) {
    expect(Math.abs((ratio as number) - 1), id).toBeLessThan(0.01);
    expect(pressureLoss, id).toBeGreaterThan(7.9);
    expect(pressureLoss, id).toBeLessThan(40);
  }
});

test("the unit runs where such units do: 60 to 120 Pa external, 0.8 to 1.3 W/(l/s)", () => {
  for (const stream of [unit.supply, unit.extract]) {
    expect(stream?.externalStaticPressure).toBeGreaterThan(60);
    expect(stream?.externalStaticPressure).toBeLessThan(120);
  }
  expect(unit.specificFanPower).toBeGreaterThan(800);
  expect(unit.specificFanPower).toBeLessThan(1300);
});

test("no semi-rigid run is faster than 2.5 m/s", () => {
  const runs = network.ducts.filter(({ material }) => material?.startsWith("semi-rigid"));
  expect(runs.length).toBeGreaterThan(30);
  for (const { id } of runs) expect(Math.abs(solution.ducts[id].velocity), id).toBeLessThan(2.5);
});

test("a shower takes 21 l/s through its door gap at 3 Pa", () => {
  expect(solution.openings["door-shower-2"].flow).toBeCloseTo(0.021, 3);
  expect(solution.openings["door-shower-2"].pressureDifference).toBeCloseTo(3, 1);
});

test("the longest runs of the first floor are the index runs, and every valve open needs less than the fans give", () => {
  for (const [stream, terminal] of [
    ["supply", "bunk-4b"],
    ["extract", "shower-4"],
  ] as const) {
    const index = indexRun(network, `unit.${stream}`);
    expect(index.terminal).toBe(terminal);
    expect(index.requiredPressure).toBeLessThan(unit[stream]?.fanTotalPressure as number);
  }
});
