import { describe, expect, test } from "vitest";
import { catalogue } from "../../../src/fittings/index.js";
import {
  InputError,
  type NetworkDocument,
  parseNetwork,
  type SourceEntry,
  solveNetwork,
  sources,
} from "../../../src/index.js";

const document: NetworkDocument = {
  format: "ductgraph/1",
  air: { temperature: 20 },
  outdoorAir: { density: 1.25 },
  nodes: [
    { id: "in", kind: "outdoors", pressure: 20, end: { kind: "louvre", area: 0.1, freeArea: 0.5 } },
    { id: "x", kind: "transition", form: { kind: "conical", angle: "10°" } },
    {
      id: "fan",
      kind: "fan",
      speed: 0.9,
      curve: {
        pressureKind: "total",
        points: [
          { flow: 0, pressure: 120 },
          { flow: 0.2, pressure: 20 },
        ],
      },
    },
    { id: "box", kind: "plenum" },
    { id: "room", kind: "room" },
    { id: "t", kind: "terminal", service: "supply", room: "room", loss: { pressure: 15, flow: 0.02 } },
    { id: "out", kind: "outdoors", entry: 0.5, exit: 1 },
  ],
  ducts: [
    { id: "a", from: "in", to: "x.a", length: 3, section: { diameter: 0.2 }, roughness: "galvanised steel, spiral" },
    { id: "b", from: "x.b", to: "fan.inlet", length: 1, section: { diameter: 0.16 }, roughness: 0.0002 },
    {
      id: "c",
      from: "fan.outlet",
      to: "box",
      length: 2,
      section: { width: 0.2, height: 0.15 },
      fittings: [
        { kind: "bend" },
        { kind: "fixed", coefficient: 0.3 },
        { kind: "filter", clean: 20, loaded: 60, flow: 0.05 },
      ],
    },
    {
      id: "d",
      from: "box",
      to: "t",
      length: 4,
      section: { diameter: 0.1 },
      compression: 0.1,
      fittings: [{ kind: "bend", spacing: 2 }],
    },
    { id: "e", from: "box", to: "out", length: 6, section: { diameter: 0.1 }, frictionFactor: 0.02, entry: 0.2 },
  ],
  openings: [{ id: "gap", from: "room", to: "out", area: 0.01 }],
};
const network = parseNetwork(document);
const solution = solveNetwork(network);
const entries = sources(network, solution);
const of = (path: string, among: readonly SourceEntry[] = entries): SourceEntry[] =>
  among.filter((entry) => entry.of.includes(path));
const named = (path: string): [string, string][] => of(path).map(({ source }) => [source.author, source.status]);

describe("the sources of an answer", () => {
  test("name the friction law, the surfaces and the equivalent diameters", () => {
    expect(named("ducts.a.frictionFactor")).toEqual([["Colebrook", "read"]]);
    expect(of("ducts.a.roughness")[0]).toMatchObject({
      source: { author: "ASHRAE" },
      note: "galvanised steel, spiral: 0.06 to 0.12 mm is published",
    });
    expect(named("ducts.b.roughness")).toEqual([["the document", "read"]]);
    expect(named("ducts.c.section")).toEqual([["Huebscher", "read"]]);
    expect(named("ducts.e.frictionFactor")).toEqual([["the document", "read"]]);
    expect(of("ducts.e.roughness")).toEqual([]);
  });

  test("name the formulas of air by temperature, and the document where it gives the density", () => {
    expect(named("air").map(([author]) => author)).toEqual(["ISO 2533", "ASHRAE", "ISO 2533"]);
    expect(named("outdoorAir")).toEqual([["the document", "read"]]);
  });

  test("hold every source of each fitting, end and transition, with the spread of its geometry", () => {
    const kinds = {
      "ducts.c.fittings.0": "bend",
      "ducts.c.fittings.2": "filter",
      "nodes.in.end": "louvre",
      "nodes.x.form": "conical",
    };
    for (const [path, kind] of Object.entries(kinds)) {
      const expected = catalogue().find((one) => one.kind === kind)?.sources ?? [];
      expect(of(path)).toHaveLength(expected.length);
      expect(of(path).map(({ source }) => source)).toEqual(expect.arrayContaining([...expected]));
      for (const { spread } of of(path)) expect(spread).toEqual(of(path)[0].spread);
    }
    // A cone of 10° is known less well than one of 30°: 0.25 + 0.7·(1 − 10/30).
    expect(of("nodes.x.form")[0].spread?.own).toBeCloseTo(0.25 + 0.7 * (2 / 3), 12);
    expect(of("ducts.d.fittings.0")[0].note).toMatch(/follows within ten diameters/);
    expect(of("ducts.d.fittings.0")[0].spread?.own).toBeGreaterThan(of("ducts.c.fittings.0")[0].spread?.own ?? 1);
  });

  test("say what stands in the document: ratings, coefficients, curves", () => {
    const [given] = entries.filter(({ source }) => source.author === "the document");
    expect(given.of).toEqual(
      expect.arrayContaining([
        "ducts.c.fittings.1",
        "nodes.t.loss",
        "fans.fan.curve",
        "nodes.out.entry",
        "ducts.e.entry",
      ]),
    );
    expect(entries[entries.length - 1]).toBe(given);
    expect(given.spread).toBeUndefined();
  });

  test("follow the air: entries where it leaves a box, exits where it comes to one", () => {
    expect(of("ducts.c.exitLoss")[0].source.author).toBe("Borda and Carnot");
    expect(of("nodes.box.entry")[0]).toMatchObject({ source: { author: "Idelchik" }, spread: { family: "entries" } });
    expect(of("ducts.d.exitLoss")).toEqual([]);
  });

  test("name the laws of a fan at another speed, an opening's discharge and a flexible duct's compression", () => {
    expect(of("fans.fan.speed")).toHaveLength(1);
    expect(named("openings.gap.dischargeCoefficient")).toEqual([["common practice", "memory"]]);
    expect(of("ducts.d.compression").map(({ note }) => note)).toEqual(
      Array(3).fill(expect.stringMatching(/150 to 250/)),
    );
  });

  test("are merged, plain, and sorted from memory to what was read", () => {
    const keys = entries.map(({ source, spread, note }) => JSON.stringify([source, spread, note]));
    expect(new Set(keys).size).toBe(keys.length);
    expect(JSON.parse(JSON.stringify(entries))).toEqual(entries);
    const ranks = entries.map(({ source }) => ["memory", "computed", "library", "read"].indexOf(source.status));
    expect(ranks).toEqual([...ranks].sort());
    for (const entry of entries) expect(new Set(entry.of).size).toBe(entry.of.length);
  });

  test("of slow air are laminar, or unsettled by ±30 per cent", () => {
    const slow = (flow: number): NetworkDocument => ({
      format: "ductgraph/1",
      nodes: [
        { id: "j", kind: "junction", inflow: flow },
        { id: "out", kind: "outdoors", entry: 0.5, exit: 1 },
      ],
      ducts: [{ id: "d", from: "j", to: "out", length: 1, section: { diameter: 0.1 }, roughness: "plastic pipe" }],
    });
    // Re = 4ρq/(πDμ): 844 and 2532
    const [laminar, between] = [0.001, 0.003].map((flow) => sources(slow(flow), solveNetwork(slow(flow))));
    expect(of("ducts.d.frictionFactor", laminar)[0].source.author).toBe("Hagen and Poiseuille");
    expect(of("ducts.d.roughness", laminar)).toEqual([]);
    expect(of("ducts.d.frictionFactor", between)[0].spread).toMatchObject({ shared: 0, own: 0.3 });
  });

  test("of another network are refused", () => {
    expect(() =>
      sources({ ...document, ducts: [...document.ducts!, { ...document.ducts![4], id: "f" }] }, solution),
    ).toThrow(InputError);
  });
});
