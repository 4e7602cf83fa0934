import { expect, test } from "vitest";
import { type NetworkDocument, parseNetwork, type Solution } from "../../../src/index.js";
import { layoutOf } from "../../../src/network/document/document.js";
import { solverOf } from "../../../src/network/equations/solver.js";
import type { Answer } from "../../../src/network/equations/state.js";
import { assemble, type System } from "../../../src/network/solve/assemble.js";
import { emptySolution, limitsOf } from "../../../src/network/solve/solve.js";

const points = [0, 0.05, 0.1, 0.15, 0.2].map((flow) => ({ flow, pressure: 400 - 6000 * flow ** 2 }));
const curve = { pressureKind: "total", points } as const;

const duct = (id: string, from: string, to: string, length: number) => ({
  id,
  from,
  to,
  length,
  section: { diameter: 0.16 },
});

/** A unit that holds a flow of supply air with extract in proportion, and a booster at a fixed speed. */
const document: NetworkDocument = {
  format: "ductgraph/1",
  nodes: [
    { id: "in", kind: "outdoors", entry: 0.5, exit: 1 },
    { id: "out", kind: "outdoors", entry: 0.5, exit: 1 },
    {
      id: "unit",
      kind: "airHandler",
      supply: { fan: { curve, control: { kind: "flow", flow: 0.1 } } },
      extract: { fan: { curve, control: { kind: "balance", to: "unit.supply", ratio: 1.1 } } },
    },
    { id: "booster", kind: "fan", curve, speed: 0.4 },
    { id: "room", kind: "room", pressure: 0 },
  ],
  ducts: [
    duct("a", "in", "unit.intake", 10),
    duct("b", "unit.supply", "booster.inlet", 40),
    duct("c", "booster.outlet", "room", 20),
    duct("d", "room", "unit.extract", 60),
    duct("e", "unit.exhaust", "out", 10),
  ],
};

const solvedSystem = (): { system: System; answer: Answer } => {
  const system = assemble(layoutOf(parseNetwork(document)));
  const solver = solverOf(system.equations);
  solver.startCold();
  solver.solve(limitsOf());
  return { system, answer: solver };
};

const lossesOf = ({ equations }: System, { massFlow }: Answer): Float64Array => {
  const losses = new Float64Array(equations.branches);
  equations.evaluate(massFlow, losses, new Float64Array(equations.branches));
  return losses;
};

const fansOf = ({ elements }: System, answer: Answer): Solution["fans"] => {
  const solution = emptySolution({ iterations: 0, massResidual: 0, pressureResidual: 0 });
  elements.reportAll(answer, solution);
  return solution.fans;
};

test("reading results at other speeds leaves the equations as they are", () => {
  const { system, answer } = solvedSystem();
  const before = lossesOf(system, answer);
  const cold: Answer = { massFlow: answer.massFlow, pressure: answer.pressure, speed: system.equations.startSpeeds() };
  expect([...answer.speed]).not.toEqual([...cold.speed]);
  fansOf(system, cold);
  expect(lossesOf(system, answer)).toEqual(before);
});

test("what a fan does in an answer hangs on its speed there, whatever it has in the equations", () => {
  const { system, answer } = solvedSystem();
  const fans = fansOf(system, answer);
  for (const c of answer.speed.keys()) system.equations.setSpeed(c, 0.5 * answer.speed[c]);
  expect(fansOf(system, answer)).toEqual(fans);
});
