import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { saturationPressure } from "../../../src/air/state.js";
import {
  checkNetwork,
  compileNetwork,
  describe as describeParameter,
  indexRun,
  type NetworkDocument,
  parseNetwork,
  type Solution,
  SolveError,
  solveNetwork,
  sources,
  systemCurve,
  withChanges,
} from "../../../src/index.js";
import { bare, codesOf, solved } from "../../helpers/documents.js";
import type { AirProperties } from "../../helpers/evaluator/air.js";
import type { PlainNetwork } from "../../helpers/evaluator/document.js";
import { Reading } from "../../helpers/evaluator/reading.js";
import { expectSolved } from "../../helpers/evaluator.js";
import { recoveringNetworks } from "../../helpers/recovering-networks.js";

type Document = Omit<NetworkDocument, "format">;
type Part = Record<string, unknown>;

const gravity = 9.80665;
/** Dry air by hand [kg/m³]: p/(R·T) with R 287.042 J/(kg·K). */
const dry = (temperature: number): number => 101_325 / (287.042 * (temperature + 273.15));

const curve = { pressureKind: "total", coefficients: [200, -500], from: 0, to: 0.3 };
const stream = { fan: { curve }, fanAt: "inlet" };
const out = (id: string, elevation = 0) => ({ id, kind: "outdoors", entry: 0.5, exit: 1, elevation });
const valve = (id: string, service: string, room: string, more: Part = {}) => ({
  ...{ id, kind: "terminal", service, room, loss: { pressure: 30, flow: 0.02 } },
  ...more,
});
const lossy = (id: string, from: string, to: string, more: Part = {}) =>
  bare(id, from, to, { fittings: [{ kind: "fixed", coefficient: 5 }], ...more });

/** A house of a warm bathroom and a cooler kitchen above each other, with a unit under the roof; all air is dry. */
const house = (
  unit: Part = {},
  ducts: Readonly<Record<string, Part>> = {},
  nodes: Readonly<Record<string, Part>> = {},
) =>
  ({
    air: { temperature: 20 },
    outdoorAir: { temperature: -10 },
    nodes: [
      out("in", 10),
      out("roof", 12),
      { id: "bath", kind: "room", pressure: 0, elevation: 5, air: { temperature: 24 } },
      { id: "kitchen", kind: "room", pressure: 0, air: { temperature: 18 } },
      { id: "hall", kind: "room", pressure: 0 },
      valve("bath-valve", "extract", "bath", { elevation: 5 }),
      valve("kitchen-valve", "extract", "kitchen"),
      valve("hall-valve", "supply", "hall"),
      valve("bed-valve", "supply", "hall"),
      { id: "box", kind: "plenum", elevation: 8 },
      { id: "wye", kind: "tee", elevation: 10 },
      { id: "unit", kind: "airHandler", elevation: 10, supply: stream, extract: stream, ...unit },
    ].map((node) => ({ ...node, ...nodes[node.id] })),
    ducts: [
      lossy("intake", "in", "unit.intake"),
      lossy("supply", "wye.a", "unit.supply"),
      lossy("to-hall", "wye.b", "hall-valve"),
      lossy("to-bed", "wye.branch", "bed-valve"),
      lossy("from-bath", "box", "bath-valve"),
      lossy("from-kitchen", "kitchen-valve", "box"),
      lossy("extract", "box", "unit.extract"),
      lossy("exhaust", "unit.exhaust", "roof"),
    ].map((duct) => ({ ...duct, ...ducts[duct.id] })),
  }) as unknown as Document;
const exchanger = { efficiency: 0.8 };
const recovering = (unit: Part = {}, ducts = {}, nodes = {}): Document => house({ exchanger, ...unit }, ducts, nodes);

const temperaturesIn = ({ ducts }: Solution): Record<string, number | undefined> =>
  Object.fromEntries(Object.entries(ducts).map(([id, { air }]) => [id, air?.temperature]));
const solve = (document: Document, options = {}): Solution =>
  solveNetwork({ format: "ductgraph/1", ...document } as NetworkDocument, options);
const parsed = (document: Document) => parseNetwork({ format: "ductgraph/1", ...document });
const problemsOf = (document: Document) => checkNetwork({ format: "ductgraph/1", ...document }).problems;

describe("along a stream ducts carry the air of where it comes from", () => {
  // 1.204 kg/m³ of a bathroom that has no design flow counts as much as that of a kitchen: both valves bring one half.
  const mixed = (24 + 18) / 2;
  const supply = -10 + 0.8 * (mixed + 10);
  const exhaust = mixed - 0.8 * (mixed + 10);

  test("outdoors, rooms, their mixture, and what the exchanger makes of both: t_s = t_o + ε(t_e − t_o)", () => {
    const found = temperaturesIn(solved(recovering()));
    const expected = {
      ...{ intake: -10, supply, "to-hall": supply, "to-bed": supply },
      ...{ "from-bath": 24, "from-kitchen": 18, extract: mixed, exhaust },
    };
    expect(Object.keys(found)).toEqual(Object.keys(expected));
    for (const [id, temperature] of Object.entries(expected)) expect(found[id]).toBeCloseTo(temperature, 12);
  });

  test("the riser of a warm kitchen is pushed up by (ρ_outdoor − ρ)·g·z, the exhaust by less", () => {
    const { ducts } = solved(recovering());
    // Dry air of 18 and −10 °C over 8 m: (1.21240 − 1.34141)·9.80665·8 Pa, by hand −10.12 Pa.
    expect(ducts["from-kitchen"].buoyancy).toBeCloseTo(-10.12, 2);
    expect(ducts["from-kitchen"].buoyancy).toBeCloseTo((dry(18) - dry(-10)) * gravity * 8, 9);
    expect(ducts.exhaust.buoyancy).toBeCloseTo((dry(exhaust) - dry(-10)) * gravity * 2, 9);
    expect(ducts.intake.buoyancy).toBeCloseTo(0, 12);
    expect(ducts["from-bath"].air?.density).toBeCloseTo(dry(24), 12);
  });

  test("design flows weigh the mixture: 10 l/s of 24 °C and 30 l/s of 18 °C, by mass", () => {
    const nodes = { "bath-valve": { designFlow: "10 l/s" }, "kitchen-valve": { designFlow: "30 l/s" } };
    const { extract } = temperaturesIn(solved(recovering({}, {}, nodes)));
    const [warm, cool] = [0.01 * dry(24), 0.03 * dry(18)];
    expect(extract).toBeCloseTo((warm * 24 + cool * 18) / (warm + cool), 12);
    // One without a design flow, and all count alike.
    const half = temperaturesIn(solve(recovering({}, {}, { "bath-valve": { designFlow: "10 l/s" } })));
    expect(half.extract).toBeCloseTo(mixed, 12);
  });

  test("water goes with the air, and runs off where the exhaust is colder than its dew point", () => {
    const damp = {
      ...recovering({}, {}, { bath: { air: { temperature: 24, relativeHumidity: 0.9 } } }),
      outdoorAir: { temperature: -10, relativeHumidity: 0.8 },
    };
    const network = parsed(damp as Document);
    const reading = new Reading(network as PlainNetwork, solved(damp as Document));
    const water = (id: string): number => reading.inherited.get(id)?.humidityRatio ?? Number.NaN;
    expect(water("supply")).toBeCloseTo(water("intake"), 12);
    expect(water("exhaust")).toBeLessThan(0.5 * water("extract"));
  });

  test("air that a duct names goes on after it, and is not overridden", () => {
    const named = solved(
      recovering({}, { "from-bath": { air: { temperature: 22 } }, supply: { air: { temperature: 21 } } }),
    );
    const found = temperaturesIn(named);
    expect(found["from-bath"]).toBeUndefined();
    expect(found.extract).toBeCloseTo(20, 12);
    expect(found.supply).toBeUndefined();
    expect([found["to-hall"], found["to-bed"]]).toEqual([21, 21]);
  });

  test("a preheater warms the intake air inside the unit, as long as it has the power", () => {
    const found = temperaturesIn(solve(recovering({ frost: { below: -3, preheater: "5 kW" } })));
    expect(found.intake).toBe(-10);
    expect(found.supply).toBeCloseTo(-3 + 0.8 * (mixed + 3), 12);
    expect(found.exhaust).toBeCloseTo(mixed - 0.8 * (mixed + 3), 12);
    expect(temperaturesIn(solve(recovering({ frost: { below: -12, preheater: "5 kW" } }))).supply).toBeCloseTo(
      supply,
      12,
    );
  });

  test("a preheater without the power warms the design flow as far as it can: t_i = t_o + P/(ṁ·c_p)", () => {
    const frost = { below: -3, preheater: 100 };
    const nodes = { "bath-valve": { designFlow: "10 l/s" }, "kitchen-valve": { designFlow: "30 l/s" } };
    const massFlow = 0.01 * dry(24) + 0.03 * dry(18);
    const t = (0.01 * dry(24) * 24 + 0.03 * dry(18) * 18) / massFlow;
    const intake = -10 + 100 / (massFlow * 1006);
    const found = temperaturesIn(solved(recovering({ frost }, {}, nodes)));
    expect(found.supply).toBeCloseTo(intake + 0.8 * (t - intake), 10);
    expect(found.exhaust).toBeCloseTo(t - 0.8 * (t - intake), 10);
    // Where nobody says how much air it is to warm, it is taken to suffice.
    expect(temperaturesIn(solve(recovering({ frost }))).supply).toBeCloseTo(-3 + 0.8 * (mixed + 3), 12);
  });

  test("a preheater without the power leaves ducts and unit one temperature where flows are those of the design", () => {
    const holding = (control: object) => ({ ...stream, fan: { curve, control: { maxSpeed: 2, ...control } } });
    const unit = {
      frost: { below: -3, preheater: 100 },
      supply: holding({ kind: "balance", to: "unit.extract" }),
      extract: holding({ kind: "flow", flow: 0.04 }),
    };
    const designed = (flow: number) => ({ "bath-valve": { designFlow: flow }, "kitchen-valve": { designFlow: flow } });
    const { airHandlers, ducts, warnings } = solve(recovering(unit, {}, designed(0.02)));
    const { supplyTemperature = 0, exhaustTemperature = 0, supply } = airHandlers.unit;
    // 20 l/s of 24 and of 18 °C differ from 40 l/s of their mixture by less than a thousandth of mass.
    expect(ducts.supply.air?.temperature).toBeCloseTo(supplyTemperature, 2);
    expect(ducts.exhaust.air?.temperature).toBeCloseTo(exhaustTemperature, 2);
    const reached = -10 + 100 / ((supply?.massFlow ?? 0) * 1006);
    const { message } = warnings.find(({ code }) => code === "unit.preheater-short") ?? { message: "" };
    expect(message).toContain(`warm it to ${reached.toFixed(1)} °C`);
  });

  test("in bypass, and off, both airs pass the unit as they are", () => {
    const still = { ...stream, fan: { curve, stopped: { pressure: 40, flow: 0.1 } } };
    for (const state of [{ state: "bypass" }, { state: "off", supply: still, extract: still }]) {
      const found = temperaturesIn(solve(recovering(state)));
      expect([found.supply, found["to-hall"]]).toEqual([-10, -10]);
      expect(found.exhaust).toBe(found.extract);
    }
  });

  test("after a unit whose air is given by density ducts keep the network's, before it that of their source", () => {
    const dense = { ...recovering(), outdoorAir: { density: 1.35 } } as Document;
    const { ducts } = solved(dense);
    expect(ducts.intake.air).toEqual({ density: 1.35 });
    expect(ducts.supply.air?.density).toBeCloseTo(dry(20), 12);
    expect(ducts.exhaust.air?.density).toBeCloseTo(dry(20), 12);
    expect(ducts.extract.air?.temperature).toBeCloseTo(mixed, 12);
  });

  test("fans in the line, transitions and dead ends carry on what comes to them", () => {
    const base = recovering();
    const nodes = [
      ...base.nodes,
      { id: "booster", kind: "fan", curve },
      { id: "cone", kind: "transition" },
      { id: "cap", kind: "junction" },
    ];
    const ducts = [
      ...(base.ducts ?? []).filter(({ id }) => id !== "from-kitchen"),
      lossy("k1", "kitchen-valve", "booster.inlet"),
      lossy("k2", "cone.b", "booster.outlet"),
      lossy("k3", "cone.a", "box"),
      lossy("stub", "cap", "box"),
    ];
    const found = temperaturesIn(solved({ ...base, nodes, ducts } as Document));
    expect([found.k1, found.k2, found.k3]).toEqual([18, 18, 18]);
    expect(found.stub).toBeCloseTo(mixed, 12);
    expect(found.stub).toBe(found.extract);
  });
});

describe("a document without an exchanger", () => {
  test("gives every duct the network's air, as before", () => {
    const { ducts, warnings } = solved(house());
    for (const { air, flow, massFlow } of Object.values(ducts)) {
      expect(air).toBeUndefined();
      expect(massFlow / flow).toBeCloseTo(dry(20), 12);
    }
    expect(warnings.map(({ code }) => code)).not.toContain("air.mixed");
  });
});

describe("the temperatures of a unit and of its ducts", () => {
  test("agree for equal mass flows", () => {
    const balanced = { ...stream, fan: { curve, control: { kind: "balance", to: "unit.extract" } } };
    const document = recovering({ supply: balanced });
    const { airHandlers, ducts } = solve(document, { tolerance: 1e-3 });
    const { massImbalance, supplyTemperature, exhaustTemperature } = airHandlers.unit;
    expect(Math.abs(massImbalance ?? 1)).toBeLessThan(1e-9);
    expect(supplyTemperature).toBeCloseTo(ducts.supply.air?.temperature ?? 0, 7);
    expect(exhaustTemperature).toBeCloseTo(ducts.exhaust.air?.temperature ?? 0, 7);
    expect(
      solve(recovering({ supply: balanced, frost: { below: -3, preheater: 5000 } })).airHandlers.unit.supplyTemperature,
    ).toBeCloseTo(-3 + 0.8 * 24, 6);
  });

  test("part where they are not equal: the ducts keep the design", () => {
    const slow = { ...stream, fan: { curve, speed: 0.6 } };
    const { airHandlers, ducts } = solve(recovering({ extract: slow }));
    expect(airHandlers.unit.supplyTemperature).toBeLessThan((ducts.supply.air?.temperature ?? 0) - 1);
  });
});

/** A document in which every duct names the air that the second evaluator says it inherits. */
const named = (document: NetworkDocument): NetworkDocument => {
  const network = parseNetwork(document);
  const { inherited } = new Reading(network as PlainNetwork, {} as Solution);
  const airOf = ({ density, viscosity, temperature, pressure = 0, humidityRatio = 0 }: AirProperties) => {
    if (temperature === undefined) return { density, viscosity };
    const vapour = (pressure * humidityRatio) / (0.621945 + humidityRatio);
    return { temperature, pressure, relativeHumidity: Math.min(1, vapour / saturationPressure(temperature)) };
  };
  const ducts = network.ducts.map((duct) => {
    const air = inherited.get(duct.id);
    return air === undefined ? duct : { ...duct, air: airOf(air) };
  });
  return { ...network, ducts } as NetworkDocument;
};

describe("any network with an exchanger", () => {
  test("obeys the laws with the airs that the second evaluator finds, and equals one whose ducts name them", () => {
    let compared = 0;
    fc.assert(
      fc.property(recoveringNetworks(), (document) => {
        const network = parseNetwork(document);
        try {
          const solution = solveNetwork(network, { tolerance: 1e-3 });
          expectSolved(network, solution, 1e-3);
          const other = solveNetwork(named(document), { tolerance: 1e-3 });
          const largest = Math.max(...Object.values(solution.ducts).map(({ massFlow }) => Math.abs(massFlow)));
          for (const id in solution.ducts) {
            const [one, two] = [solution.ducts[id], other.ducts[id]];
            expect(Math.abs(one.massFlow - two.massFlow), id).toBeLessThan(2e-7 * largest);
            expect(one.buoyancy, id).toBeCloseTo(two.buoyancy, 9);
          }
          compared++;
        } catch (error) {
          if (!(error instanceof SolveError)) throw error;
        }
      }),
      { numRuns: 150 },
    );
    expect(compared).toBeGreaterThan(140);
  });

  test("equals one whose ducts name their airs bit for bit where the air is dry", () => {
    const temperature = fc.integer({ min: -20, max: 40 });
    fc.assert(
      fc.property(
        fc.tuple(temperature, temperature, temperature),
        fc.integer({ min: 0, max: 20 }),
        (airs, twentieths) => {
          const [bath, kitchen, outdoors] = airs;
          const nodes = { bath: { air: { temperature: bath } }, kitchen: { air: { temperature: kitchen } } };
          const document = {
            ...recovering({ exchanger: { efficiency: twentieths / 20 } }, {}, nodes),
            outdoorAir: { temperature: outdoors },
          } as Document;
          const solution = solve(document);
          const ducts = document.ducts?.map((duct) => ({
            ...duct,
            air: { temperature: solution.ducts[duct.id].air?.temperature },
          }));
          const explicit = solve({ ...document, ducts } as Document);
          for (const duct of Object.values(solution.ducts)) delete duct.air;
          expect(JSON.stringify(explicit)).toBe(JSON.stringify(solution));
        },
      ),
      { numRuns: 60 },
    );
  });

  test("has the index run and the system curve of one whose ducts name their airs", () => {
    const design = Object.fromEntries(
      ["bath-valve", "kitchen-valve", "hall-valve", "bed-valve"].map((id) => [id, { designFlow: 0.02 }]),
    );
    const document = { format: "ductgraph/1", ...recovering({}, {}, design) } as NetworkDocument;
    const explicit = named(document);
    for (const fan of ["unit.supply", "unit.extract"]) {
      const [one, other] = [document, explicit].map((each) => indexRun(each, fan).requiredPressure);
      expect(one).toBeCloseTo(other, 6);
      const range = { from: 0.01, to: 0.06, points: 4 };
      const [curves, others] = [document, explicit].map((each) => systemCurve(each, fan, range).points);
      curves.forEach(({ pressure }, i) => {
        expect(pressure).toBeCloseTo(others[i].pressure, 6);
      });
    }
  });
});

describe("which way air goes", () => {
  const temperatureAt = (nodes: Part[], ducts: Part[], id: string): number | undefined => {
    const base = recovering();
    const document = { ...base, nodes: [...base.nodes, ...nodes], ducts: [...(base.ducts ?? []), ...ducts] };
    return temperaturesIn(solved(document as Document))[id];
  };

  test("a duct into a room that the supply feeds blows, one from a room to the extract sucks", () => {
    const base = recovering();
    const ducts = (base.ducts ?? []).filter(({ id }) => id !== "to-bed" && id !== "from-bath");
    const more = [lossy("blows", "hall", "wye.branch"), lossy("sucks", "box", "bath")];
    const nodes = base.nodes.filter(({ id }) => id !== "bed-valve" && id !== "bath-valve");
    const found = temperaturesIn(solved({ ...base, nodes, ducts: [...ducts, ...more] } as Document));
    expect(found.sucks).toBe(24);
    expect(found.extract).toBeCloseTo(21, 12);
    expect(found.blows).toBe(found["to-hall"]);
  });

  test("an extract fan of its own takes its room's air outdoors", () => {
    const hood = { id: "hood", kind: "fan", curve };
    const ducts = [lossy("h1", "kitchen", "hood.inlet"), lossy("h2", "hood.outlet", "flue")];
    expect(temperatureAt([hood, out("flue")], ducts, "h2")).toBe(18);
  });

  test("a ring of extract ducts carries one mixture of all that comes to it", () => {
    const base = recovering();
    const nodes = [...base.nodes, { id: "box2", kind: "plenum", elevation: 8 }];
    const ducts = [
      ...(base.ducts ?? []).map((duct) => (duct.id === "from-kitchen" ? { ...duct, to: "box2" } : duct)),
      lossy("left", "box", "box2"),
      lossy("right", "box2", "box"),
    ];
    const found = temperaturesIn(solved({ ...base, nodes, ducts } as Document));
    expect(found.left).toBeCloseTo(21, 12);
    expect([found.right, found.extract]).toEqual([found.left, found.left]);
  });

  test("air that would come back to its own fan keeps the network's, unless a duct of the ring names one", () => {
    // A way round the unit, from its intake to its supply.
    const base = recovering();
    const round = (air?: Part) => {
      const nodes = [...base.nodes, { id: "before", kind: "plenum" }, { id: "after", kind: "plenum" }];
      const ducts = [
        ...(base.ducts ?? []).filter(({ id }) => id !== "intake" && id !== "supply"),
        lossy("outside", "in", "before"),
        lossy("intake", "before", "unit.intake"),
        lossy("round", "before", "after", { air, fittings: [{ kind: "fixed", coefficient: 500 }] }),
        lossy("blown", "after", "unit.supply"),
        lossy("supply", "wye.a", "after"),
      ];
      return temperaturesIn(solved({ ...base, nodes, ducts } as Document));
    };
    const open = round();
    expect(open.outside).toBe(-10);
    expect([open.intake, open.supply, open.blown]).toEqual([undefined, undefined, undefined]);
    const known = round({ temperature: -10 });
    expect([known.intake, known.outside]).toEqual([-10, -10]);
    expect(known.supply).toBeCloseTo(-10 + 0.8 * 31, 12);
  });

  test("a chain of 20,000 ducts is no deeper than its ends", () => {
    const count = 20_000;
    const base = recovering();
    const nodes = Array.from({ length: count }, (_, i) => ({ id: `j${i}`, kind: "junction", elevation: 10 }));
    const ducts = Array.from({ length: count }, (_, i) =>
      lossy(`d${i}`, i === 0 ? "in" : `j${i - 1}`, i === count - 1 ? "unit.intake" : `j${i}`, { fittings: [] }),
    );
    const rest = (base.ducts ?? []).filter(({ id }) => id !== "intake");
    const network = parsed({
      ...base,
      nodes: [...base.nodes, ...nodes.slice(0, -1)],
      ducts: [...rest, ...ducts],
    } as Document);
    expect(solveNetwork(network).ducts[`d${count - 1}`].air?.temperature).toBe(-10);
  });
});

describe("different airs that meet", () => {
  test("warn where they mix, once, with the worst place and how many more", () => {
    const { warnings } = solved(recovering());
    const mixed = warnings.filter(({ code }) => code === "air.mixed");
    expect(mixed).toHaveLength(1);
    expect(mixed[0].path).toBe("nodes.box");
    expect(mixed[0].message).toContain("24.0 °C (1.188 kg/m³) and air of 18.0 °C (1.212 kg/m³);");
    const base = recovering();
    const ducts = [...(base.ducts ?? []), lossy("second", "hall-valve", "attic", { air: { temperature: -5 } })];
    const other = solve({ ...base, nodes: [...base.nodes, out("attic")], ducts } as Document);
    const message = other.warnings.find(({ code }) => code === "air.mixed")?.message;
    expect(message).toMatch(/'hall-valve'.*\(and at 1 more\)/);
  });

  test("warn without an exchanger, too, and where densities part by more than rounding", () => {
    const joined = (density: number): Document => ({
      nodes: [out("a"), out("b"), { id: "j", kind: "junction" }] as unknown as Document["nodes"],
      ducts: [lossy("one", "a", "j"), lossy("two", "j", "b", { air: { density } })],
    });
    expect(codesOf(solved(joined(1.21)))).toContain("air.mixed");
    expect(codesOf(solved(joined(1.2 * (1 + 1e-7))))).not.toContain("air.mixed");
    expect(codesOf(solved(joined(1.2)))).not.toContain("air.mixed");
  });

  test("do not warn in rooms and outdoors, nor where rooms have one air", () => {
    const same = { bath: { air: undefined }, kitchen: { air: undefined } };
    expect(codesOf(solved(recovering({}, {}, same)))).not.toContain("air.mixed");
  });

  const gathering = (air: Part | undefined): Document => {
    const base = recovering();
    const nodes = base.nodes.map((node) => (node.id === "box" ? { id: "box", kind: "tee", elevation: 8 } : node));
    const ends: Record<string, object> = {
      "from-bath": { from: "box.branch", air },
      "from-kitchen": { to: "box.a", air },
      extract: { from: "box.b", air },
    };
    return { ...base, nodes, ducts: (base.ducts ?? []).map((duct) => ({ ...duct, ...ends[duct.id] })) } as Document;
  };

  test("are a fault at a tee, which says where they come from and what to do", () => {
    const problems = problemsOf(gathering(undefined));
    expect(problems.map(({ code, path }) => [code, path])).toEqual([
      ["tee.air", "nodes.9"],
      ["tee.air", "nodes.9"],
    ]);
    expect(problems[0].message).toBe(
      "nodes.9: expected legs with the same air; inherited air comes from outdoors, rooms and units: name 'air' on these ducts, or give their rooms the same air, got air of 21.0 °C (1.200 kg/m³) in 'extract' and air of 18.0 °C (1.212 kg/m³) in 'from-kitchen'",
    );
    const found = temperaturesIn(solved(gathering({ temperature: 20 })));
    expect(found.exhaust).toBeCloseTo(20 - 0.8 * 30, 12);
  });

  test("do not hide other faults, nor are airs sought where one is at odds with itself", () => {
    const faulty = { ...gathering(undefined), outdoorAir: { temperature: 0, pressure: 1e5, altitude: 0 } } as Document;
    expect(problemsOf(faulty).map(({ code }) => code)).toEqual(["key.conflict"]);
  });
});

describe("a compiled network", () => {
  const document = recovering(
    { frost: { below: -12, preheater: 3000 } },
    {},
    { "bath-valve": { designFlow: 0.01 }, "kitchen-valve": { designFlow: 0.03 } },
  );
  const changes: Record<string, number> = {
    "nodes.unit.exchanger.efficiency": 0.5,
    "nodes.bath.air.temperature": 27,
    "outdoorAir.temperature": 2,
    "air.temperature": 15,
    "nodes.bath-valve.designFlow": 0.05,
    "nodes.unit.frost.below": -1,
  };
  const close = (one: Solution, other: Solution): void => {
    for (const id in one.ducts) {
      // The airs do not hang on the way to an answer.
      expect(one.ducts[id].air, id).toEqual(other.ducts[id].air);
      expect(one.ducts[id].massFlow, id).toBeCloseTo(other.ducts[id].massFlow, 9);
    }
  };

  test.each(Object.entries(changes))("carries a change of %s to all ducts that inherit from it", (path, value) => {
    const network = parsed(document);
    const compiled = compileNetwork(network);
    const fresh = solveNetwork(withChanges(network, { [path]: value }));
    close(compiled.solve({ [path]: value }), fresh);
    compiled.parameter(path).value = value;
    compiled.update();
    close(compiled.solution(), fresh);
    expect(JSON.stringify(compiled.solve())).toBe(JSON.stringify(solveNetwork(network)));
    compiled.update({ start: "document" });
    expect(JSON.stringify(compiled.solution())).toBe(JSON.stringify(compiled.solve({ [path]: value })));
  });

  test("takes all of them at once, and back", () => {
    const network = parsed(document);
    const compiled = compileNetwork(network);
    close(compiled.solve(changes), solveNetwork(withChanges(network, changes)));
    expect(JSON.stringify(compiled.solve())).toBe(JSON.stringify(solveNetwork(network)));
  });

  test("passes on the air that a duct names", () => {
    const network = parsed(recovering({}, { "from-bath": { air: { temperature: 22 } } }));
    const path = "ducts.from-bath.air.temperature";
    const solution = compileNetwork(network).solve({ [path]: 30 });
    expect(temperaturesIn(solution).extract).toBeCloseTo(24, 12);
    close(solution, solveNetwork(withChanges(network, { [path]: 30 })));
  });

  test("gives inherited air as an output, in °C", () => {
    const compiled = compileNetwork(parsed(document));
    const output = compiled.output("ducts.supply.air.temperature");
    const efficiency = compiled.parameter("nodes.unit.exchanger.efficiency");
    compiled.update();
    const before = output.value ?? 0;
    efficiency.value = 1;
    compiled.update();
    expect(output.value).toBeGreaterThan(before + 5);
    expect(describeParameter(parsed(document), "nodes.unit.exchanger.efficiency").unit).toBe("-");
  });

  test("refuses a change that brings different airs to a tee, and takes rooms that change together", () => {
    const base = recovering({}, {}, { bath: { air: { temperature: 20 } }, kitchen: { air: { temperature: 20 } } });
    const nodes = base.nodes.map((node) => (node.id === "box" ? { id: "box", kind: "tee", elevation: 8 } : node));
    const ends: Record<string, object> = {
      "from-bath": { from: "box.branch" },
      "from-kitchen": { to: "box.a" },
      extract: { from: "box.b" },
    };
    const ducts = (base.ducts ?? []).map((duct) => ({ ...duct, ...ends[duct.id] }));
    const network = parsed({ ...base, nodes, ducts } as Document);
    const compiled = compileNetwork(network);
    const one = { "nodes.bath.air.temperature": 24 };
    const both = { ...one, "nodes.kitchen.air.temperature": 24 };
    const refused = expect.objectContaining({ name: "InputError" });
    expect(() => compiled.solve(one)).toThrow(refused);
    expect(() => withChanges(network, one)).toThrow(refused);
    const parameter = compiled.parameter("nodes.bath.air.temperature");
    expect(() => {
      parameter.value = 24;
    }).toThrow(/tee|legs with the same air/);
    expect(parameter.value).toBe(20);
    close(compiled.solve(both), solveNetwork(withChanges(network, both)));
    compiled.update();
    close(compiled.solution(), solveNetwork(network));
  });

  test("refuses another air for the network where a leg of a tee names the old one", () => {
    const base = house();
    const ducts = (base.ducts ?? []).map((duct) =>
      duct.id === "supply" ? { ...duct, air: { temperature: 20 } } : duct,
    );
    const network = parsed({ ...base, ducts } as Document);
    const refused = expect.objectContaining({ name: "InputError" });
    expect(() => compileNetwork(network).solve({ "air.temperature": 21 })).toThrow(refused);
    expect(() => withChanges(network, { "air.temperature": 21 })).toThrow(refused);
  });
});

test("what inherited air rests on is listed with its duct", () => {
  const network = parsed(recovering());
  const listed = sources(network, solveNetwork(network)).filter(({ of }) => of.includes("ducts.supply.air"));
  expect(listed.map(({ source }) => source.author)).toEqual(["ISO 2533", "ASHRAE"]);
});
