import { describe, expect, test } from "vitest";
import type { Problem } from "../src/core/errors.js";
import * as fans from "../src/fans/index.js";
import * as fittings from "../src/fittings/index.js";
import * as main from "../src/index.js";

const points = [
  { flow: 0, pressure: 300 },
  { flow: 0.2, pressure: 100 },
];
const curve = { pressureKind: "total", points } as const;
const side = { flow: 0.1, externalStaticPressure: 80 };
const request = { duty: { supply: side, extract: side } };
const stream = { fan: curve, components: [] };
const unit = {
  name: "a",
  supply: stream,
  extract: stream,
  minSpeed: 0.3,
  maxSpeed: 1,
  size: { width: 1, height: 1, depth: 1 },
  spigotDiameter: 0.2,
  heatRecovery: 0.8,
  controlsPower: 3,
};
const network = { format: "ductgraph/1", nodes: [], ducts: [] } as unknown as main.NetworkDocument;

/** Calls with arguments of any kind; what is wrong with them. */
const problemsOf = (call: (any: (value: unknown) => never) => unknown): readonly Problem[] => {
  try {
    call((value) => value as never);
  } catch (error) {
    if (error instanceof main.InputError || error instanceof fans.InputError || error instanceof fittings.InputError)
      return error.problems;
    throw error;
  }
  return [];
};

describe("a call with several faults tells all of them", () => {
  test.each<[string, (any: (value: unknown) => never) => unknown, string[]]>([
    ["a fan curve", (any) => fans.fanCurve(any({ ...curve, sped: 1, densitty: 2 })), ["sped", "densitty"]],
    [
      "a point of a fan curve",
      (any) => fans.fanCurve(any({ ...curve, points: [points[0], { flow: -1, presure: 1, x: 1 }] })),
      ["points.1.presure", "points.1.x", "points.1.flow", "points.1.pressure", "points.1.flow"],
    ],
    [
      "a section of a fan curve",
      (any) => fans.fanCurve(any({ ...curve, outlet: { diameter: -1, widht: 2 } })),
      ["outlet.widht", "outlet.diameter"],
    ],
    [
      "a chain",
      (any) => fans.electricalPower(-1, any({ impeller: 2, motr: 1, chain: 1 })),
      ["airPower", "chain.motr", "chain.chain", "chain.impeller", "chain.motor"],
    ],
    [
      "a part of a chain",
      (any) =>
        fans.fanInput(curve, any({ motor: { ratedOutput: 1, points: [{ laod: 1, efficiency: 2 }, null] } }), 0.1),
      [
        "chain.motor.points.0.laod",
        "chain.motor.points.0.load",
        "chain.motor.points.0.efficiency",
        "chain.motor.points.1",
      ],
    ],
    [
      "a fan and its chain",
      (any) => fans.fanInput(any({ ...curve, sped: 1 }), any({ motor: 2 }), 0.1),
      ["chain.motor", "sped"],
    ],
    [
      "a fan and a system by a formula",
      (any) => fans.operatingPoints(any({ ...curve, sped: 1 }), any({ a: "x", b: -1, n: 9, c: 1 })),
      ["c", "a", "b", "n", "sped"],
    ],
    [
      "a fan and a system by points",
      (any) =>
        fans.intersections(
          any({ ...curve, sped: 1 }),
          any([
            { flow: 1, pressure: "x" },
            { flow: 0, presure: 1 },
          ]),
        ),
      ["system.0.pressure", "system.1.presure", "system.1.pressure", "system.1.flow", "sped"],
    ],
    ["a fan and no system", (any) => fans.intersections(any({ ...curve, sped: 1 }), any([])), ["system", "sped"]],
    [
      "units and text of a table",
      (any) => fans.readFanTable(any(3), any({ flwo: "l/s", x: 1 })),
      ["flwo", "x", "text"],
    ],
    [
      "an exchanger",
      (any) =>
        main.exchangerTemperatures(
          any({ eff: 2, supplyMassFlow: 0, extractMassFlow: "x", outdoor: -100, extract: 20 }),
        ),
      ["eff", "efficiency", "supplyMassFlow", "extractMassFlow", "outdoor"],
    ],
    [
      "an exchanger with a limit",
      (any) =>
        main.frostReducedSupply(
          any({ efficiency: 2, supplyMassFlow: 1, extractMassFlow: 1, outdoor: 0, extract: "x", limit: 101 }),
        ),
      ["efficiency", "extract", "limit"],
    ],
    ["a preheater", (any) => main.preheaterPower(-1, any("x"), 200), ["massFlow", "from", "to"]],
    [
      "air by its temperature",
      (any) => main.airState(any({ temperature: 500, relativeHumidity: 2, altitude: 1e5, x: 1 })),
      ["x", "temperature", "relativeHumidity", "altitude"],
    ],
    [
      "air by its density",
      (any) => main.airState(any({ density: 0, viscosity: 0, altitude: 3 })),
      ["altitude", "density", "viscosity"],
    ],
    [
      "a rectangle",
      (any) => main.equivalentDiameter(any({ width: 0, heigth: 1, shape: "oval" })),
      ["heigth", "shape", "width", "height"],
    ],
    [
      "a fitting",
      (any) =>
        fittings.coefficientOf(fittings.bend, any({ angel: 1, radiusRatio: -1 }), {
          section: any({ diameter: 0 }),
          reynolds: -1,
        }),
      ["angel", "radiusRatio", "reynolds", "diameter"],
    ],
    [
      "the flows of a system curve",
      (any) => main.systemCurve(network, "fan", any({ from: Number.NaN, to: "x", points: Number.NaN, step: 1 })),
      ["step", "from", "to", "points"],
    ],
    [
      "how a network is solved",
      (any) => main.solveNetwork(network, any({ start: 3, tolerance: 5, maxIterations: 0, tolerence: 1 })),
      ["tolerence", "start", "tolerance", "maxIterations"],
    ],
    [
      "what a unit is chosen for",
      (any) => main.selectUnit(any({ ...request, bost: 1, margins: 1 }), [unit]),
      ["requirements.bost", "requirements.margins"],
    ],
  ])("%s", (_, call, paths) => {
    const problems = problemsOf(call);
    expect(problems.map(({ path }) => path)).toEqual(paths);
    for (const { path, message } of problems) expect(message.startsWith(`${path}:`)).toBe(true);
  });
});

test("a fan of a document is told by the key that its description does not have", () => {
  const documents = { ...unit, supply: { fan: { curve }, components: [] } };
  const paths = problemsOf((any) => main.selectUnit(request, [any(documents)])).map(({ path }) => path);
  expect(paths).toContain("units.0.supply.fan.curve");
});

test.each<[string, (any: (value: unknown) => never) => unknown]>([
  ["a chain", (any) => fans.electricalPower(1, any(null))],
  ["a system", (any) => fans.operatingPoints(curve, any(null))],
  ["an exchanger", (any) => main.exchangerTemperatures(any(null))],
  ["a range", (any) => main.systemCurve(network, "fan", any(null))],
  ["options", (any) => main.solveNetwork(network, any(null))],
  ["units of a table", (any) => fans.readFanTable("", any(null))],
  ["a section", (any) => main.equivalentDiameter(any(null))],
  ["air", (any) => main.airState(any(null))],
  ["parameters", (any) => fittings.coefficientOf(fittings.bend, any(null), { section: { diameter: 0.1 } })],
])("%s that is no object is told as that", (_, call) => {
  expect(problemsOf(call).map(({ code }) => code)).toContain("not-an-object");
});
