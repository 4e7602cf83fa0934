import { describe, expect, test } from "vitest";
import { indexRun, leastFavoured, pressurePath, solveNetwork, summarise } from "../../src/index.js";
import { bare } from "../helpers/documents.js";

const points = [
  { flow: 0, pressure: 200 },
  { flow: 0.1, pressure: 100 },
];
const valve = (id: string, open: number) => ({
  id,
  kind: "terminal" as const,
  service: "supply" as const,
  designFlow: 0.02,
  loss: { pressure: 20, flow: 0.02 },
  open: { pressure: open, flow: 0.02 },
});
const rated = (id: string, from: string, to: string, pressure: number, flow: number) =>
  bare(id, from, to, { frictionFactor: undefined, frictionRating: { pressure, length: 1, flow } });
/** At design flow the main loses 30 Pa, the near branch 10, the far one 25; nothing else loses but the valves. */
const tree = {
  format: "ductgraph/1" as const,
  nodes: [
    { id: "in", kind: "outdoors" as const, entry: 0, exit: 1 },
    { id: "fan", kind: "fan" as const, curve: { pressureKind: "total" as const, points } },
    { id: "split", kind: "junction" as const },
    valve("near", 8),
    valve("far", 5),
  ],
  ducts: [
    bare("suction", "in", "fan.inlet"),
    rated("main", "fan.outlet", "split", 30, 0.04),
    rated("short", "split", "near", 10, 0.02),
    rated("long", "split", "far", 25, 0.02),
  ],
};

describe("the index run", () => {
  test("is the path that needs most: 30 + 25 + 5 = 60 Pa; the valve of the other takes what 30 + 10 + 8 lacks", () => {
    const run = indexRun(tree, "fan");
    expect(run.terminal).toBe("far");
    expect(run.requiredPressure).toBeCloseTo(60, 6);
    expect(run.terminals.map(({ terminal, shortfall }) => [terminal, Math.round(shortfall * 1e6) / 1e6])).toEqual([
      ["far", 0],
      ["near", 12],
    ]);
    expect(run.path.map(({ path }) => path)).toEqual([
      "nodes.in",
      "ducts.suction",
      "fans.fan",
      "ducts.main",
      "ducts.long",
      "terminals.far",
    ]);
    expect(run.path[run.path.length - 1].totalPressure).toBeCloseTo(0, 6);
  });

  test("asks for every missing design flow at once, and for a fan that there is", () => {
    const nodes = tree.nodes.map((node) => (node.kind === "terminal" ? { ...node, designFlow: undefined } : node));
    expect(() => indexRun({ ...tree, nodes } as never, "fan")).toThrow(/near[\s\S]*far/);
    expect(() => indexRun(tree, "fann")).toThrow("fan");
  });
});

describe("a solved tree", () => {
  const solution = solveNetwork(tree);

  test("has as its least favoured terminal the one at the end of the longer branch", () => {
    const { terminal, ratio } = leastFavoured(tree, solution, "fan");
    expect(terminal).toBe("far");
    expect(ratio).toBeCloseTo(solution.terminals.far.flow / 0.02, 12);
  });

  test("loses along the path to a terminal just what its fan gives", () => {
    const path = pressurePath(tree, solution, "near");
    expect(path.reduce((sum, step) => sum + step.loss, 0)).toBeCloseTo(0, 5);
    expect(path.find((step) => step.path === "fans.fan")?.loss).toBeCloseTo(-solution.fans.fan.totalPressure, 5);
  });

  test("is summed up in rows of the units asked for, shares in per cent", () => {
    const rows = summarise(solution, { flow: "m3/h" });
    const row = rows.find(({ path }) => path === "terminals.near.flow");
    expect(row?.value).toBeCloseTo(solution.terminals.near.flow * 3600, 9);
    expect(row?.text).toMatch(/ m3\/h$/);
    expect(rows.find(({ path }) => path === "terminals.near.ratio")?.unit).toBe("%");
    expect(() => summarise(solution, { flow: "litres a moment" })).toThrow("unit");
  });
});
