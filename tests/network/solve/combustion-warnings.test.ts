import { describe, expect, test } from "vitest";
import { type NetworkDocument, type Solution, solveNetwork } from "../../../src/index.js";
import { bare } from "../../helpers/documents.js";

const out = (id: string) => ({ id, kind: "outdoors" as const, coefficient: 1 });
const curve = {
  pressureKind: "total",
  points: [
    { flow: 0, pressure: 400 },
    { flow: 0.25, pressure: 50 },
  ],
};
const terminal = (id: string, service: string, room: string) => ({
  ...{ id, kind: "terminal", service, room },
  loss: { pressure: 20, flow: 0.05 },
});
const holding = (flow: number) => ({ fan: { curve, control: { kind: "flow", flow } } });

/** A hood whose duct begins in the kitchen itself, which takes its air by a gap. */
const hood = (gap: string, kitchen: object = {}): NetworkDocument =>
  ({
    format: "ductgraph/1",
    nodes: [{ id: "kitchen", kind: "room", ...kitchen }, out("roof"), out("around"), { id: "f", kind: "fan", curve }],
    ducts: [bare("a", "kitchen", "f.inlet"), bare("b", "f.outlet", "roof")],
    openings: [{ id: "gap", from: "around", to: "kitchen", area: gap }],
  }) as NetworkDocument;

/** A unit that supplies one room and extracts from another. */
const house = (rooms: { supply: string; extract: string }, flows: [number, number], openings: object[]) =>
  ({
    format: "ductgraph/1",
    nodes: [
      ...[...new Set([rooms.supply, rooms.extract])].map((id) => ({ id, kind: "room" })),
      terminal("ts", "supply", rooms.supply),
      terminal("te", "extract", rooms.extract),
      ...["in", "roof", "around"].map(out),
      { id: "unit", kind: "airHandler", supply: holding(flows[0]), extract: holding(flows[1]) },
    ],
    ducts: [
      bare("a", "in", "unit.intake"),
      bare("b", "unit.supply", "ts"),
      bare("c", "te", "unit.extract"),
      bare("d", "unit.exhaust", "roof"),
    ],
    openings,
  }) as NetworkDocument;

const cautions = ({ warnings }: Solution) => warnings.filter(({ code }) => code === "caution.combustion");
/** Pressure [Pa] that drives a flow through an opening of an area, q = 0.6·A·√(2·Δp/ρ), in air of 1.2 kg/m³. */
const driving = (flow: number, area: number): number => 0.6 * (flow / (0.6 * area)) ** 2;

describe("flue gas is cautioned of by the pressure of rooms", () => {
  test("in a room from which a hood takes its air without a terminal", () => {
    const [one, ...others] = cautions(solveNetwork(hood("60 cm2")));
    expect(others).toEqual([]);
    expect(one.path).toBe("nodes.kitchen.totalPressure");
    expect(one.message).toMatch(/room 'kitchen' is 2\d\d\.\d Pa below outdoors/);
    expect(one.message).toContain("local code");
  });

  test("in a room that is extracted from after a closed door, though the unit is in balance", () => {
    const leaks = [
      { id: "g1", from: "bed", to: "around", area: "40 cm2" },
      { id: "g2", from: "around", to: "boiler", area: "40 cm2" },
      { id: "door", from: "bed", to: "boiler", area: "10 cm2" },
    ];
    const found = cautions(solveNetwork(house({ supply: "bed", extract: "boiler" }, [0.05, 0.05], leaks)));
    expect(found.map(({ path }) => path)).toEqual(["nodes.boiler.totalPressure"]);
  });

  test("in a tight house at an excess of 4 %, by the pressure that its leak asks for", () => {
    const leak = [{ id: "g", from: "around", to: "house", area: "4 cm2" }];
    const [one] = cautions(solveNetwork(house({ supply: "house", extract: "house" }, [0.05, 0.052], leak)));
    expect(one.message).toContain(`'house' is ${driving(0.002, 4e-4).toFixed(1)} Pa below`);
  });

  test("beyond 4 Pa and not before, and not of a pressure that the document itself gives", () => {
    const leaking = (area: number) =>
      house({ supply: "house", extract: "house" }, [0.05, 0.052], [{ id: "g", from: "around", to: "house", area }]);
    const atLimit = 0.002 / (0.6 * Math.sqrt(4 / 0.6));
    expect(cautions(solveNetwork(leaking(atLimit * 0.99)))).toHaveLength(1);
    expect(cautions(solveNetwork(leaking(atLimit * 1.01)))).toEqual([]);
    expect(cautions(solveNetwork(hood("60 cm2", { pressure: -20 })))).toEqual([]);
  });

  test("once a room: terminals of a room that is named are not counted again, those elsewhere are", () => {
    const document = house(
      { supply: "bed", extract: "boiler" },
      [0.02, 0.05],
      [
        { id: "g1", from: "bed", to: "around", area: "400 cm2" },
        { id: "g2", from: "around", to: "boiler", area: "40 cm2" },
      ],
    );
    expect(cautions(solveNetwork(document)).map(({ path }) => path)).toEqual(["nodes.boiler.totalPressure"]);
    const wide = { ...document, openings: document.openings?.map((one) => ({ ...one, area: "2000 cm2" })) };
    expect(cautions(solveNetwork(wide as NetworkDocument)).map(({ path }) => path)).toEqual(["terminals"]);
  });
});
