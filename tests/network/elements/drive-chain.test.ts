import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { type FanFamily, fanFamily, fanInput } from "../../../src/fans/index.js";
import { atSpeed } from "../../../src/fans/laws.js";
import { checkNetwork, compileNetwork, type NetworkDocument, parseNetwork, solveNetwork } from "../../../src/index.js";
import { evaluate, expectSolved } from "../../helpers/evaluator.js";

const points = [
  { flow: 0.02, pressure: 320, efficiency: 0.3 },
  { flow: 0.1, pressure: 260, efficiency: 0.62 },
  { flow: 0.18, pressure: 60, efficiency: 0.4 },
];
const motor = {
  ratedOutput: 60,
  points: [
    { load: 0.1, efficiency: 0.45 },
    { load: 0.5, efficiency: 0.77 },
    { load: 1, efficiency: 0.8 },
  ],
};
const documentOf = (fan: object): NetworkDocument =>
  ({
    format: "ductgraph/1",
    nodes: [
      { id: "in", kind: "outdoors", coefficient: 1 },
      { id: "out", kind: "outdoors", coefficient: 1 },
      { id: "f", kind: "fan", curve: { pressureKind: "total", points, controlsPower: 2 }, ...fan },
    ],
    ducts: [
      { id: "a", from: "in", to: "f.inlet", length: 3, section: { diameter: 0.16 } },
      {
        id: "b",
        from: "f.outlet",
        to: "out",
        length: 12,
        section: { diameter: 0.16 },
        fittings: [{ kind: "fixed", coefficient: 3 }],
      },
    ],
  }) as NetworkDocument;

describe("a chain of efficiencies from the impeller to the mains", () => {
  test("of plain numbers divides the impeller's power by each of them; standby comes on top", () => {
    const bare = solveNetwork(documentOf({})).fans.f;
    const chained = solveNetwork(documentOf({ chain: { transmission: 0.95, motor: "80 %", controller: 0.96 } })).fans.f;
    const impeller = (bare.power as number) - 2;
    expect(chained.flow).toBe(bare.flow);
    expect(chained.power).toBeCloseTo(impeller / (0.95 * 0.8 * 0.96) + 2, 10);
    expect(chained.efficiency).toBeCloseTo(chained.airPower / (chained.power as number), 12);
  });

  test("warms the air by what the motor takes, or gives where it is outside; a controller's losses stay outside", () => {
    const chain = { transmission: 0.95, motor: "80 %", controller: 0.96 };
    const impeller = (solveNetwork(documentOf({})).fans.f.power as number) - 2;
    const heatOf = (more: object): number => solveNetwork(documentOf({ chain, ...more })).fans.f.heatToAir as number;
    expect(heatOf({})).toBeCloseTo(impeller / (0.95 * 0.8), 10);
    expect(heatOf({ motorOutside: true })).toBeCloseTo(impeller / 0.95, 10);
  });

  test("never warms the air by less than the air power, which friction turns into heat, nor by more than the input", () => {
    fc.assert(
      fc.property(fc.double({ min: 0.25, max: 1.2, noNaN: true }), fc.boolean(), (speed, motorOutside) => {
        const { f } = solveNetwork(documentOf({ speed, motorOutside, chain: { motor, controller: 0.95 } })).fans;
        expect(f.heatToAir).toBeGreaterThanOrEqual(f.airPower);
        expect(f.heatToAir).toBeLessThanOrEqual(f.power as number);
      }),
    );
  });

  test("gives at any speed what fanInput gives of the curve at that speed, and is no estimate", () => {
    const chain = { motor, controller: 0.95 };
    fc.assert(
      fc.property(fc.double({ min: 0.25, max: 1.2, noNaN: true }), (speed) => {
        const document = documentOf({ speed, chain });
        const solution = solveNetwork(document);
        const { flow, power, powerEstimated } = solution.fans.f;
        const curve = { pressureKind: "total" as const, points, controlsPower: 2 };
        expect(power).toBeCloseTo(fanInput(atSpeed(curve, speed), chain, flow)?.mainsInput as number, 9);
        expect(powerEstimated).toBeUndefined();
        expectSolved(parseNetwork(document), solution);
      }),
      { numRuns: 30 },
    );
  });

  test("on a family gives between its speeds, at one of them and beyond what fanInput gives of the family at that speed", () => {
    const chain = { transmission: 0.95, motor, controller: 0.9 };
    // Slower impellers are a little worse, and stall a little earlier.
    const family: FanFamily = {
      pressureKind: "total",
      controlsPower: 1,
      speeds: [0.4, 0.7, 1].map((n) => ({
        speed: 3000 * n,
        points: points.map(({ flow, pressure, efficiency }) => ({
          flow: flow * n,
          pressure: pressure * n ** 2.05,
          efficiency: efficiency * n ** 0.1,
        })),
      })),
    };
    const running = fanFamily(family);
    const anySpeed = fc.oneof(fc.constantFrom(1200, 2100, 3000), fc.double({ min: 900, max: 3300, noNaN: true }));
    fc.assert(
      fc.property(anySpeed, (speed) => {
        const document = documentOf({ curve: family, speed, chain });
        const solution = solveNetwork(document);
        const { flow, power, powerEstimated } = solution.fans.f;
        expect(power).toBeCloseTo(fanInput(running.at(speed), chain, flow)?.mainsInput as number, 9);
        expect(powerEstimated).toBeUndefined();
        expectSolved(parseNetwork(document), solution);
        const f = { ...solution.fans.f, power: 1.0001 * (power as number) };
        const { problems } = evaluate(parseNetwork(document), { ...solution, fans: { f } });
        expect(problems).toContainEqual(expect.stringMatching(/^fans\.f\.power:/));
      }),
      { numRuns: 40 },
    );
  });

  test("a slow motor takes more than the cube of speed would tell", () => {
    const at = (speed: number): number => solveNetwork(documentOf({ speed, chain: { motor } })).fans.f.power as number;
    expect(at(0.4) - 2).toBeGreaterThan(1.3 * 0.4 ** 3 * (at(1) - 2));
  });

  test("works in the stream of a unit, whose power contains it", () => {
    const fan = { curve: { pressureKind: "total", points }, chain: { motor: 0.7 } };
    const document = {
      ...documentOf({}),
      nodes: [
        { id: "in", kind: "outdoors", coefficient: 1 },
        { id: "out", kind: "outdoors", coefficient: 1 },
        { id: "u", kind: "airHandler", supply: { fan } },
      ],
      ducts: [
        { id: "a", from: "in", to: "u.intake", length: 3, section: { diameter: 0.16 } },
        { id: "b", from: "u.supply", to: "out", length: 12, section: { diameter: 0.16 } },
      ],
    } as unknown as NetworkDocument;
    const { airHandlers, fans } = solveNetwork(document);
    const { flow, power, airPower } = fans["u.supply"];
    expect(airHandlers.u.power).toBe(power);
    const efficiency = airPower / ((power as number) * 0.7);
    expect(efficiency).toBeGreaterThan(0.3);
    expect(efficiency).toBeLessThan(0.63);
    expect(flow).toBeGreaterThan(0);
  });

  test("its numbers are parameters: an update gives what a document with them gives", () => {
    const compiled = compileNetwork(documentOf({ chain: { motor, controller: 0.95 } }));
    compiled.parameter("fans.f.chain.controller").value = 0.9;
    compiled.parameter("fans.f.chain.motor.points.1.efficiency").value = 0.7;
    compiled.update();
    const [first, , last] = motor.points;
    const slower = { ...motor, points: [first, { load: 0.5, efficiency: 0.7 }, last] };
    const fresh = solveNetwork(documentOf({ chain: { motor: slower, controller: 0.9 } }));
    expect(compiled.solution().fans.f).toEqual(fresh.fans.f);
    expect(compiled.output("fans.f.power").value).toBe(fresh.fans.f.power);
  });

  test("a parsed document with a chain is itself a document", () => {
    const network = parseNetwork(documentOf({ chain: { motor: "82 %" } }));
    expect(parseNetwork(structuredClone(network))).toEqual(network);
  });

  test("faults: electrical input already given, no efficiency of the impeller, loads that do not rise, a share above 1", () => {
    const faults = (fan: object): unknown[] =>
      checkNetwork(documentOf(fan)).problems.map(({ code, path }) => [code, path]);
    const withPower = points.map(({ flow, pressure }) => ({ flow, pressure, power: 50 }));
    const curve = { pressureKind: "total", points: withPower };
    expect(faults({ curve, chain: { motor: 0.8 } })).toEqual([["key.conflict", "nodes.2.chain"]]);
    const parabola = { pressureKind: "total", coefficients: [300, 0, -6000], from: 0, to: 0.2 };
    const powered = { ...parabola, powerCoefficients: [50] };
    expect(faults({ curve: powered, chain: { motor: 0.8 } })).toEqual([["key.conflict", "nodes.2.chain"]]);
    expect(faults({ curve: parabola, chain: { motor: 0.8 } })).toEqual([["fan.chain-efficiency", "nodes.2.chain"]]);
    const falling = { ...motor, points: [motor.points[1], motor.points[0]] };
    expect(faults({ chain: { motor: falling } })).toEqual([["out-of-range", "nodes.2.chain.motor.points.1.load"]]);
    expect(faults({ chain: { motor: 1.2 } })).toEqual([["value.range", "nodes.2.chain.motor"]]);
    expect(faults({ chain: {} })).toEqual([["key.missing", "nodes.2.chain.motor"]]);
  });
});
