import { expect, test } from "vitest";
import { parseNetwork, solveNetwork, systemCurve } from "../../src/index.js";
import { controlledBuilding } from "../helpers/control-buildings.js";

test("every fan of 100 random controlled buildings has a system curve, whatever controls the others", () => {
  let fans = 0;
  for (let seed = 1; seed <= 100; seed++) {
    const network = parseNetwork(controlledBuilding(seed));
    for (const [name, { flow }] of Object.entries(solveNetwork(network).fans)) {
      const range = { from: 0, to: Math.max(2 * flow, 0.02), points: 3 };
      const { points, unreachable } = systemCurve(network, name, range);
      expect(points.length + unreachable.length, `${seed} ${name}`).toBe(3);
      fans++;
    }
  }
  expect(fans).toBeGreaterThan(300);
});
