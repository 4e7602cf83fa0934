import { expect, test } from "vitest";
import { indexRun, type NetworkDocument, parseNetwork, pressurePath, solveNetwork } from "../../../src/index.js";
import { expectSolved } from "../../helpers/evaluator.js";

/* What random networks and mutated documents have found, each as the smallest document that shows it. */

/** A fan that supplies one room, with ducts of cold and of warm air up to a box: air turns round there by itself. */
const withEddy = (dead: boolean): NetworkDocument => ({
  format: "ductgraph/1",
  nodes: [
    { id: "intake", kind: "outdoors", entry: 0.5, exit: 1 },
    {
      id: "fan",
      kind: "fan",
      curve: {
        pressureKind: "total",
        points: [
          { flow: 0, pressure: 60 },
          { flow: 0.05, pressure: 3 },
        ],
      },
    },
    { id: "low", kind: "plenum" },
    { id: "high", kind: "plenum", elevation: 3 },
    { id: "valve", kind: "terminal", service: "supply", loss: { pressure: 20, flow: 0.005 }, designFlow: 0.005 },
    ...(dead ? [{ id: "cap", kind: "plenum" } as const] : []),
  ],
  ducts: [
    { id: "in", from: "intake", to: "fan.inlet", length: 1, section: { diameter: 0.16 } },
    { id: "out", from: "fan.outlet", to: "low", length: 1, section: { diameter: 0.16 } },
    { id: "cold", from: "low", to: "high", length: 3, section: { diameter: 0.25 }, air: { temperature: -10 } },
    { id: "warm", from: "low", to: "high", length: 3, section: { diameter: 0.25 }, air: { temperature: 30 } },
    { id: "to-valve", from: "low", to: "valve", length: 1, section: { diameter: 0.16 } },
    ...(dead ? [{ id: "to-cap", from: "high", to: "cap", length: 1, section: { diameter: 0.16 } }] : []),
  ],
});

test.each([false, true])(
  "the way of the air does not end in a loop that turns by itself (with a dead end: %s)",
  (dead) => {
    const network = parseNetwork(withEddy(dead));
    const solution = solveNetwork(network);
    expectSolved(network, solution);
    expect(Math.abs(solution.ducts.warm.flow)).toBeGreaterThan(solution.ducts.out.flow);
    const way = ["nodes.intake", "ducts.in", "fans.fan", "ducts.out", "ducts.to-valve", "terminals.valve"];
    expect(pressurePath(network, solution, "valve").map(({ path }) => path)).toEqual(way);
    expect(indexRun(network, "fan").path.map(({ path }) => path)).toEqual(way);
  },
);

test("where warm air turns round and all else goes out at a junction, its way ends at the junction", () => {
  const network = parseNetwork({
    ...withEddy(false),
    nodes: withEddy(false).nodes.map((node) =>
      node.id === "high" ? { id: "high", kind: "junction", elevation: 3, inflow: -0.02 } : node,
    ),
    ducts: withEddy(false)
      .ducts?.filter(({ id }) => id !== "in" && id !== "out")
      .concat([
        { id: "by", from: "intake", to: "fan.inlet", length: 1, section: { diameter: 0.16 } },
        { id: "out", from: "fan.outlet", to: "intake", length: 1, section: { diameter: 0.16 } },
      ]),
  });
  const solution = solveNetwork(network);
  expectSolved(network, solution);
  const steps = pressurePath(network, solution, "valve");
  const last = steps[steps.length - 1];
  expect(last.path).toMatch(/^ducts\.(cold|warm)$/);
  expect(last.totalPressure).toBeCloseTo(solution.nodes.high.totalPressure ?? Number.NaN, 6);
});

test("air that stands still but for the smallest number there is has results, all of them numbers", () => {
  const document = JSON.parse(
    `{"format": "ductgraph/1", "nodes": [{"id": "out", "kind": "outdoors", "coefficient": 1}, {"id": "r0", "kind": "room"}, {"id": "r1", "kind": "room"}, {"id": "r2", "kind": "room"}, {"id": "j0", "kind": "junction"}, {"id": "j6", "kind": "junction"}, {"id": "f3", "kind": "fan", "curve": {"pressureKind": "total", "points": [{"flow": 0, "pressure": 400}, {"flow": 0.05, "pressure": 385}, {"flow": 0.1, "pressure": 340}, {"flow": 0.15, "pressure": 265}, {"flow": 0.2, "pressure": 159.99999999999994}, {"flow": 0.25, "pressure": 25}]}, "control": {"kind": "pressure", "pressure": 0.601603, "sensor": {"duct": "d27", "at": "inlet"}, "against": {"node": "r0"}, "pressureKind": "static", "minSpeed": 0.1, "maxSpeed": 1}}], "ducts": [{"id": "d0", "from": "out", "to": "j0", "length": 5, "section": {"diameter": 0.2}, "fittings": []}, {"id": "d1", "from": "r1", "to": "j0", "length": 5, "section": {"diameter": 0.2}, "fittings": []}, {"id": "d16", "from": "r2", "to": "j6", "length": 5, "section": {"diameter": 0.2}, "fittings": []}, {"id": "d17", "from": "j6", "to": "r0", "length": 5, "section": {"diameter": 0.2}, "fittings": []}, {"id": "d25", "from": "out", "to": "f3.inlet", "length": 5, "section": {"diameter": 0.2}, "fittings": []}, {"id": "d26", "from": "f3.outlet", "to": "r2", "length": 5, "section": {"diameter": 0.2}, "fittings": []}, {"id": "d27", "from": "r1", "to": "r2", "length": 5, "section": {"diameter": 0.2}, "fittings": [], "backdraught": true}], "openings": []}`,
  ) as NetworkDocument;
  const network = parseNetwork(document);
  const solution = solveNetwork(network);
  expectSolved(network, solution);
  expect(Object.values(solution.ducts).every(({ frictionLoss }) => Number.isFinite(frictionLoss))).toBe(true);
});

test.each([
  ["covers its branch", 0.219, true],
  ["does not cover its branch", 0.1, false],
])(
  "in a network at rest a tee has no flow, no way of the air, and no turn; its model %s",
  (_, diameter, withinRange) => {
    const network = parseNetwork({
      format: "ductgraph/1",
      nodes: [
        { id: "o", kind: "outdoors", entry: 0.5, exit: 1 },
        { id: "t", kind: "tee", angle: 0.35, edgeRadius: 0.12 },
        { id: "j", kind: "junction" },
      ],
      ducts: [
        { id: "in", from: "o", to: "t.b", length: 1, section: { diameter: 0.25 } },
        { id: "run", from: "t.a", to: "j", length: 1, section: { diameter: 0.25 } },
        { id: "side", from: "j", to: "t.branch", length: 1, section: { diameter } },
      ],
    });
    const solution = solveNetwork(network);
    expectSolved(network, solution);
    expect(solution.nodes.t.losses).toMatchObject({ pattern: "no flow", added: 0, paths: [], withinRange });
  },
);
