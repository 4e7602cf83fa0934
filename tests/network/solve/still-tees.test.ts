import { expect, test } from "vitest";
import { type NetworkDocument, parseNetwork, solveNetwork } from "../../../src/index.js";
import { expectSolved } from "../../helpers/evaluator.js";
import { stillCampaign } from "../../helpers/still-networks.js";

test("150 networks of tees of every model, angle and area ratio rest where nothing moves the air, also after wind", () => {
  const { failed, moving, rested } = stillCampaign(1, 150);
  expect(failed).toEqual([]);
  expect(moving).toEqual([]);
  expect(rested).toBe(300);
});

/** A ring from leg a of a wye back to its branch, fed by leg b and with a small way out. */
const ring = (angle: number, edgeRadius: number, pressure: number, length: number): NetworkDocument => ({
  format: "ductgraph/1",
  nodes: [
    { id: "in", kind: "outdoors", coefficient: 1, pressure },
    { id: "out", kind: "outdoors", coefficient: 1 },
    { id: "t", kind: "tee", angle: (angle * Math.PI) / 180, edgeRadius },
    { id: "j", kind: "junction" },
  ],
  ducts: [
    { id: "ring1", from: "t.a", to: "j", length, section: { diameter: 0.2 } },
    { id: "ring2", from: "j", to: "t.branch", length, section: { diameter: 0.2 * Math.sqrt(1.2) } },
    { id: "leg", from: "in", to: "t.b", length: 1, section: { diameter: 0.2 } },
    { id: "out", from: "j", to: "out", length: 1, section: { diameter: 0.05 } },
  ],
});

// Gardel's form outside its range: a branch of 1.2 of the main's area that turns by 45° and less.
const wyes = [
  [20, 0.12],
  [20, 0],
  [30, 0.12],
  [45, 0.12],
] as const;

test.each(wyes)("a ring of a wye of %f°, edge radius %f, rests without a pressure outdoors", (angle, edgeRadius) => {
  for (const length of [0.1, 0.3, 1]) {
    const { ducts } = solveNetwork(ring(angle, edgeRadius, 0, length));
    for (const { flow } of Object.values(ducts)) expect(Math.abs(flow)).toBeLessThan(1e-12);
  }
});

test.each(wyes)("a ring of a wye of %f°, edge radius %f, loses no more than what drives it", (angle, edgeRadius) => {
  for (const pressure of [1e-3, 1, 10, -10])
    for (const length of [0.1, 0.3, 1]) {
      const network = parseNetwork(ring(angle, edgeRadius, pressure, length));
      const solution = solveNetwork(network);
      expectSolved(network, solution);
      const { ring1, ring2, leg } = solution.ducts;
      const lost = ring1.frictionLoss * ring1.flow + ring2.frictionLoss * ring2.flow;
      expect(lost).toBeGreaterThan(0);
      expect(lost).toBeLessThanOrEqual(pressure * leg.flow);
    }
});
