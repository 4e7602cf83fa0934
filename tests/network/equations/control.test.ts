import { describe, expect, test } from "vitest";
import {
  checkNetwork,
  compileNetwork,
  type NetworkDocument,
  parseNetwork,
  type Solution,
  solveNetwork,
} from "../../../src/index.js";
import { expectSolved } from "../../helpers/evaluator.js";

const points = [0, 0.05, 0.1, 0.15, 0.2, 0.25].map((flow) => ({
  flow,
  pressure: 400 - 6000 * flow ** 2,
  power: 20 + 400 * flow,
}));

type Document = NetworkDocument;

/** Supply and extract of a house with two rooms each, all losses quadratic where `quadratic`. */
const house = (supply: object, extract: object = {}, more: { quadratic?: boolean; root?: object } = {}): Document => {
  const friction = more.quadratic ? { frictionFactor: 0.02 } : {};
  const duct = (id: string, from: string, to: string, diameter: number, length: number) => ({
    id,
    from,
    to,
    length,
    section: { diameter },
    ...friction,
  });
  const valve = (id: string, service: string, pressure: number) => ({
    id,
    kind: "terminal",
    service,
    loss: { pressure, flow: 0.05 },
  });
  const curve = { pressureKind: "total", points };
  return {
    format: "ductgraph/1",
    ...more.root,
    nodes: [
      { id: "in", kind: "outdoors", entry: 0.5, exit: 1 },
      { id: "out", kind: "outdoors", entry: 0.5, exit: 1 },
      {
        id: "unit",
        kind: "airHandler",
        supply: { fan: { curve, ...supply } },
        extract: { fan: { curve, ...extract } },
      },
      { id: "s", kind: "plenum" },
      { id: "e", kind: "plenum" },
      valve("s1", "supply", 30),
      valve("s2", "supply", 45),
      valve("e1", "extract", 25),
      valve("e2", "extract", 40),
    ],
    ducts: [
      duct("intake", "in", "unit.intake", 0.2, 4),
      duct("supply", "unit.supply", "s", 0.2, 9),
      duct("d1", "s", "s1", 0.125, 6),
      duct("d2", "s", "s2", 0.125, 11),
      duct("c1", "e1", "e", 0.125, 5),
      duct("c2", "e2", "e", 0.125, 8),
      duct("extract", "e", "unit.extract", 0.2, 7),
      duct("exhaust", "unit.exhaust", "out", 0.2, 5),
    ],
  } as unknown as Document;
};

const solved = (document: Document, tolerance = 1): Solution => {
  const network = parseNetwork(document);
  const solution = solveNetwork(network, { tolerance });
  expectSolved(network, solution, tolerance);
  return solution;
};

const flowsOf = (solution: Solution): number[] => Object.values(solution.ducts).map(({ flow }) => flow);

describe("a fan that holds its flow", () => {
  test("reproduces the answer at fixed speed, at the speed that it found", () => {
    const held = solved(house({ control: { kind: "flow", flow: 0.1 } }), 1e-4);
    const fixed = solved(house({ speed: held.fans["unit.supply"].speed }), 1e-4);
    expect(Math.abs(held.fans["unit.supply"].flow / 0.1 - 1)).toBeLessThan(1e-9);
    flowsOf(held).forEach((flow, i) => {
      expect(Math.abs(flow / flowsOf(fixed)[i] - 1)).toBeLessThan(1e-9);
    });
    for (const id in held.nodes) {
      const [a, b] = [held.nodes[id].totalPressure, fixed.nodes[id].totalPressure];
      if (a !== undefined && b !== undefined) expect(a).toBeCloseTo(b, 7);
    }
  });

  test("takes an eighth of the air power at half the flow where all losses are quadratic", () => {
    const at = (flow: number) => solved(house({ control: { kind: "flow", flow } }, {}, { quadratic: true }), 1e-4);
    const [whole, half] = [at(0.12).fans["unit.supply"], at(0.06).fans["unit.supply"]];
    expect(whole.airPower / half.airPower).toBeCloseTo(8, 8);
    // The fan laws: half the flow at half the speed.
    expect(whole.speed / half.speed).toBeCloseTo(2, 9);
  });

  test("runs at full speed where that is not enough, and says what is missing", () => {
    const held = solved(house({ control: { kind: "flow", flow: 0.5 } }));
    const full = solved(house({ speed: 1 }));
    const { control, flow, speed } = held.fans["unit.supply"];
    expect(speed).toBe(1);
    expect(flow).toBeCloseTo(full.fans["unit.supply"].flow, 9);
    expect(control?.limit).toBe("maxSpeed");
    expect(control?.missing).toBeCloseTo(0.5 - flow, 9);
    expect(held.warnings.map(({ code }) => code)).toContain("fan.control-limited");
  });

  test("says so also where a hundred-thousandth is missing", () => {
    const full = solved(house({ speed: 1 }), 1e-4).fans["unit.supply"].flow;
    const held = solved(house({ control: { kind: "flow", flow: (1 + 1e-5) * full } }));
    const { control, speed } = held.fans["unit.supply"];
    expect(speed).toBe(1);
    expect(control?.limit).toBe("maxSpeed");
    expect((control?.missing ?? 0) / full).toBeCloseTo(1e-5, 7);
  });

  test("runs at its slowest where even that is too much", () => {
    const held = solved(house({ control: { kind: "flow", flow: 0.01, minSpeed: 0.4 } }));
    expect(held.fans["unit.supply"].speed).toBeCloseTo(0.4, 12);
    expect(held.fans["unit.supply"].control?.limit).toBe("minSpeed");
  });

  test("a warning says by how much it falls short, or how much it gives too much", () => {
    const warned = (supply: object, extract: object = {}): string => {
      const solution = solved(house(supply, extract));
      const { control } = Object.values(solution.fans).find((fan) => fan.control !== undefined) ?? {};
      const missing = Math.abs(control?.missing ?? 0);
      const { message = "" } = solution.warnings.find(({ code }) => code === "fan.control-limited") ?? {};
      const [, amount = "", text = ""] = /.*: ([0-9.]+) (.*)/.exec(message) ?? [];
      expect(Math.abs(Number(amount) / (text.startsWith("l/s") ? 1000 * missing : missing) - 1)).toBeLessThan(0.005);
      return text;
    };
    expect(warned({ control: { kind: "flow", flow: 0.5 } })).toBe("l/s are missing");
    const sensor = { duct: "supply", at: "inlet" };
    expect(warned({ control: { kind: "pressure", pressure: 2000, sensor } })).toBe("Pa are missing");
    expect(warned({ control: { kind: "pressure", pressure: 1, minSpeed: 0.5, sensor } })).toBe("Pa too much");
    // Before a fan that extracts a set pressure is negative.
    const before = { duct: "extract", at: "outlet" };
    expect(warned({}, { control: { kind: "pressure", pressure: -2000, sensor: before } })).toBe("Pa are missing");
    expect(warned({}, { control: { kind: "pressure", pressure: -1, minSpeed: 0.5, sensor: before } })).toBe(
      "Pa too much",
    );
  });
});

describe("a fan that holds a pressure", () => {
  const pressureIn = (at: "inlet" | "outlet", more: object = {}) => ({
    control: { kind: "pressure", pressure: 60, sensor: { duct: "supply", at }, ...more },
  });

  test("holds the static pressure in the duct, not the total", () => {
    for (const at of ["inlet", "outlet"] as const) {
      const { ducts } = solved(house(pressureIn(at)));
      expect(ducts.supply[at].staticPressure).toBeCloseTo(60, 5);
      expect(ducts.supply[at].totalPressure - 60).toBeCloseTo(ducts.supply.velocityPressure, 5);
    }
  });

  test("holds the total pressure where that is asked for", () => {
    const { ducts } = solved(house(pressureIn("outlet", { pressureKind: "total" })));
    expect(ducts.supply.outlet.totalPressure).toBeCloseTo(60, 5);
  });

  test("holds the suction before a fan that extracts", () => {
    const control = { kind: "pressure", pressure: -50, sensor: { duct: "extract", at: "outlet" } };
    const { ducts, fans } = solved(house({}, { control }));
    expect(ducts.extract.outlet.staticPressure).toBeCloseTo(-50, 5);
    expect(fans["unit.extract"].control?.reached).toBeCloseTo(-50, 5);
  });

  test("holds a difference of two places, of which one may be a box", () => {
    const control = {
      kind: "pressure",
      pressure: 35,
      sensor: { node: "s" },
      against: { duct: "intake", at: "outlet" },
    };
    const { ducts, nodes } = solved(house({ control }));
    expect((nodes.s.totalPressure as number) - ducts.intake.outlet.staticPressure).toBeCloseTo(35, 5);
  });
});

describe("a fan in balance with another", () => {
  test("holds its share of the other's mass flow, whatever that does", () => {
    for (const speed of [0.5, 0.7, 0.9]) {
      const { fans } = solved(house({ speed }, { control: { kind: "balance", to: "unit.supply", ratio: 0.9 } }));
      expect(fans["unit.extract"].massFlow / fans["unit.supply"].massFlow).toBeCloseTo(0.9, 7);
    }
  });

  test("follows one that holds its flow", () => {
    const extract = { control: { kind: "balance", to: "unit.supply" } };
    const { airHandlers } = solved(house({ control: { kind: "flow", flow: 0.09 } }, extract));
    expect(airHandlers.unit.massImbalance).toBeCloseTo(0, 7);
  });

  test("holds still where the other stands at its limit", () => {
    const extract = { control: { kind: "balance", to: "unit.supply" } };
    const { fans } = solved(house({ control: { kind: "flow", flow: 0.9 } }, extract));
    expect(fans["unit.supply"].control?.limit).toBe("maxSpeed");
    expect(fans["unit.extract"].control?.limit).toBeUndefined();
    expect(fans["unit.extract"].massFlow).toBeCloseTo(fans["unit.supply"].massFlow, 7);
  });
});

describe("a compiled controlled network", () => {
  const document = house(
    { control: { kind: "flow", flow: 0.1 } },
    { control: { kind: "balance", to: "unit.supply", ratio: 1 } },
  );

  test("follows its set values, warm, as the changed document does", () => {
    const compiled = compileNetwork(document);
    const flow = compiled.parameter("fans.unit.supply.control.flow");
    const speed = compiled.output("fans.unit.supply.speed");
    for (const value of [0.06, 0.11, 0.5, 0.08]) {
      flow.value = value;
      compiled.update();
      const fresh = solved(
        house({ control: { kind: "flow", flow: value } }, { control: { kind: "balance", to: "unit.supply" } }),
      );
      expect(speed.value).toBeCloseTo(fresh.fans["unit.supply"].speed, 7);
    }
  });

  test("solves a change as it updates from the document, bit for bit", () => {
    const compiled = compileNetwork(document);
    const path = "fans.unit.supply.control.flow";
    const aside = compiled.solve({ [path]: 0.07 });
    compiled.parameter(path).value = 0.07;
    compiled.update({ start: "document" });
    expect(compiled.solution()).toEqual(aside);
    compiled.parameter(path).value = 0.1;
    compiled.update({ start: "document" });
    expect(compiled.solution()).toEqual(solveNetwork(document));
  });

  test("asks a sensor again whose duct has changed", () => {
    const sensor = { duct: "supply", at: "outlet" };
    const compiled = compileNetwork(house({ control: { kind: "pressure", pressure: 50, sensor } }));
    compiled.parameter("ducts.supply.section.diameter").value = 0.16;
    compiled.update();
    expect(compiled.output("ducts.supply.outlet.staticPressure").value).toBeCloseTo(50, 5);
  });

  test("takes the speed of an earlier answer", () => {
    const first = solveNetwork(document);
    expect(solveNetwork(document, { start: first }).convergence.iterations).toBeLessThanOrEqual(1);
  });
});

describe("faults of controllers", () => {
  const faultsOf = (supply: object, extract: object = {}): (readonly [string, string])[] =>
    checkNetwork(house(supply, extract)).problems.map(({ code, path }) => [code, path] as const);
  const pressure = (sensor: object, more: object = {}): object => ({
    control: { kind: "pressure", pressure: 50, sensor, ...more },
  });

  test("names that lead nowhere are told with the nearest", () => {
    const { problems } = checkNetwork(house(pressure({ duct: "suply", at: "inlet" })));
    expect(problems).toMatchObject([
      { code: "reference.duct", path: "nodes.2.supply.fan.control.sensor.duct", nearest: "supply" },
    ]);
    expect(faultsOf(pressure({ node: "attic" }))).toEqual([
      ["reference.node", "nodes.2.supply.fan.control.sensor.node"],
    ]);
    expect(faultsOf({ control: { kind: "balance", to: "unit.exhaust" } })).toEqual([
      ["reference.fan", "nodes.2.supply.fan.control.to"],
    ]);
  });

  describe("of names and places are told beside any other fault", () => {
    const lost = pressure({ duct: "nope", at: "inlet" });
    const told = ["reference.duct", "nodes.2.supply.fan.control.sensor.duct"] as const;
    const document = house(lost);
    const [first, ...others] = document.ducts ?? [];
    const rising = [0, 0.1].map((flow) => ({ flow, pressure: 10 + flow }));
    const shut = [{ kind: "singleBladeDamper", angle: "90 deg" }];
    const beside: [what: string, changed: object, code: string][] = [
      ["a rising curve", house(lost, { curve: { pressureKind: "total", points: rising } }), "curve.rising-end"],
      [
        "a damper without leakage",
        { ...document, ducts: [{ ...first, fittings: shut }, ...others] },
        "fitting.geometry",
      ],
      ["a length in litres", { ...document, ducts: [{ ...first, length: "3 l/s" }, ...others] }, "quantity.dimension"],
      ["a node left alone", { ...document, nodes: [...document.nodes, { id: "x", kind: "room" }] }, "node.untouched"],
      ["a title that is none", { ...document, title: 5 }, "value.wrong"],
    ];
    test.each(beside)("%s", (_, changed, code) => {
      const found = checkNetwork(changed).problems.map((one) => [one.code, one.path]);
      expect(found).toContainEqual(told);
      expect(found.map(([first]) => first)).toContain(code);
    });

    test("a room that a terminal does not find, and a fan that a balance does not", () => {
      const balanced = house({ control: { kind: "balance", to: "nobody" } });
      const nodes = balanced.nodes.map((node) => (node.id === "s1" ? { ...node, room: "nowhere" } : node));
      const { problems } = checkNetwork({ ...balanced, nodes });
      expect(problems.map(({ code }) => code)).toEqual(["reference.room", "reference.fan"]);
    });

    test("but not where the element that is meant may be the faulty one", () => {
      const outcome = (changed: object): string[] => checkNetwork(changed).problems.map(({ code }) => code);
      const held = house(pressure({ duct: "supply", at: "inlet" }));
      const ducts = held.ducts?.map((duct) => (duct.id === "supply" ? { ...duct, length: "x" } : duct));
      expect(outcome({ ...held, ducts })).toEqual(["quantity.syntax"]);
      expect(outcome({ ...held, ducts: 5 })).not.toContain("reference.duct");
      const balanced = house({ control: { kind: "balance", to: "f" } });
      const faulty = { id: "f", kind: "fan", speed: -1 };
      expect(outcome({ ...balanced, nodes: [...balanced.nodes, faulty] })).toEqual(["value.range"]);
      const boxed = house(pressure({ node: "s" }));
      const nodes = boxed.nodes.map((node) => (node.id === "s" ? { ...node, area: "x" } : node));
      expect(outcome({ ...boxed, nodes })).toEqual(["quantity.syntax"]);
    });

    test("a ring at each fan in it, and not at one that only leads there", () => {
      const fans = ["b", "c", "d", "e"].map((id, i) => ({
        id,
        kind: "fan",
        curve: { pressureKind: "total", points },
        control: { kind: "balance", to: ["c", "d", "e", "c"][i] },
      }));
      const nodes = [{ id: "a", kind: "outdoors", coefficient: 1 }, ...fans];
      const rings = checkNetwork({ format: "ductgraph/1", nodes }).problems.filter(
        ({ code }) => code === "control.ring",
      );
      expect(rings.map(({ id }) => id)).toEqual(["c", "d", "e"]);
    });

    test("nor is a ring claimed of fans that have one name", () => {
      const balanced = house({ control: { kind: "balance", to: "unit.supply" } });
      const nodes = [...balanced.nodes, balanced.nodes[2]];
      const codes = checkNetwork({ ...balanced, nodes }).problems.map(({ code }) => code);
      expect(codes).toContain("id.duplicate");
      expect(codes).not.toContain("control.ring");
    });
  });

  test("a sensor at a node with ports has no one pressure", () => {
    expect(faultsOf(pressure({ node: "unit" }))).toEqual([["sensor.ports", "nodes.2.supply.fan.control.sensor.node"]]);
  });

  test("a sensor that is missing or is no object is told what it is, in its two forms", () => {
    for (const [sensor, code] of [
      [undefined, "key.missing"],
      [5, "value.wrong"],
    ] as const) {
      const { problems } = checkNetwork(house(pressure(sensor as never)));
      expect(problems).toMatchObject([
        { code, path: "nodes.2.supply.fan.control.sensor", expected: "an object with duct and at, or node" },
      ]);
    }
  });

  test("a sensor with keys of neither form is told both", () => {
    const { problems } = checkNetwork(house(pressure({} as never)));
    expect(problems).toMatchObject([
      { code: "key.missing", path: "nodes.2.supply.fan.control.sensor.duct", expected: "duct and at, or node" },
    ]);
  });

  test("a difference of one place from itself is none, and the fault stands at `against`", () => {
    for (const sensor of [{ duct: "supply", at: "inlet" }, { node: "in" }]) {
      expect(faultsOf(pressure(sensor, { against: { ...sensor } }))).toEqual([
        ["key.conflict", "nodes.2.supply.fan.control.against"],
      ]);
    }
    expect(faultsOf(pressure({ duct: "supply", at: "inlet" }, { against: { duct: "supply", at: "outlet" } }))).toEqual(
      [],
    );
  });

  test("a balance is a share, as a number or in per cent; 95 for 95 % is a fault, not a fan that seeks it", () => {
    const ratio = (value: unknown) => house({ control: { kind: "balance", to: "unit.extract", ratio: value } });
    const [number, text] = [ratio(0.95), ratio("95 %")].map((document) => parseNetwork(document));
    expect(text).toEqual(number);
    expect(checkNetwork(ratio(95)).problems).toMatchObject([
      { code: "value.range", expected: "a fraction such as '50 %', above 0 and at most 10", found: "95" },
    ]);
  });

  test("a sensor in a part that the fan does not reach is told", () => {
    expect(faultsOf(pressure({ duct: "extract", at: "inlet" }))).toEqual([
      ["sensor.isolated", "nodes.2.supply.fan.control.sensor"],
    ]);
    expect(faultsOf(pressure({ node: "in" }))).toEqual([["sensor.isolated", "nodes.2.supply.fan.control.sensor"]]);
  });

  test("two controllers cannot hold one thing, and two balances cannot follow each other", () => {
    const both = { control: { kind: "balance", to: "unit.extract" } };
    expect(faultsOf(both, { control: { kind: "balance", to: "unit.supply" } }).map(([code]) => code)).toContain(
      "control.ring",
    );
    const booster = house({ control: { kind: "flow", flow: 0.1 } });
    const nodes = [
      ...booster.nodes,
      { id: "b", kind: "fan", curve: { pressureKind: "total", points }, control: { kind: "flow", flow: 0.1 } },
    ];
    const ducts = (booster.ducts ?? []).flatMap((duct) =>
      duct.id === "supply"
        ? [
            { ...duct, to: "b.inlet" },
            { ...duct, id: "beyond", from: "b.outlet" },
          ]
        : [duct],
    );
    const { problems } = checkNetwork({ ...booster, nodes, ducts });
    expect(problems[0]).toMatchObject({ code: "control.doubled", found: expect.stringContaining("'b'") });
  });

  test("a fan that stands still holds nothing, and limits lie in order", () => {
    const stopped = { pressure: 5, flow: 0.1 };
    const control = { kind: "flow", flow: 0.1 };
    expect(faultsOf({ speed: 0, stopped, control }).map(([code]) => code)).toContain("fan.control-stopped");
    expect(faultsOf({ curve: undefined, speed: 0, stopped, control })).toEqual([
      ["fan.control-stopped", "nodes.2.supply.fan.speed"],
    ]);
    expect(faultsOf({ control: { ...control, minSpeed: 0.8, maxSpeed: 0.6 } })).toEqual([
      ["value.range", "nodes.2.supply.fan.control.minSpeed"],
    ]);
    expect(faultsOf({ control: { ...control, minSpeed: 0.005 } })).toEqual([
      ["fan.speed-far", "nodes.2.supply.fan.control.minSpeed"],
    ]);
  });

  test("a fan that stands still without a curve has no settings, and its chain is read as any other", () => {
    const still = { curve: undefined, speed: 0, stopped: { pressure: 5, flow: 0.1 } };
    const motor = (loads: readonly number[]): object => ({
      motor: { ratedOutput: 60, points: loads.map((load) => ({ load, efficiency: 0.8 })) },
    });
    expect(faultsOf({ ...still, chain: motor([0.5, 1]) })).toEqual([]);
    expect(faultsOf({ ...still, setting: "day", chain: motor([1, 0.5]) })).toEqual([
      ["out-of-range", "nodes.2.supply.fan.chain.motor.points.1.load"],
      ["reference.setting", "nodes.2.supply.fan.setting"],
    ]);
    expect(faultsOf({ curve: undefined, setting: "day", chain: motor([1, 0.5]) })).toEqual([
      ["out-of-range", "nodes.2.supply.fan.chain.motor.points.1.load"],
      ["key.missing", "nodes.2.supply.fan.curve"],
    ]);
  });
});

/** Each held pressure with the flow at which v²·½ρ(1 + ζ) is what static pressure falls by, from still air into a duct of 200 mm. */
describe.each([
  ["outdoors", { kind: "outdoors", entry: 0.7, exit: 1 }],
  ["a room", { kind: "room", entry: 0.7 }],
  ["a plenum", { kind: "plenum", entry: 0.7 }],
])("a sensor at the inlet of a duct that leaves %s", (_, place) => {
  test.each([
    ["static", 0.7 + 1],
    ["total", 0.7],
  ])("reads %s pressure after the entry loss: %s velocity pressures below that of the place", (pressureKind, lost) => {
    const density = 1.2;
    const velocity = 4;
    const area = (Math.PI / 4) * 0.2 ** 2;
    const pressure = -lost * (density / 2) * velocity ** 2;
    const duct = (id: string, from: string, to: string) => ({
      id,
      from,
      to,
      length: 3,
      section: { diameter: 0.2 },
      frictionFactor: 0.02,
    });
    const given = place.kind === "outdoors";
    const sensor = { duct: "a", at: "inlet" };
    const against = given ? {} : { against: { node: "p" } };
    const network = parseNetwork({
      format: "ductgraph/1",
      air: { density },
      nodes: [
        { id: "p", ...place },
        {
          id: "f",
          kind: "fan",
          curve: { pressureKind: "total", points },
          control: { kind: "pressure", pressure, pressureKind, sensor, ...against },
        },
        { id: "out", kind: "outdoors", coefficient: 1 },
        ...(given ? [] : [{ id: "in", kind: "outdoors", coefficient: 1 }]),
      ],
      ducts: [duct("a", "p", "f.inlet"), duct("b", "f.outlet", "out"), ...(given ? [] : [duct("c", "in", "p")])],
    } as unknown as NetworkDocument);
    const solution = solveNetwork(network);
    expect(solution.fans.f.control?.limit).toBeUndefined();
    expect(solution.fans.f.flow).toBeCloseTo(velocity * area, 8);
  });
});
