import fc from "fast-check";
import { describe, expect, test } from "vitest";
import {
  indexRun,
  leastFavoured,
  type NetworkDocument,
  pressurePath,
  solveNetwork,
  summarise,
} from "../../../src/index.js";
import { bare } from "../../helpers/documents.js";
import { balancedBy, pathFaults } from "../../helpers/index-law.js";

const points = [
  { flow: 0, pressure: 200 },
  { flow: 0.1, pressure: 100 },
];
const valve = (id: string, open: number) => ({
  id,
  kind: "terminal" as const,
  service: "supply" as const,
  designFlow: 0.02,
  loss: { pressure: 20, flow: 0.02 },
  open: { pressure: open, flow: 0.02 },
});
const rated = (id: string, from: string, to: string, pressure: number, flow: number) =>
  bare(id, from, to, { frictionFactor: undefined, frictionRating: { pressure, length: 1, flow } });
/** At design flow the main loses 30 Pa, the near branch 10, the far one 25; nothing else loses but the valves. */
const tree = {
  format: "ductgraph/1" as const,
  nodes: [
    { id: "in", kind: "outdoors" as const, entry: 0, exit: 1 },
    { id: "fan", kind: "fan" as const, curve: { pressureKind: "total" as const, points } },
    { id: "split", kind: "junction" as const },
    valve("near", 8),
    valve("far", 5),
  ],
  ducts: [
    bare("suction", "in", "fan.inlet"),
    rated("main", "fan.outlet", "split", 30, 0.04),
    rated("short", "split", "near", 10, 0.02),
    rated("long", "split", "far", 25, 0.02),
  ],
};

describe("the index run", () => {
  test("is the path that needs most: 30 + 25 + 5 = 60 Pa; the valve of the other takes what 30 + 10 + 8 lacks", () => {
    const run = indexRun(tree, "fan");
    expect(run.terminal).toBe("far");
    expect(run.requiredPressure).toBeCloseTo(60, 6);
    expect(run.terminals.map(({ terminal, excess }) => [terminal, Math.round(excess * 1e6) / 1e6])).toEqual([
      ["far", 0],
      ["near", 12],
    ]);
    expect(run.path.map(({ path }) => path)).toEqual([
      "nodes.in",
      "ducts.suction",
      "fans.fan",
      "ducts.main",
      "ducts.long",
      "terminals.far",
    ]);
    expect(run.path[run.path.length - 1].totalPressure).toBeCloseTo(0, 6);
  });

  test("asks for every missing design flow at once, and for a fan that there is", () => {
    const nodes = tree.nodes.map((node) => (node.kind === "terminal" ? { ...node, designFlow: undefined } : node));
    expect(() => indexRun({ ...tree, nodes } as never, "fan")).toThrow(/near[\s\S]*far/);
    expect(() => indexRun(tree, "fann")).toThrow("fan");
  });
});

describe("the index run through a constant-flow regulator", () => {
  const open = 50 / 0.95 ** 2;
  const shut = 200 / 1.05 ** 2;
  /** The tree with regulators of 50 to 200 Pa, of a set flow, in some of its ducts. */
  const regulated = (flow: number, where: readonly string[], more: object = {}) => {
    const regulator = { kind: "regulator" as const, flow, minPressure: 50, maxPressure: 200, accuracy: 0.05, ...more };
    return {
      ...tree,
      ducts: tree.ducts.map((duct) => (where.includes(duct.id) ? { ...duct, fittings: [regulator] } : duct)),
    };
  };
  const needs = (document: typeof tree) => {
    const { terminals } = indexRun(document, "fan");
    return Object.fromEntries(terminals.map(({ terminal, requiredPressure }) => [terminal, requiredPressure]));
  };

  test("counts what it needs to hold its flow, its least pressure, however wide its band: 60 + 50 and 48 + 50 Pa", () => {
    for (const where of [["long"], ["main"], ["short", "long"]]) {
      const { far, near } = needs(regulated(where[0] === "main" ? 0.04 : 0.02, where));
      expect(far).toBeCloseTo(60 + 50, 6);
      expect(near).toBeCloseTo(where[0] === "long" ? 48 : 48 + 50, 6);
    }
    expect(needs(regulated(0.02, ["long"], { maxPressure: 2000 })).far).toBeCloseTo(110, 6);
    expect(needs(regulated(0.02, ["long"], { count: 2 })).far).toBeCloseTo(160, 6);
    const { path } = indexRun(regulated(0.02, ["long"]), "fan");
    expect(path.find((step) => step.path === "ducts.long")?.loss).toBeCloseTo(25 + 50, 6);
    expect(path[path.length - 1].totalPressure).toBeCloseTo(0, 6);
  });

  test("counts the same for every flow that it may hold, within its accuracy", () => {
    for (const flow of [0.955, 0.98, 1, 1.02, 1.045])
      expect(needs(regulated(0.02 / flow, ["long"])).far).toBeCloseTo(110, 6);
  });

  test("counts it as open below its band, as shut as it goes above", () => {
    expect(needs(regulated(0.02 / 0.9, ["long"])).far).toBeCloseTo(60 + open * 0.9 ** 2, 6);
    expect(needs(regulated(0.02 / 1.2, ["long"])).far).toBeCloseTo(60 + shut * 1.2 ** 2, 6);
  });

  test("is held just so by a fan of that pressure: with a tenth more the regulator holds its flow, with a tenth less not", () => {
    const document = regulated(0.02, ["short", "long"]);
    const { requiredPressure } = indexRun(document, "fan");
    const wide = { pressureKind: "total" as const, points: [] as { flow: number; pressure: number }[] };
    const farAt = (pressure: number) => {
      const points = [
        { flow: 0, pressure: pressure + 1e-3 },
        { flow: 1, pressure: pressure - 1e-3 },
      ];
      const opened = document.nodes.map((node) =>
        node.kind === "terminal"
          ? { ...node, loss: node.open }
          : node.kind === "fan"
            ? { ...node, curve: { ...wide, points } }
            : node,
      );
      return solveNetwork({ ...document, nodes: opened }).terminals.far.flow / 0.02;
    };
    expect(farAt(1.1 * requiredPressure)).toBeGreaterThan(0.95);
    expect(farAt(0.9 * requiredPressure)).toBeLessThan(0.95);
  });

  test("does so round a loop: two equal ways share the flow, each through its own", () => {
    const twin = regulated(0.01, ["long"], { maxPressure: 1000 }).ducts.map((duct) =>
      duct.id === "long" ? { ...duct, frictionRating: { pressure: 25, length: 1, flow: 0.01 } } : duct,
    );
    const loop = { ...tree, ducts: [...twin, { ...twin[3], id: "other" }] };
    const split = { id: "gather", kind: "junction" as const };
    const last = rated("last", "gather", "far", 0, 0.02);
    const nodes = [...tree.nodes, split];
    const ducts = loop.ducts.map((duct) => (duct.to === "far" ? { ...duct, to: "gather" } : duct));
    expect(needs({ ...tree, nodes, ducts: [...ducts, last] } as never).far).toBeCloseTo(110, 5);
  });
});

test("a path begins where an inflow or an opening brings the air, and ends where an opening takes it", () => {
  const outside = (id: string, pressure: number) => ({
    id,
    kind: "outdoors" as const,
    pressure,
    entry: 0.5,
    exit: 1,
  });
  const document: NetworkDocument = {
    format: "ductgraph/1",
    nodes: [
      outside("windward", 30),
      outside("low", -30),
      { id: "source", kind: "junction", inflow: 0.02 },
      { id: "box", kind: "plenum" },
      { id: "shaft", kind: "plenum" },
      valve("a", 8),
      valve("b", 8),
      { ...valve("c", 8), service: "extract" },
    ],
    ducts: [bare("to-a", "source", "a"), bare("to-b", "box", "b"), bare("from-c", "c", "shaft")],
    openings: [
      { id: "grille", from: "windward", to: "box", area: 0.01 },
      { id: "cowl", from: "shaft", to: "low", area: 0.01 },
    ],
  };
  const solution = solveNetwork(document);
  expect(solution.openings.cowl.flow).toBeGreaterThan(0.001);
  const stepsTo = (terminal: string) => pressurePath(document, solution, terminal).map(({ path }) => path);
  expect(stepsTo("a")).toEqual(["nodes.source", "ducts.to-a", "terminals.a"]);
  expect(stepsTo("b")).toEqual(["nodes.box", "ducts.to-b", "terminals.b"]);
  expect(stepsTo("c")).toEqual(["terminals.c", "terminals.c", "ducts.from-c"]);
  const [start] = pressurePath(document, solution, "b");
  expect(start.totalPressure).toBe(solution.nodes.box.totalPressure);
});

describe("a solved tree", () => {
  const solution = solveNetwork(tree);

  test("has as its least favoured terminal the one at the end of the longer branch", () => {
    const { terminal, ratio } = leastFavoured(tree, solution, "fan");
    expect(terminal).toBe("far");
    expect(ratio).toBeCloseTo(solution.terminals.far.flow / 0.02, 12);
  });

  test("loses along the path to a terminal just what its fan gives", () => {
    const path = pressurePath(tree, solution, "near");
    expect(path.reduce((sum, step) => sum + step.loss, 0)).toBeCloseTo(0, 5);
    expect(path.find((step) => step.path === "fans.fan")?.loss).toBeCloseTo(-solution.fans.fan.totalPressure, 5);
  });

  test("is summed up in rows of the units asked for, shares in per cent", () => {
    const rows = summarise(solution, { flow: "m3/h" });
    const row = rows.find(({ path }) => path === "terminals.near.flow");
    expect(row?.value).toBeCloseTo(solution.terminals.near.flow * 3600, 9);
    expect(row?.text).toMatch(/ m3\/h$/);
    expect(rows.find(({ path }) => path === "terminals.near.ratio")?.unit).toBe("%");
    expect(() => summarise(solution, { flow: "litres a moment" })).toThrow("unit");
  });

  test("takes no unit of another quantity, which would only relabel its numbers", () => {
    const wrong = { flow: "kg/s", pressure: "mm", temperature: "W", power: "furlong" };
    expect(() => summarise(solution, wrong)).toThrow(
      expect.objectContaining({
        name: "InputError",
        problems: [
          expect.objectContaining({ code: "quantity.dimension", path: "units.flow", found: "'kg/s'" }),
          expect.objectContaining({ code: "quantity.dimension", path: "units.pressure" }),
          expect.objectContaining({ code: "quantity.unit-unknown", path: "units.power" }),
          expect.objectContaining({ code: "quantity.dimension", path: "units.temperature" }),
        ],
      }),
    );
    expect(() => summarise(solution, { flow: "kg/s" })).toThrow("units.flow: expected a unit of flow such as 'l/s'");
    expect(() => summarise(solution, { pressure: undefined, specificFanPower: "kW/(m3/s)" })).not.toThrow();
  });

  test("is summed up with speeds as they are, in the unit of their curves", () => {
    const fast = { ...solution, fans: { fan: { ...solution.fans.fan, speed: 1432.2 } } };
    const row = summarise(fast).find(({ path }) => path === "fans.fan.speed");
    expect(row).toEqual({ path: "fans.fan.speed", value: 1432.2, unit: "", text: "1432" });
  });
});

/** Rooms, a fan that brings air from the one to the other by valves, and maybe an intake beside the extract valves. */
const transfer = (from: readonly number[], to: readonly number[], pressures: readonly number[], intake?: number) => {
  const [hall, store, height] = pressures;
  const valves = (service: "supply" | "extract", room: string, losses: readonly number[]) =>
    losses.map((pressure, i) => ({
      id: `${room}${i}`,
      kind: "terminal" as const,
      service,
      room,
      elevation: height,
      designFlow: 0.02,
      loss: { pressure, flow: 0.02 },
    }));
  const join = rated("", "", "", 5, 0.04);
  return {
    format: "ductgraph/1" as const,
    air: { density: 1.2 },
    outdoorAir: { density: 1.32 },
    nodes: [
      { id: "hall", kind: "room", pressure: hall },
      { id: "store", kind: "room", pressure: store },
      { id: "before", kind: "plenum" },
      { id: "fan", kind: "fan", curve: { pressureKind: "total", points } },
      { id: "after", kind: "plenum" },
      ...valves("extract", "hall", from),
      ...valves("supply", "store", to),
      ...(intake === undefined ? [] : [{ id: "in", kind: "outdoors", coefficient: 1, elevation: height }]),
    ],
    ducts: [
      { ...join, id: "a", from: "before", to: "fan.inlet" },
      { ...join, id: "b", from: "fan.outlet", to: "after" },
      ...from.map((_, i) => ({ ...join, id: `e${i}`, from: `hall${i}`, to: "before" })),
      ...to.map((_, i) => ({ ...join, id: `s${i}`, from: "after", to: `store${i}` })),
      ...(intake === undefined
        ? []
        : [{ ...join, id: "fresh", from: "in", to: "before", section: { diameter: intake } }]),
    ],
  } as unknown as NetworkDocument;
};

describe("a path between two terminals", () => {
  test("leads from the room of the one to that of the other, through both valves, whichever is asked for", () => {
    const document = transfer([20], [20], [0, 5, 0]);
    const solution = solveNetwork(document);
    const [supply, extract] = ["store0", "hall0"].map((id) => pressurePath(document, solution, id));
    expect(supply).toEqual(extract);
    const way = ["terminals.hall0", "ducts.e0", "ducts.a", "fans.fan", "ducts.b", "ducts.s0", "terminals.store0"];
    expect(supply.map(({ path }) => path)).toEqual(["nodes.hall", ...way]);
    expect(supply[0].totalPressure).toBe(0);
    expect(supply[supply.length - 1].totalPressure).toBeCloseTo(5, 6);
    expect(supply.reduce((sum, { loss }) => sum + loss, 0)).toBeCloseTo(-5, 6);
  });

  test("begins and ends at the pressures of what it reaches, in random lines, also where valves run backwards", () => {
    const losses = fc.array(fc.integer({ min: 2, max: 60 }), { minLength: 1, maxLength: 3 });
    const pressure = fc.integer({ min: -150, max: 150 });
    const levels = fc.tuple(pressure, pressure, fc.integer({ min: 0, max: 6 }));
    const bore = fc.option(fc.constantFrom(0.04, 0.08, 0.16), { nil: undefined });
    let backwards = 0;
    const property = fc.property(losses, losses, levels, bore, (from, to, pressures, intake) => {
      const document = transfer(from, to, pressures, intake);
      const solution = solveNetwork(document, { tolerance: 1e-3 });
      for (const id of Object.keys(solution.terminals)) {
        if (solution.terminals[id].flow < 0) backwards++;
        expect(pathFaults(document, solution, id, pressurePath(document, solution, id))).toEqual([]);
      }
    });
    fc.assert(property, { seed: 20260, numRuns: 80 });
    expect(backwards).toBeGreaterThan(20);
  });

  test("is found for the index run too, where an intake beside gives the pressure", () => {
    const document = transfer([20], [30, 10], [0, 0, 0], 0.05);
    const run = indexRun(document, "fan");
    expect(run.path[0]).toEqual({ path: "nodes.hall", loss: 0, totalPressure: 0 });
    const balanced = balancedBy(document, run);
    const solution = solveNetwork(balanced, { tolerance: 1e-4 });
    expect(pathFaults(balanced, solution, run.terminal, run.path)).toEqual([]);
  });
});

describe("a solved unit", () => {
  const curve = { pressureKind: "total", coefficients: [200, -500], powerCoefficients: [30], from: 0, to: 0.3 };
  const duct = (id: string, from: string, to: string) => ({ id, from, to, length: 6, section: { diameter: 0.125 } });
  const solution = solveNetwork({
    format: "ductgraph/1",
    air: { temperature: 20 },
    outdoorAir: { temperature: -8 },
    nodes: [
      { id: "in", kind: "outdoors", coefficient: 1 },
      { id: "out", kind: "outdoors", coefficient: 1 },
      { id: "house", kind: "room", pressure: 0 },
      {
        id: "unit",
        kind: "airHandler",
        supply: { fan: { curve, control: { kind: "flow", flow: 0.5 } }, fanAt: "inlet" },
        extract: { fan: { curve, control: { kind: "flow", flow: 0.04 } }, fanAt: "inlet" },
        exchanger: { efficiency: 0.8 },
        frost: { below: -5, preheater: 500 },
      },
    ],
    ducts: [
      duct("a", "in", "unit.intake"),
      duct("b", "unit.supply", "house"),
      duct("c", "house", "unit.extract"),
      duct("d", "unit.exhaust", "out"),
    ],
  } as NetworkDocument);
  const rows = new Map(summarise(solution, { temperature: "K" }).map((row) => [row.path, row]));
  const { fans, airHandlers } = solution;

  test("is summed up with what its controllers hold, or miss and at which limit", () => {
    const missing = fans["unit.supply"].control?.missing ?? 0;
    expect(rows.get("fans.unit.supply.control.set")?.text).toBe("500 l/s");
    expect(rows.get("fans.unit.supply.control.missing")?.value).toBeCloseTo(1000 * missing, 9);
    expect(rows.get("fans.unit.supply.control.missing")?.text).toMatch(/^[0-9.]+ l\/s at maxSpeed$/);
    expect(rows.has("fans.unit.extract.control.missing")).toBe(false);
    expect(rows.get("fans.unit.extract.speed")?.value).toBe(fans["unit.extract"].speed);
  });

  test("is summed up with its temperatures and its heat", () => {
    const { supplyTemperature = 0, heatRecovered, preheaterHeat } = airHandlers.unit;
    expect(rows.get("airHandlers.unit.supplyTemperature")?.value).toBeCloseTo(supplyTemperature + 273.15, 9);
    expect(rows.get("airHandlers.unit.exhaustTemperature")?.unit).toBe("K");
    expect(rows.get("airHandlers.unit.heatRecovered")?.value).toBe(heatRecovered);
    expect(rows.get("airHandlers.unit.preheaterHeat")?.value).toBe(preheaterHeat);
    expect(rows.get("fans.unit.supply.heatToAir")?.value).toBe(fans["unit.supply"].heatToAir);
  });
});
