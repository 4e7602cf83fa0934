import { describe, expect, test, vi } from "vitest";
import {
  type NetworkDocument,
  parseNetwork,
  type Solution,
  SolveError,
  solveNetwork,
  systemCurve,
} from "../../../src/index.js";
import { ControlledSolver } from "../../../src/network/equations/control-solver.js";
import { controlledBuilding } from "../../helpers/control-buildings.js";
import { controlledDocument } from "../../helpers/control-networks.js";

/** The solution; undefined where the network is refused. */
const solved = (network: ReturnType<typeof parseNetwork>): Solution | undefined => {
  try {
    return solveNetwork(network);
  } catch (error) {
    if (error instanceof SolveError) return undefined;
    throw error;
  }
};

test("every fan of 100 random controlled buildings has a system curve, whatever controls the others", () => {
  let fans = 0;
  for (let seed = 1; seed <= 100; seed++) {
    const network = parseNetwork(controlledBuilding(seed));
    for (const [name, { flow }] of Object.entries(solved(network)?.fans ?? {})) {
      const range = { from: 0, to: Math.max(2 * flow, 0.02), points: 3 };
      const { points, unreachable } = systemCurve(network, name, range);
      expect(points.length + unreachable.length, `${seed} ${name}`).toBe(3);
      expect(points.length, `${seed} ${name}`).toBeGreaterThan(0);
      fans++;
    }
  }
  expect(fans).toBeGreaterThan(300);
});

test.each([
  ["buildings", controlledBuilding],
  ["networks", controlledDocument],
])(
  "each fan of 60 random controlled %s meets its system where the network is solved, from any number of points",
  (_, documentOf) => {
    for (let seed = 1; seed <= 60; seed++) {
      const network = parseNetwork(documentOf(seed));
      for (const [name, { flow, totalPressure }] of Object.entries(solved(network)?.fans ?? {})) {
        const range = { from: Math.min(0, 2 * flow), to: Math.max(2 * flow, 0.02) };
        for (const points of [2, 21, 50]) {
          const { intersections } = systemCurve(network, name, { ...range, points });
          const off = intersections.map((one) => Math.abs(one.flow - flow));
          const nearest = intersections[off.indexOf(Math.min(...off))];
          const what = `${seed} ${name} ${points}`;
          expect(Math.abs(nearest?.flow - flow), what).toBeLessThan(1e-6 * Math.max(Math.abs(flow), 1e-3));
          expect(Math.abs(nearest?.pressure - totalPressure), what).toBeLessThan(1e-3);
        }
      }
    }
  },
);

describe("a building whose other fan has two states at one flow", () => {
  const network = parseNetwork(controlledBuilding(52));
  const { flow } = solveNetwork(network).fans["unit0.extract"];
  const curve = (points: number) => systemCurve(network, "unit0.extract", { from: 0, to: 2 * flow, points });

  test("is met in the solved one from any number of points", () => {
    for (const points of [2, 5, 21, 50, 99, 100, 101, 200, 400, 1000]) {
      const near = curve(points).intersections.filter((one) => Math.abs(one.flow / flow - 1) < 1e-6);
      expect(near, `${points}`).toHaveLength(1);
      expect(near[0].stable).toBe(true);
    }
  });

  test("jumps across the fan's curve where that state ends, and neither is met there nor fails", () => {
    const { intersections, jumps } = curve(400);
    expect(jumps).toHaveLength(1);
    expect(jumps[0]).toBeGreaterThan(flow);
    for (const one of intersections) expect(Math.abs(one.flow / jumps[0] - 1)).toBeGreaterThan(1e-5);
    // Between two stable points of a fan and a system without a jump there is one that is not.
    expect(intersections.map(({ stable }) => stable)).toEqual([true, true]);
  });
});

test("flows without an answer are sought anew a few times only, however many they are", () => {
  const curve = { pressureKind: "total", coefficients: [300, 0, -6000], from: 0, to: 0.22 };
  const duct = (id: string, from: string, to: string, more: object = {}) => ({
    ...{ id, from, to, length: 4, section: { diameter: 0.2 } },
    ...more,
  });
  const network = {
    format: "ductgraph/1",
    nodes: [
      { id: "out", kind: "outdoors", coefficient: 1 },
      { id: "room", kind: "room" },
      { id: "f", kind: "fan", curve },
      { id: "g", kind: "fan", curve, control: { kind: "pressure", pressure: -20, sensor: { node: "room" } } },
    ],
    ducts: [
      duct("a", "out", "f.inlet", { backdraught: true }),
      duct("b", "f.outlet", "room"),
      duct("c", "room", "g.inlet"),
      duct("d", "g.outlet", "out"),
    ],
    openings: [{ id: "leak", from: "room", to: "out", coefficient: 0.004, exponent: 0.6 }],
  } as unknown as NetworkDocument;
  const starts = vi.spyOn(ControlledSolver.prototype, "startCold");
  const { intersections, points, unreachable } = systemCurve(network, "f", { from: -0.1, to: 0.2, points: 301 });
  expect(starts.mock.calls.length).toBeLessThan(8);
  starts.mockRestore();
  expect(intersections).toHaveLength(1);
  expect(unreachable).toHaveLength(100);
  expect(points).toHaveLength(201);
});
