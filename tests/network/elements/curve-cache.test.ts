import { beforeEach, expect, test, vi } from "vitest";
import type { FanFamily } from "../../../src/fans/family.js";
import { compileNetwork, type NetworkDocument, parseNetwork, solveNetwork, systemCurve } from "../../../src/index.js";

const readings = vi.hoisted(() => ({ count: 0 }));
vi.mock(import("../../../src/fans/family-problems.js"), async (original) => {
  const { readFamily, ...rest } = await original();
  const counted = (family: FanFamily) => {
    readings.count++;
    return readFamily(family);
  };
  return { ...rest, readFamily: counted };
});

const points = (n: number): object[] =>
  [0, 0.05, 0.1, 0.15, 0.2].map((flow) => ({ flow: flow * n, pressure: n * n * (300 - 6000 * flow * flow) }));
const documentOf = (fan: object = {}): NetworkDocument =>
  ({
    format: "ductgraph/1",
    nodes: [
      { id: "in", kind: "outdoors", coefficient: 1 },
      { id: "out", kind: "outdoors", coefficient: 1 },
      {
        id: "u",
        kind: "airHandler",
        supply: {
          fan: {
            curve: {
              pressureKind: "total",
              speeds: [1500, 3000].map((speed) => ({ speed, points: points(speed / 3000) })),
            },
            ...fan,
          },
        },
      },
    ],
    ducts: [
      { id: "a", from: "in", to: "u.intake", length: 3, section: { diameter: 0.16 } },
      { id: "b", from: "u.supply", to: "out", length: 12, section: { diameter: 0.16 } },
    ],
  }) as NetworkDocument;

beforeEach(() => {
  readings.count = 0;
});

test("a family is read once, however often its network is solved", () => {
  const network = parseNetwork(documentOf());
  solveNetwork(network);
  systemCurve(network, "u.supply", { from: 0.02, to: 0.1, points: 4 });
  const compiled = compileNetwork(network);
  const speed = compiled.parameter("fans.u.supply.speed");
  for (const value of [2000, 2500, 2700]) {
    speed.value = value;
    compiled.update();
  }
  compiled.solve({ "fans.u.supply.speed": 2222 });
  expect(readings.count).toBe(1);
});

test("a changed number of a curve counts at once, and a refused one leaves the curve as it was", () => {
  const path = "nodes.u.supply.fan.curve.speeds.1.points.3.pressure";
  const compiled = compileNetwork(parseNetwork(documentOf({ speed: 2500 })));
  const pressure = compiled.parameter(path);
  const flow = compiled.output("fans.u.supply.flow");
  compiled.update();
  const before = flow.value as number;
  pressure.value = 185;
  compiled.update();
  const higher = flow.value as number;
  expect(higher).toBeGreaterThan(before);
  expect(compiled.solve({ [path]: 185 }).fans["u.supply"].flow).toBeCloseTo(higher, 9);
  // Below the slower curve.
  expect(() => {
    pressure.value = 10;
  }).toThrow(/contradicts/);
  compiled.update();
  expect(flow.value).toBeCloseTo(higher, 9);
  pressure.value = pressure.initial;
  compiled.update();
  expect(flow.value).toBeCloseTo(before, 9);
});
