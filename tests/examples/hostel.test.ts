import { readFileSync } from "node:fs";
import { expect, test } from "vitest";
import { parseNetwork } from "../../src/network/document.js";
import { indexRun } from "../../src/network/runs.js";
import { solveNetwork } from "../../src/network/solve.js";
import { expectSolved } from "../helpers/evaluator.js";

const document = new URL("../../examples/hostel/one-unit.json", import.meta.url);
const network = parseNetwork(JSON.parse(readFileSync(document, "utf8")));
const solution = solveNetwork(network);
const { unit } = solution.airHandlers;

test("the hostel is solved within tolerance, without a warning", () => {
  expectSolved(network, solution);
  expect(solution.warnings).toEqual([]);
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
