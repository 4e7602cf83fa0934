import { describe, expect, test } from "vitest";
import { type NetworkDocument, parseNetwork, solveNetwork } from "../../../src/index.js";
import { controlCampaign } from "../../helpers/control-networks.js";
import { expectSolved } from "../../helpers/evaluator.js";
import { regulatedBuilding, regulatedDocument } from "../../helpers/regulated-networks.js";

test("200 random trees of tees with constant-flow regulators, at fixed and at sought speeds, are all solved", () => {
  const { refused, wrong, solved } = controlCampaign(regulatedDocument, 1, 200);
  expect(wrong).toEqual([]);
  expect(refused).toEqual([]);
  expect(solved).toBe(200);
});

test("20 networks of 300 ducts, tees wherever three meet and regulators at their ends, are all solved", () => {
  const { refused, wrong, solved } = controlCampaign(regulatedBuilding, 1, 20);
  expect(wrong).toEqual([]);
  expect(refused).toEqual([]);
  expect(solved).toBe(20);
});

describe("two equal branches on a tee with a regulator of 5 l/s each", () => {
  const curve = {
    pressureKind: "total",
    points: [0, 0.05, 0.1, 0.15, 0.2, 0.25].map((flow) => ({ flow, pressure: 400 - 6000 * flow ** 2 })),
  };
  const regulator = { kind: "regulator", flow: 0.005, minPressure: 20, maxPressure: 60 };
  const duct = (id: string, from: string, to: string, diameter: number, fittings: object[] = []) => ({
    id,
    from,
    to,
    length: 5,
    section: { diameter },
    fittings,
  });
  const terminal = (id: string) => ({ id, kind: "terminal", service: "supply", loss: { pressure: 20, flow: 0.02 } });
  const network = (speed: number) =>
    parseNetwork({
      format: "ductgraph/1",
      nodes: [
        { id: "out", kind: "outdoors", coefficient: 1 },
        { id: "fan", kind: "fan", curve, speed },
        { id: "tee", kind: "tee" },
        terminal("t0"),
        terminal("t1"),
      ],
      ducts: [
        duct("in", "out", "fan.inlet", 0.12),
        duct("main", "fan.outlet", "tee.a", 0.12),
        duct("b0", "tee.branch", "t0", 0.06, [regulator]),
        duct("b1", "tee.b", "t1", 0.06, [regulator]),
      ],
    } as unknown as NetworkDocument);

  test("is solved cold at any speed, with the answer that one finds by raising the speed bit by bit", () => {
    let last = solveNetwork(network(0.1));
    for (let percent = 11; percent <= 100; percent++) {
      const here = network(percent / 100);
      const cold = solveNetwork(here);
      expectSolved(here, cold);
      last = solveNetwork(here, { start: last });
      for (const id of ["b0", "b1"]) expect(cold.ducts[id].flow).toBeCloseTo(last.ducts[id].flow, 9);
    }
  });
});
