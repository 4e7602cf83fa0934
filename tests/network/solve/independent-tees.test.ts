import { createHash } from "node:crypto";
import { readdirSync, readFileSync } from "node:fs";
import { describe, expect, test } from "vitest";
import { parseNetwork, solveNetwork } from "../../../src/index.js";
import { expectSolved } from "../../helpers/evaluator.js";

// Tees, transitions, take-offs and flexible ducts. Answers by tests/references/independent/solver.py: Python and SciPy,
// written from the physics alone, sharing no code and no method with this library; each the only answer found from 25
// starts. Flows agree to 1e-6 of the largest flow, pressures to 1e-6 of the largest pressure.
const folder = new URL("../../networks/independent-tees/", import.meta.url);
const answers = JSON.parse(
  readFileSync(new URL("../../references/independent/answers-tees.json", import.meta.url), "utf8"),
).answers as Record<string, Answer>;

interface Answer {
  readonly sha256: string;
  readonly ducts: Record<string, { readonly flow: number }>;
  readonly nodes: Record<string, NodePressures>;
}

interface NodePressures {
  readonly totalPressure?: number;
  readonly ports?: Record<string, { readonly totalPressure: number }>;
}

/** Total pressures of nodes and ports by path. */
const pressuresOf = (nodes: Record<string, NodePressures>): Record<string, number> => {
  const pressures: Record<string, number> = {};
  for (const [id, { totalPressure, ports = {} }] of Object.entries(nodes)) {
    if (totalPressure !== undefined) pressures[id] = totalPressure;
    for (const [port, at] of Object.entries(ports)) pressures[`${id}.${port}`] = at.totalPressure;
  }
  return pressures;
};

const flowsOf = (ducts: Record<string, { readonly flow: number }>): Record<string, number> =>
  Object.fromEntries(Object.entries(ducts).map(([id, { flow }]) => [id, flow]));

/** Expects the same names, and values that differ by 1e-6 of the largest or less. */
const expectSame = (ours: Record<string, number>, reference: Record<string, number>): void => {
  expect(Object.keys(ours).sort()).toEqual(Object.keys(reference).sort());
  const largest = Math.max(...Object.values(reference).map(Math.abs));
  const off = Object.keys(reference).filter((key) => !(Math.abs(ours[key] - reference[key]) <= 1e-6 * largest));
  expect(off.map((key) => [key, ours[key], reference[key]])).toEqual([]);
};

const names = readdirSync(folder).map((file) => file.replace(/\.json$/, ""));

test("every document with tees has an answer, and every answer its document", () => {
  expect(names.sort()).toEqual(Object.keys(answers).sort());
});

test.each(names)("%s has not changed since its answer was made", (name) => {
  const digest = createHash("sha256").update(readFileSync(new URL(`${name}.json`, folder)));
  expect(digest.digest("hex")).toBe(answers[name].sha256);
});

// Skipped until the network can read these kinds.
describe("the network", () => {
  test.each(names)("%s has the flows and pressures of the independent solver", (name) => {
    const network = parseNetwork(JSON.parse(readFileSync(new URL(`${name}.json`, folder), "utf8")));
    const solution = solveNetwork(network, { tolerance: 1e-3 });
    expectSolved(network, solution, 1e-3);
    expectSame(flowsOf(solution.ducts), flowsOf(answers[name].ducts));
    expectSame(pressuresOf(solution.nodes), pressuresOf(answers[name].nodes));
  });
});
