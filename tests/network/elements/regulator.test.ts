import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { checkNetwork, compileNetwork, indexRun, parseNetwork, type Solution, sources } from "../../../src/index.js";
import { bare, solved, codesOf as warningsOf } from "../../helpers/documents.js";

const codesOf = (document: object): string[] =>
  checkNetwork({ format: "ductgraph/1", ...document }).problems.map(({ code }) => code);

/** A duct with a regulator of 25 l/s between 50 and 250 Pa, driven by a pressure outdoors. */
const driven = (pressure: number, more: object = {}, duct: object = {}) =>
  solved({
    nodes: [
      { id: "o", kind: "outdoors", entry: 0, exit: 1, pressure },
      { id: "p", kind: "outdoors", entry: 0, exit: 1 },
    ],
    ducts: [
      bare("d", "o", "p", {
        section: { diameter: 0.125 },
        fittings: [{ kind: "regulator", flow: "25 l/s", minPressure: 50, maxPressure: 250, ...more }],
        ...duct,
      }),
    ],
  });

test("a regulator holds its flow within its accuracy while it takes a pressure inside its band", () => {
  for (const pressure of [60, 100, 150, 200, 250]) {
    const { ducts, warnings } = driven(pressure);
    expect(Math.abs(ducts.d.flow / 0.025 - 1)).toBeLessThan(0.05);
    expect(ducts.d.fittings?.[0].withinRange).toBe(true);
    expect(warnings).toEqual([]);
  }
});

test("below its band it stands open: the flow follows the root of the pressure, and a warning says what it takes", () => {
  const [weak, strong] = [driven(10), driven(40)];
  expect(strong.ducts.d.flow / weak.ducts.d.flow).toBeCloseTo(2, 6);
  expect(weak.warnings.map(({ code }) => code)).toEqual(["regulator.out-of-band"]);
  expect(weak.warnings[0].message).toContain("outside its band of 50 to 250 Pa");
});

test("above its band it stands as far shut as it goes", () => {
  const flow = driven(1000).ducts.d.flow;
  expect(flow).toBeGreaterThan(0.025 * 1.05);
  expect(flow).toBeLessThan(0.025 * 1.05 * 2);
});

test("two in a row share the pressure, and each of two runs holds its own flow", () => {
  const two = driven(200, { count: 2 });
  expect(two.ducts.d.fittings?.[0].loss).toBeLessThan(200);
  expect(two.ducts.d.fittings?.[0].withinRange).toBe(true);
  const runs = driven(150, {}, { parallel: 2 });
  expect(runs.ducts.d.flow).toBeCloseTo(2 * driven(150).ducts.d.flow, 9);
});

test("a band that is none is a fault", () => {
  const nodes = [
    { id: "o", kind: "outdoors", coefficient: 1 },
    { id: "p", kind: "outdoors", coefficient: 1 },
  ];
  const fittings = [{ kind: "regulator", flow: 0.02, minPressure: 50, maxPressure: 50 }];
  expect(codesOf({ nodes, ducts: [bare("d", "o", "p", { fittings })] })).toEqual(["value.range"]);
});

describe("at a terminal", () => {
  const regulator = { flow: "25 l/s", minPressure: 50, maxPressure: 250 };
  const loss = { pressure: 40, flow: 0.025 };
  type Service = "supply" | "extract";
  const terminal = (service: Service, more: object) => ({ id: "t", kind: "terminal" as const, service, loss, ...more });
  /** A terminal at the end of a duct that a pressure outdoors drives in the direction of its service. */
  const network = (service: Service, pressure: number, more: object, fittings: object[] = []) => ({
    nodes: [
      { id: "o", kind: "outdoors" as const, entry: 0, exit: 1, pressure: service === "supply" ? pressure : -pressure },
      terminal(service, more),
    ],
    ducts: [
      service === "supply"
        ? bare("d", "o", "t", { section: { diameter: 0.125 }, fittings })
        : bare("d", "t", "o", { section: { diameter: 0.125 }, fittings }),
    ],
  });
  const bandWarnings = ({ warnings }: Solution) => warnings.filter(({ code }) => code === "regulator.out-of-band");
  const services = fc.constantFrom<Service>("supply", "extract");

  test("it stands in series with the terminal's loss: the flow is that with the regulator in the duct", () => {
    fc.assert(
      fc.property(services, fc.integer({ min: 1, max: 1500 }), (service, pressure) => {
        const at = solved(network(service, pressure, { regulator }));
        const before = solved(network(service, pressure, {}, [{ kind: "regulator", ...regulator }]));
        expect(at.terminals.t.flow).toBeCloseTo(before.terminals.t.flow, 10);
        const [own, taken] = [before.terminals.t.pressureLoss, before.ducts.d.fittings?.[0]];
        expect(at.terminals.t.pressureLoss).toBeCloseTo(own + (taken?.loss ?? 0), 4);
        expect(at.terminals.t.regulator?.loss).toBeCloseTo(taken?.loss ?? 0, 4);
        expect(at.terminals.t.regulator?.withinRange).toBe(taken?.withinRange);
        expect(warningsOf(at).sort()).toEqual(warningsOf(before).sort());
      }),
      { numRuns: 40 },
    );
  });

  test("it holds its flow inside its band, and a warning says where it leaves that", () => {
    for (const service of ["supply", "extract"] as const) {
      for (const pressure of [100, 180, 280]) {
        const held = solved(network(service, pressure, { regulator }));
        expect(Math.abs(held.terminals.t.flow / 0.025 - 1)).toBeLessThan(0.05);
        expect(bandWarnings(held)).toEqual([]);
      }
      const warnings = bandWarnings(solved(network(service, 20, { regulator })));
      expect(warnings.map(({ code, path }) => [code, path])).toEqual([["regulator.out-of-band", "nodes.t.regulator"]]);
      expect(warnings[0].message).toContain("at terminal 't' does not hold its flow");
    }
  });

  test("set below the design flow, at the terminal or in its only duct, it is told of with both flows", () => {
    const found = (service: Service, flow: number, duct: object = {}) => {
      const own = network(service, 150, { designFlow: 0.02, regulator: { ...regulator, flow } });
      const before = network(service, 150, { designFlow: 0.02 }, [{ kind: "regulator", ...regulator, flow }]);
      return [own, { ...before, ducts: before.ducts.map((one) => ({ ...one, ...duct })) }].map((document) =>
        solved(document).warnings.filter(({ code }) => code === "terminal.regulator-below-design"),
      );
    };
    for (const service of ["supply", "extract"] as const) {
      const [[own], [before]] = found(service, 0.012);
      expect(own.path).toBe("nodes.t.regulator");
      expect(own.message).toBe(
        "the regulator at terminal 't' is set to 12 l/s and passes at most 12.6 l/s within its pressure band, less than the design flow of 20 l/s",
      );
      expect(before.path).toBe("ducts.d.fittings.0");
      expect(before.message).toContain("in duct 'd' of terminal 't' is set to 12 l/s");
      for (const flow of [0.0191, 0.02 / 1.05, 0.02, 0.03]) expect(found(service, flow)).toEqual([[], []]);
      expect(found(service, 0.012, { parallel: 2 })[1]).toEqual([]);
    }
  });

  test("air against its service finds it fully open", () => {
    const { terminals } = solved(network("supply", -200, { regulator }));
    // Both go by the square: (40/0.025² + 50/(0.95·0.025)²)·q², and the velocity pressure of the duct lost at its end.
    const square = 40 / 0.025 ** 2 + 50 / (0.95 * 0.025) ** 2 + 0.6 / ((Math.PI / 4) * 0.125 ** 2) ** 2;
    expect(terminals.t.flow).toBeCloseTo(-Math.sqrt(200 / square), 6);
  });

  test("its numbers are parameters and its loss is an output; a band turned round is refused", () => {
    const compiled = compileNetwork({ format: "ductgraph/1", ...network("supply", 150, { regulator }) });
    const flow = compiled.parameter("nodes.t.regulator.flow");
    const taken = compiled.output("terminals.t.regulator.loss");
    const through = compiled.output("terminals.t.flow");
    for (const set of [0.015, 0.02, 0.025]) {
      flow.value = set;
      compiled.update();
      expect(Math.abs((through.value ?? 0) / set - 1)).toBeLessThan(0.05);
      expect(taken.value).toBeGreaterThan(50);
    }
    const most = compiled.parameter("nodes.t.regulator.maxPressure");
    expect(() => {
      most.value = 40;
    }).toThrow("above 50");
    expect(most.value).toBe(250);
  });

  test("what is parsed is parsed to the same, and the document is its source", () => {
    const parsed = parseNetwork({ format: "ductgraph/1", ...network("supply", 150, { regulator }) });
    expect(parseNetwork(structuredClone(parsed))).toEqual(parsed);
    expect(parsed.nodes[1]).toMatchObject({ regulator: { flow: 0.025, accuracy: 0.05 } });
    const solution = solved(network("supply", 150, { regulator }));
    expect(JSON.stringify(sources(parsed, solution))).toContain("nodes.t.regulator");
  });

  test("the index run counts it with what it needs: 20 + 40 + 50 Pa with its set flow for design flow", () => {
    const points = [
      { flow: 0, pressure: 200 },
      { flow: 0.1, pressure: 100 },
    ];
    const run = (designFlow: number) =>
      indexRun(
        {
          format: "ductgraph/1",
          nodes: [
            { id: "in", kind: "outdoors", entry: 0, exit: 1 },
            { id: "f", kind: "fan", curve: { pressureKind: "total", points } },
            terminal("supply", { regulator, designFlow }),
          ],
          ducts: [
            bare("a", "in", "f.inlet"),
            bare("b", "f.outlet", "t", { fittings: [{ kind: "rating", pressure: 20, flow: 0.025 }] }),
          ],
        },
        "f",
      );
    expect(run(0.025).requiredPressure).toBeCloseTo(110, 6);
    // Less than it holds: fully open.
    expect(run(0.0125).requiredPressure).toBeCloseTo(60 / 4 + 50 * (0.5 / 0.95) ** 2, 6);
    // More than it lets through: 60·4 + 250·(2/1.05)².
    expect(run(0.05).requiredPressure).toBeCloseTo(240 + 250 * (2 / 1.05) ** 2, 6);
    expect(run(0.025).path.at(-1)?.totalPressure).toBeCloseTo(0, 6);
  });

  test("elsewhere it is a fault that says where it goes; a band that is none is one too", () => {
    const { problems } = checkNetwork({
      format: "ductgraph/1",
      nodes: [
        { id: "o", kind: "outdoors", coefficient: 1 },
        { id: "p", kind: "plenum", regulator },
        { id: "q", kind: "regulator" },
        terminal("supply", { regulator: { ...regulator, maxPressure: 50 } }),
      ],
      ducts: [{ ...bare("d", "o", "p"), regulator }, bare("e", "p", "t")],
    });
    expect(problems.map(({ code, path }) => [code, path])).toEqual([
      ["key.unknown", "nodes.1.regulator"],
      ["kind.unknown", "nodes.2.kind"],
      ["key.unknown", "ducts.0.regulator"],
      ["value.range", "nodes.3.regulator.maxPressure"],
    ]);
    for (const { message } of problems.slice(0, 3)) expect(message).toContain("a terminal takes a `regulator`");
  });
});
