import { describe, expect, test } from "vitest";
import {
  checkNetwork,
  compileNetwork,
  type NetworkDocument,
  parseNetwork,
  solveNetwork,
  systemCurve,
} from "../../../src/index.js";
import { expectSolved } from "../../helpers/evaluator.js";

const shape = [
  { flow: 0, pressure: 300, power: 60 },
  { flow: 0.08, pressure: 280, power: 85 },
  { flow: 0.16, pressure: 200, power: 95 },
  { flow: 0.24, pressure: 40, power: 80 },
];
const at = (n: number): object[] =>
  shape.map(({ flow, pressure, power }) => ({ flow: n * flow, pressure: n * n * pressure, power: n ** 2.3 * power }));
const curve = {
  pressureKind: "total",
  speeds: [
    { setting: "night", points: at(0.5) },
    { setting: "day", points: at(0.75) },
    { setting: "boost", points: at(1) },
  ],
};
const documentOf = (fan: object): NetworkDocument =>
  ({
    format: "ductgraph/1",
    nodes: [
      { id: "in", kind: "outdoors", coefficient: 1 },
      { id: "valve", kind: "terminal", service: "supply", loss: { pressure: 40, flow: 0.1 } },
      { id: "f", kind: "fan", curve, ...fan },
    ],
    ducts: [
      { id: "a", from: "in", to: "f.inlet", length: 3, section: { diameter: 0.2 } },
      { id: "b", from: "f.outlet", to: "valve", length: 12, section: { diameter: 0.16 } },
    ],
  }) as NetworkDocument;

describe("a fan on one of its settings", () => {
  test("runs on that setting's own curve, as a fan with that curve alone does", () => {
    for (const [setting, n] of [
      ["night", 0.5],
      ["day", 0.75],
      ["boost", 1],
    ] as const) {
      const solution = solveNetwork(documentOf({ setting }));
      const alone = solveNetwork(documentOf({ curve: { pressureKind: "total", points: at(n) } })).fans.f;
      const { flow, power, speed, totalPressure } = solution.fans.f;
      expect(Math.abs(flow / alone.flow - 1)).toBeLessThan(1e-9);
      expect(Math.abs(totalPressure - alone.totalPressure)).toBeLessThan(1e-6);
      expect(Math.abs((power as number) - (alone.power as number))).toBeLessThan(1e-6);
      expect(speed).toBeCloseTo(n, 9);
      expectSolved(parseNetwork(documentOf({ setting })), solution);
    }
  });

  test("speed counts from the setting, is a parameter, and 0 stops the fan", () => {
    const compiled = compileNetwork(documentOf({ setting: "day" }));
    compiled.parameter("fans.f.speed").value = 0.8;
    compiled.update({ start: "document" });
    expect(compiled.output("fans.f.speed").value).toBeCloseTo(0.6, 9);
    expect(compiled.solution()).toEqual(compiled.solve({ "fans.f.speed": 0.8 }));
    const stopped = solveNetwork(documentOf({ setting: "day", speed: 0, stopped: { pressure: 10, flow: 0.1 } }));
    expect(stopped.fans.f).toMatchObject({ speed: 0 });
  });

  test("control begins there and leaves it; the last setting is speed 1", () => {
    const control = { kind: "flow", flow: "100 l/s" };
    const { control: held, flow, speed } = solveNetwork(documentOf({ setting: "night", control })).fans.f;
    expect(flow).toBeCloseTo(0.1, 9);
    expect(held).not.toHaveProperty("limit");
    expect(speed).toBeGreaterThan(0.5);
    expect(speed).toBeLessThan(1);
  });

  test("of curves in 1/min is a speed in 1/min; limits of control stay in it, from a tenth of the fastest to the fastest", () => {
    const inRpm = {
      ...curve,
      speeds: curve.speeds.map(({ setting, points }, i) => ({ setting, speed: [1500, 2250, 3000][i], points })),
    };
    expect(solveNetwork(documentOf({ curve: inRpm, setting: "day", speed: 0.8 })).fans.f.speed).toBe(1800);
    const control = { kind: "flow", flow: "100 l/s" };
    const network = parseNetwork(documentOf({ curve: inRpm, setting: "night", control }));
    expect(network.nodes[2]).toMatchObject({ speed: 1, control: { minSpeed: 300, maxSpeed: 3000 } });
    const { speed } = solveNetwork(network).fans.f;
    const named = solveNetwork(documentOf({ setting: "night", control })).fans.f;
    expect(speed / 3000).toBeCloseTo(named.speed, 9);
    expect(solveNetwork(documentOf({ curve: inRpm, speed })).fans.f.flow).toBeCloseTo(0.1, 8);
  });

  test("a speed beside a setting that cannot be a share of it is told, as that in 1/min is", () => {
    const faults = (fan: object): unknown[] =>
      checkNetwork(documentOf(fan)).problems.map(({ code, path, expected }) => [code, path, expected]);
    const told = [["fan.speed-far", "nodes.2.speed", "a speed relative to the setting's, 0.05 to 5"]];
    expect(faults({ setting: "day", speed: 1200 })).toEqual(told);
    expect(faults({ setting: "day", speed: 0.04 })).toEqual(told);
    expect(faults({ setting: "day", speed: 1.3 })).toEqual([]);
  });

  test("its system curve is met on the setting's curve, controlled or not", () => {
    const range = { from: 0.02, to: 0.2, points: 15 };
    for (const fan of [{ setting: "day" }, { setting: "night", control: { kind: "flow", flow: 0.1 } }]) {
      const { flow } = solveNetwork(documentOf(fan)).fans.f;
      expect(systemCurve(documentOf(fan), "f", range).intersections[0].flow).toBeCloseTo(flow, 6);
    }
  });

  test("a parsed document with settings is itself a document", () => {
    const network = parseNetwork(documentOf({ setting: "day" }));
    expect(parseNetwork(structuredClone(network))).toEqual(network);
  });

  test("a setting that the curve does not have is told with the nearest", () => {
    const [problem] = checkNetwork(documentOf({ setting: "bost" })).problems;
    expect(problem).toMatchObject({ code: "reference.setting", path: "nodes.2.setting", nearest: "boost" });
    const plain = { curve: { pressureKind: "total", points: shape }, setting: "day" };
    expect(checkNetwork(documentOf(plain)).problems[0]).toMatchObject({ code: "reference.setting" });
  });
});
