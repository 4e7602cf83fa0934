import { describe, expect, test } from "vitest";
import { documentOf, evaluated } from "../../../scripts/write-errors-doc.mjs";
import type { Problem } from "../../../src/core/errors.js";
import * as fans from "../../../src/fans/index.js";
import * as fittings from "../../../src/fittings/index.js";
import * as main from "../../../src/index.js";
import * as data from "./faults.data.mjs";

const { checkNetwork, parseNetwork, solveNetwork } = main;

/** What a fault says beside its texts, in the order of the problems. */
const factsOf = (document: unknown): [code: string, path: string, id: string | undefined][] =>
  checkNetwork(document).problems.map(({ code, path, id }) => [code, path, id]);

/** Every problem is one sentence from its own parts: the path, what is expected, what was got. */
const expectSentences = (problems: readonly Problem[]): void => {
  for (const { path, message, expected, found } of problems) {
    expect(message.startsWith(`${path === "" ? "document" : path}: expected ${expected}`)).toBe(true);
    expect(found).toBeTypeOf("string");
    expect(message).toMatch(/^[^:]+: expected .+, got .+/);
    expect(message).not.toMatch(/undefined|\bNaN\b(?!$)|\[object|\b(\w+) \1\b|''/);
    expect(message.length).toBeLessThan(400);
  }
};

describe("every fault of a document, by its smallest example", () => {
  test.each(data.documentFaults)("$code: $meaning", (fault) => {
    const document: unknown = documentOf(fault);
    const { problems } = checkNetwork(document);
    const { code, path, id, nearest } = fault as { code: string; path: string; id?: string; nearest?: string };
    expect(problems.map((one) => [one.code, one.path, one.id, one.nearest])).toEqual([[code, path, id, nearest]]);
    expectSentences(problems);
    const thrown = expect.objectContaining({ name: "DocumentError", problems });
    expect(() => parseNetwork(document)).toThrow(thrown);
    expect(() => solveNetwork(document as main.NetworkDocument)).toThrow(thrown);
  });
});

describe("every code of a wrong argument, by its example", () => {
  const scope = {
    ...main,
    ...fans,
    ...fittings,
    network: data.network,
    solution: solveNetwork(data.network as main.NetworkDocument),
  };
  test.each(data.inputErrors)("$code: $call", ({ code, call }) => {
    expect(() => evaluated(call, scope)).toThrow(
      expect.objectContaining({ name: "InputError", problems: [expect.objectContaining({ code })] }),
    );
  });
});

describe("every status of a SolveError that a small document can bring about", () => {
  const examples = data.solveStatuses.filter(({ document }) => document !== undefined);
  test.each(examples)("$code: $meaning", ({ code, document, options }) => {
    expect(() => solveNetwork(document as main.NetworkDocument, options ?? {})).toThrow(
      expect.objectContaining({
        name: "SolveError",
        status: code,
        message: expect.not.stringMatching(/NaN|undefined/),
      }),
    );
  });
});

describe("every warning, by its example", () => {
  const examples = data.warnings.filter(({ document }) => document !== undefined);
  test.each(examples)("$code: $meaning", ({ code, path, document }) => {
    const { warnings } = solveNetwork(document as main.NetworkDocument);
    expect(warnings.map((one) => [one.code, one.path])).toEqual([[code, path]]);
  });
});

// ---- Single faults, each in an otherwise right document

const round = { diameter: 0.1 };
const outdoors = (id: string, more: object = {}) => ({ id, kind: "outdoors", entry: 0.5, exit: 1, ...more });
const points = [
  { flow: 0, pressure: 100, power: 10 },
  { flow: 0.1, pressure: 50, power: 15 },
];
const curve = { pressureKind: "total", points };
const rated = { pressure: 20, flow: 0.02 };
const duct = (id: string, from: string, to: string, more: object = {}) => ({
  id,
  from,
  to,
  length: 2,
  section: round,
  ...more,
});

/** A house in small: a fan, a unit with both streams, a box, rooms, valves and openings; without a fault. */
const house = {
  format: "ductgraph/1",
  air: { temperature: 20 },
  outdoorAir: { temperature: 5 },
  nodes: [
    outdoors("in"),
    outdoors("out"),
    {
      id: "unit",
      kind: "airHandler",
      supply: { fan: { curve }, components: [{ name: "filter", ...rated }] },
      extract: { fan: { curve } },
    },
    { id: "box", kind: "plenum" },
    { id: "bed", kind: "room" },
    { id: "bath", kind: "room" },
    { id: "supply", kind: "terminal", service: "supply", loss: rated, room: "bed" },
    { id: "extract", kind: "terminal", service: "extract", loss: rated, room: "bath" },
    { id: "fan", kind: "fan", curve },
  ],
  ducts: [
    duct("a", "in", "unit.intake"),
    duct("b", "unit.supply", "box"),
    duct("c", "box", "supply"),
    duct("d", "extract", "unit.extract"),
    duct("e", "unit.exhaust", "out"),
    duct("f", "bath", "fan.inlet"),
    duct("g", "fan.outlet", "out"),
  ],
  openings: [
    { id: "door", from: "bed", to: "bath", area: 0.01 },
    { id: "leak", from: "bath", to: "out", coefficient: 0.002 },
  ],
};

/** The house with its values at some paths replaced; undefined takes a key away. */
const houseWith = (changes: Readonly<Record<string, unknown>>): unknown => {
  // By way of JSON, so that the fans' curves are no longer one.
  const document = JSON.parse(JSON.stringify(house));
  for (const [path, value] of Object.entries(changes)) {
    const words = path.split(".");
    const last = words.pop() as string;
    const holder = words.reduce((held, word) => held[word], document);
    if (value === undefined) delete holder[last];
    else holder[last] = value;
  }
  return document;
};

test("the house itself has no fault, and solves", () => {
  expect(checkNetwork(house).problems).toEqual([]);
  expect(solveNetwork(house as unknown as main.NetworkDocument).terminals.supply.flow).toBeGreaterThan(0);
});

type Single = [
  what: string,
  changes: Record<string, unknown>,
  code: string,
  path: string,
  id?: string,
  nearest?: string,
];
const singles: Single[] = [
  ["a wrong format", { format: "ductgraph/2" }, "value.wrong", "format"],
  ["nodes that are no list", { nodes: { in: {} } }, "value.wrong", "nodes"],
  ["no nodes, which leaves the ducts' ends open", { nodes: undefined }, "key.missing", "nodes"],
  ["a key of another element", { diameter: 0.1 }, "key.unknown", "diameter"],
  ["a misspelt key at the root", { frictoin: "haaland" }, "key.unknown", "frictoin", undefined, "friction"],
  ["a misspelt key of a duct", { "ducts.0.rougness": 1e-4 }, "key.unknown", "ducts.0.rougness", "a", "roughness"],
  ["a node that is no object", { "nodes.9": 5 }, "value.wrong", "nodes.9"],
  ["a friction law that is not known", { friction: "colbrook" }, "value.choice", "friction", undefined, "colebrook"],
  ["a friction law that is no text", { friction: 5 }, "value.choice", "friction"],
  // Air
  ["air by two forms", { air: { density: 1.2, temperature: 20 } }, "key.unknown", "air.temperature"],
  ["air by none", { air: {} }, "key.missing", "air.density"],
  ["air too hot", { "air.temperature": 101 }, "value.range", "air.temperature"],
  ["air too cold as a text", { "air.temperature": "-80 degC" }, "value.range", "air.temperature"],
  [
    "pressure beside altitude",
    { air: { temperature: 20, pressure: 1e5, altitude: 0 } },
    "key.conflict",
    "air.altitude",
  ],
  [
    "pressure beside altitude outdoors",
    { outdoorAir: { temperature: 20, pressure: 1e5, altitude: 0 } },
    "key.conflict",
    "outdoorAir.altitude",
  ],
  [
    "pressure beside altitude in a room",
    { "nodes.4.air": { temperature: 20, pressure: 1e5, altitude: 0 } },
    "key.conflict",
    "nodes.4.air.altitude",
    "bed",
  ],
  [
    "pressure beside altitude in a duct",
    { "ducts.1.air": { temperature: 20, pressure: 1e5, altitude: 0 } },
    "key.conflict",
    "ducts.1.air.altitude",
    "b",
  ],
  [
    "more vapour than air",
    { air: { temperature: 95, pressure: 40_000, relativeHumidity: 1 } },
    "value.range",
    "air.relativeHumidity",
  ],
  [
    "more vapour than air by the network's altitude",
    { air: { temperature: 20, altitude: 9000 }, "ducts.2.air": { temperature: 90, relativeHumidity: "90 %" } },
    "value.range",
    "ducts.2.air.relativeHumidity",
    "c",
  ],
  // Sections
  [
    "a section of two forms",
    { "ducts.0.section": { diameter: 1, width: 1 } },
    "key.unknown",
    "ducts.0.section.width",
    "a",
  ],
  [
    "a rectangle with a diameter",
    { "ducts.0.section": { width: 1, height: 1, diameter: 1 } },
    "key.unknown",
    "ducts.0.section.diameter",
    "a",
  ],
  ["a section by its width", { "ducts.0.section": { width: 1 } }, "key.missing", "ducts.0.section.height", "a"],
  [
    "a flat oval by its width",
    { "ducts.0.section": { shape: "flatOval", width: 1 } },
    "key.missing",
    "ducts.0.section.height",
    "a",
  ],
  ["a section without size", { "ducts.0.section": { diameter: 0 } }, "value.range", "ducts.0.section.diameter", "a"],
  ["a section that is a number", { "ducts.0.section": 0.1 }, "value.wrong", "ducts.0.section", "a"],
  // Ducts
  ["a negative length", { "ducts.0.length": "-4 m" }, "value.range", "ducts.0.length", "a"],
  ["an infinite length", { "ducts.0.length": Number.POSITIVE_INFINITY }, "quantity.not-finite", "ducts.0.length", "a"],
  ["a length that is no number", { "ducts.0.length": Number.NaN }, "value.wrong", "ducts.0.length", "a"],
  ["half a duct", { "ducts.0.parallel": 0.5 }, "value.wrong", "ducts.0.parallel", "a"],
  ["no duct at all", { "ducts.0.parallel": 0 }, "value.range", "ducts.0.parallel", "a"],
  ["a negative roughness", { "ducts.0.roughness": -1 }, "value.range", "ducts.0.roughness", "a"],
  ["a roughness as wide as the duct", { "ducts.0.roughness": "10 cm" }, "value.range", "ducts.0.roughness", "a"],
  ["a roughness without a unit", { "ducts.0.roughness": "0.09" }, "quantity.unit-missing", "ducts.0.roughness", "a"],
  [
    "two kinds of known friction",
    { "ducts.0.frictionFactor": 0.02, "ducts.0.frictionRating": { pressure: 1, length: 1, flow: 0.02 } },
    "key.conflict",
    "ducts.0.frictionRating",
    "a",
  ],
  [
    "a bend by more than half a turn",
    { "ducts.0.fittings": [{ kind: "bend", angle: "190°" }] },
    "value.range",
    "ducts.0.fittings.0.angle",
    "a",
  ],
  [
    "a misspelt key of a bend",
    { "ducts.0.fittings": [{ kind: "bend", radiusRation: 1 }] },
    "key.unknown",
    "ducts.0.fittings.0.radiusRation",
    "a",
    "radiusRatio",
  ],
  [
    "a misspelt word of a bend",
    { "ducts.0.fittings": [{ kind: "mitredBend", vanes: "singel" }] },
    "value.choice",
    "ducts.0.fittings.0.vanes",
    "a",
    "single",
  ],
  [
    "a damper without its setting",
    { "ducts.0.fittings": [{ kind: "singleBladeDamper" }] },
    "key.missing",
    "ducts.0.fittings.0.angle",
    "a",
  ],
  [
    "a segmented bend of pieces that are not printed",
    { "ducts.0.fittings": [{ kind: "segmentedBend", pieces: 6 }] },
    "fitting.geometry",
    "ducts.0.fittings.0.pieces",
    "a",
  ],
  [
    "a filter that loses less when loaded",
    { "ducts.0.fittings": [{ kind: "filter", clean: 80, loaded: 40, flow: 0.1 }] },
    "fitting.geometry",
    "ducts.0.fittings.0.loaded",
    "a",
  ],
  [
    "a table of one row",
    { "ducts.0.fittings": [{ kind: "irisDamper", setting: 1, table: [{ setting: 1, coefficient: 2 }] }] },
    "list.short",
    "ducts.0.fittings.0.table",
    "a",
  ],
  [
    "compression beside a friction factor",
    { "ducts.0.frictionFactor": 0.02, "ducts.0.compression": 0.1 },
    "key.conflict",
    "ducts.0.compression",
    "a",
  ],
  [
    "compression beside a friction rating",
    { "ducts.0.frictionRating": { pressure: 1, length: 1, flow: 0.02 }, "ducts.0.compression": 0.1 },
    "key.conflict",
    "ducts.0.compression",
    "a",
  ],
  ["more compression than was tested", { "ducts.0.compression": 0.9 }, "value.range", "ducts.0.compression", "a"],
  ["a fitting of no kind", { "ducts.0.fittings": [{ coefficient: 1 }] }, "key.missing", "ducts.0.fittings.0.kind", "a"],
  [
    "a misspelt fitting",
    { "ducts.0.fittings": [{ kind: "fixd", coefficient: 1 }] },
    "kind.unknown",
    "ducts.0.fittings.0.kind",
    "a",
    "fixed",
  ],
  [
    "a transition of one duct",
    { "nodes.9": { id: "t", kind: "transition" }, "ducts.6.to": "t.a" },
    "port.free",
    "nodes.9",
    "t",
  ],
  [
    "a cone by its angle and its length",
    {
      "nodes.9": { id: "t", kind: "transition", form: { kind: "conical", angle: "30°", length: "0.3 m" } },
      "ducts.6.to": "t.a",
      "ducts.7": duct("h", "t.b", "out"),
    },
    "fitting.geometry",
    "nodes.9.form.length",
    "t",
  ],
  [
    "a misspelt form of a transition",
    { "nodes.9": { id: "t", kind: "transition", form: { kind: "conicl" } } },
    "kind.unknown",
    "nodes.9.form.kind",
    "t",
    "conical",
  ],
  ["an end in several parts", { "ducts.0.from": "in.a.b" }, "end.form", "ducts.0.from", "a"],
  // Outdoors
  ["no entry where a duct begins", { "nodes.0.entry": undefined }, "key.missing", "nodes.0.entry", "in"],
  ["no exit where a duct ends", { "nodes.1.exit": undefined }, "key.missing", "nodes.1.exit", "out"],
  [
    "a coefficient beside entry",
    { "nodes.0.coefficient": 1, "nodes.0.exit": undefined },
    "key.conflict",
    "nodes.0.entry",
    "in",
  ],
  [
    "an end beside a coefficient",
    { "nodes.0.end": { kind: "flush" }, "nodes.0.exit": undefined },
    "key.conflict",
    "nodes.0.entry",
    "in",
  ],
  [
    "a louvre without its face",
    { "nodes.0": { id: "in", kind: "outdoors", end: { kind: "louvre", freeArea: 0.5 } } },
    "key.missing",
    "nodes.0.end.area",
    "in",
  ],
  // Boxes
  ["a box smaller than its duct", { "nodes.3.area": 0.005 }, "plenum.area-small", "nodes.3.area", "box"],
  // Openings
  ["an opening of two forms", { "openings.0.coefficient": 0.01 }, "key.unknown", "openings.0.area", "door"],
  ["a laminar opening beyond laminar", { "openings.1.exponent": 1.1 }, "value.range", "openings.1.exponent", "leak"],
  ["an opening at a fan", { "openings.0.to": "fan" }, "opening.end", "openings.0.to", "door"],
  ["an opening to a misspelt room", { "openings.0.to": "bth" }, "reference.node", "openings.0.to", "door", "bath"],
  // Fans and units
  ["a fan without a curve", { "nodes.8.curve": undefined }, "key.missing", "nodes.8.curve", "fan"],
  ["a negative speed", { "nodes.8.speed": -1 }, "value.range", "nodes.8.speed", "fan"],
  ["no stream", { "nodes.2.supply": undefined, "nodes.2.extract": undefined }, "key.missing", "nodes.2.supply", "unit"],
  [
    "a fan in a unit that stands still",
    { "nodes.2.extract.fan.speed": 0 },
    "fan.stopped-missing",
    "nodes.2.extract.fan.speed",
    "unit",
  ],
  [
    "a curve in a unit that rises",
    { "nodes.2.supply.fan.curve.points": [points[1], { ...points[1], flow: 0.2, pressure: 60 }] },
    "curve.rising-end",
    "nodes.2.supply.fan.curve.points.1.pressure",
    "unit",
  ],
  [
    "an efficiency beside power",
    { "nodes.8.curve.points.0.efficiency": 0.5 },
    "curve.power-or-efficiency",
    "nodes.8.curve.points",
    "fan",
  ],
  // Terminals
  [
    "a loss of two forms",
    { "nodes.6.loss": { ...rated, coefficient: 3 } },
    "key.unknown",
    "nodes.6.loss.coefficient",
    "supply",
  ],
  [
    "a coefficient with a flow",
    { "nodes.6.loss": { coefficient: 3, flow: 1 } },
    "key.unknown",
    "nodes.6.loss.flow",
    "supply",
  ],
  ["a service of none", { "nodes.6.service": "suply" }, "value.choice", "nodes.6.service", "supply", "supply"],
  ["a design flow of 0", { "nodes.6.designFlow": "0 l/s" }, "value.range", "nodes.6.designFlow", "supply"],
  ["a misspelt room", { "nodes.6.room": "bad" }, "reference.room", "nodes.6.room", "supply", "bed"],
  [
    "an open extract that loses nothing",
    { "nodes.7.open": { pressure: 1, flow: 0.02, pressureKind: "static" } },
    "terminal.static-too-small",
    "nodes.7.open.pressure",
    "extract",
  ],
  [
    "a terminal without a duct",
    { "nodes.9": { id: "lost", kind: "terminal", service: "supply", loss: rated } },
    "node.untouched",
    "nodes.9",
    "lost",
  ],
];

describe("one fault in a house", () => {
  test.each(singles)("%s", (_, changes, code, path, id, nearest) => {
    const { problems } = checkNetwork(houseWith(changes));
    const facts = problems.filter((one) => one.code === code && one.path === path);
    expect(facts.map((one) => [one.id, one.nearest])).toEqual([[id, nearest]]);
    expectSentences(problems);
    // What hangs on a fault is not called wrong for it; only ports that the change itself leaves open are.
    const others = problems.filter(
      (one) => !facts.includes(one) && !["port.unknown", "node.untouched"].includes(one.code),
    );
    expect(others).toEqual([]);
  });
});

test("what was found reads as it was written", () => {
  const found = (value: unknown): string => {
    const [problem] = checkNetwork(houseWith({ "nodes.0.label": value })).problems;
    return problem.message.slice("nodes.0.label: expected a text, got ".length);
  };
  expect(
    [5, null, true, [1, 2], {}, () => 1, 5n, Symbol("s")].map((value) =>
      found(typeof value === "function" ? 0 : value),
    ),
  ).toEqual(["5", "null", "true", "a list of 2", "an object", "0", "5n", "Symbol(s)"]);
  const [missing] = checkNetwork({ nodes: [] }).problems;
  expect(missing.message).toBe("format: expected 'ductgraph/1', got nothing");
  const [range] = checkNetwork(houseWith({ "ducts.0.length": -1 })).problems;
  expect(range.message).toBe("ducts.0.length: expected a length such as '180 mm', 0 m or more, got -1");
});

test("a document with fourteen faults of all sorts tells all of them at once, each with its own place", () => {
  const document = houseWith({
    title: 5,
    outdoorAir: { temperature: 20, pressure: 1e5, altitude: 0 },
    "nodes.0.exit": undefined,
    "nodes.2.supply.components": [{ name: "filter", ...rated, clean: 30 }],
    "nodes.3.entry": -1,
    "nodes.6.room": "bad",
    "nodes.8.curve.points.1.flow": 0,
    "nodes.9": { id: "in", kind: "junction" },
    "nodes.10": { id: "lone", kind: "junction" },
    "ducts.1.length": "4 l/s",
    "ducts.2.roughness": 5,
    "ducts.3.frction": 1,
    "ducts.7": duct("h", "fan.outlet", "out"),
    "openings.0.from": "bedd",
  });
  expect(factsOf(document)).toEqual([
    ["value.wrong", "title", undefined],
    ["value.range", "nodes.3.entry", "box"],
    ["quantity.dimension", "ducts.1.length", "b"],
    ["key.unknown", "ducts.3.frction", "d"],
    ["key.conflict", "outdoorAir.altitude", undefined],
    ["id.duplicate", "nodes.9.id", "in"],
    ["value.range", "ducts.2.roughness", "c"],
    ["port.taken", "ducts.7.from", "h"],
    ["reference.node", "openings.0.from", "door"],
    ["key.missing", "nodes.0.exit", "in"],
    ["component.clean-above-pressure", "nodes.2.supply.components.0.clean", "unit"],
    ["reference.room", "nodes.6.room", "supply"],
    ["curve.flow-not-rising", "nodes.8.curve.points.1.flow", "fan"],
    ["node.untouched", "nodes.10", "lone"],
  ]);
});

// ---- The network as a graph

const junctions = (...ids: readonly string[]) => ids.map((id) => ({ id, kind: "junction" }));
const network = (nodes: readonly object[], ducts: readonly object[], more: object = {}): unknown => ({
  format: "ductgraph/1",
  nodes,
  ducts,
  ...more,
});

describe("a part without a given pressure", () => {
  const loop = (ids: readonly string[]) => ids.map((id, i) => duct(`d${id}`, id, ids[(i + 1) % ids.length]));

  test("names its nodes, up to eight of them", () => {
    const ids = ["a", "b", "c", "d", "e", "f", "g", "h", "i", "j"];
    const [problem, ...others] = checkNetwork(network(junctions(...ids), loop(ids))).problems;
    expect(others).toEqual([]);
    expect(problem).toMatchObject({ code: "network.no-reference", path: "nodes.0", id: "a" });
    const named = problem.found?.match(/'\w'/g);
    expect(named).toHaveLength(8);
    expect(problem.found).toContain("and 2 more");
  });

  test("is one fault for each part, whatever stands beside it", () => {
    const nodes = [...junctions("a", "b", "c", "x", "y", "z"), outdoors("in"), outdoors("out")];
    const ducts = [...loop(["a", "b", "c"]), ...loop(["x", "y", "z"]), duct("d", "in", "out")];
    expect(factsOf(network(nodes, ducts))).toEqual([
      ["network.no-reference", "nodes.0", "a"],
      ["network.no-reference", "nodes.3", "x"],
    ]);
  });

  test("stays one when flow is brought in: a contradiction, since it has nowhere to go", () => {
    const nodes = [
      { id: "a", kind: "junction", inflow: "20 l/s" },
      { id: "b", kind: "junction", inflow: "10 l/s" },
    ];
    expect(factsOf(network(nodes, [duct("d", "a", "b")]))).toEqual([["network.no-reference", "nodes.0", "a"]]);
  });

  test("is a closed circle of a fan, a unit, or free rooms too", () => {
    const fan = { id: "f", kind: "fan", curve };
    expect(factsOf(network([fan], [duct("d", "f.outlet", "f.inlet")]))).toEqual([
      ["network.no-reference", "nodes.0", "f"],
    ]);
    const rooms = [
      { id: "a", kind: "room" },
      { id: "b", kind: "room" },
    ];
    const valve = { id: "t", kind: "terminal", service: "supply", loss: rated, room: "b" };
    const openings = [{ id: "o", from: "a", to: "b", area: 0.01 }];
    expect(factsOf(network([...rooms, valve], [duct("d", "a", "t")], { openings }))).toEqual([
      ["network.no-reference", "nodes.0", "a"],
    ]);
  });

  test.each([
    ["outdoors", { id: "r", kind: "outdoors", coefficient: 1 }],
    ["a room with a pressure", { id: "r", kind: "room", pressure: 5 }],
    ["a terminal without a room", { id: "r", kind: "terminal", service: "extract", loss: rated }],
  ])("is none with %s", (_, reference) => {
    const nodes = [...junctions("a", "b", "c"), reference];
    expect(factsOf(network(nodes, [...loop(["a", "b", "c"]), duct("d", "r", "a")]))).toEqual([]);
  });

  test("is not claimed beside a fault that may be the reason", () => {
    const nodes = [...junctions("a", "b", "c"), outdoors("in")];
    const ducts = [...loop(["a", "b", "c"]), duct("d", "in", "a", { length: "x" })];
    expect(factsOf(network(nodes, ducts))).toEqual([["quantity.syntax", "ducts.3.length", "d"]]);
  });
});

describe("a path or a loop without resistance", () => {
  const none = { length: 0 };
  const free = (id: string) => ({ id, kind: "outdoors", coefficient: 0 });
  const expected = "network.no-resistance";

  test("between two given pressures, through a junction", () => {
    const nodes = [free("in"), free("out"), ...junctions("j")];
    const ducts = [duct("a", "in", "j", none), duct("b", "j", "out", none)];
    expect(factsOf(network(nodes, ducts))).toEqual([[expected, "ducts.1", "b"]]);
  });

  test("between a room of given pressure and outdoors, when only one direction loses", () => {
    const nodes = [{ id: "r", kind: "room", pressure: 0, entry: 0 }, free("out")];
    // Into the room all velocity pressure is lost, out of it none.
    expect(factsOf(network(nodes, [duct("a", "r", "out", none)]))).toEqual([[expected, "ducts.0", "a"]]);
  });

  test("through a terminal that loses nothing, to the outdoor air or a room of given pressure", () => {
    const valve = { id: "t", kind: "terminal", service: "supply", loss: { coefficient: 0 } };
    const open = network([free("in"), valve], [duct("a", "in", "t", none)]);
    const [problem] = checkNetwork(open).problems;
    expect(problem).toMatchObject({ code: expected });
    expect(problem.message).toContain("between 'in' and 't'");
    const rated0 = { ...valve, loss: { pressure: 0, flow: 0.02 }, room: "r" };
    const room = { id: "r", kind: "room", pressure: 5 };
    expect(factsOf(network([free("in"), rated0, room], [duct("a", "in", "t", none)]))).toEqual([
      [expected, "ducts.0", "a"],
    ]);
  });

  test("through a fan that stands still and loses nothing", () => {
    const still = { id: "f", kind: "fan", speed: 0, stopped: { pressure: 0, flow: 1 } };
    const ducts = [duct("a", "in", "f.inlet", none), duct("b", "f.outlet", "out", none)];
    expect(factsOf(network([free("in"), free("out"), still], ducts))).toEqual([[expected, "ducts.1", "b"]]);
    const unit = {
      id: "f",
      kind: "airHandler",
      supply: { fan: still.stopped && { speed: 0, stopped: still.stopped } },
    };
    const unitDucts = [duct("a", "in", "f.intake", none), duct("b", "f.supply", "out", none)];
    expect(factsOf(network([free("in"), free("out"), unit], unitDucts))).toEqual([[expected, "ducts.1", "b"]]);
  });

  test("in a loop, also of two ducts side by side, also where every loss that is given is 0", () => {
    const nodes = [outdoors("in"), ...junctions("a", "b")];
    const nothing = {
      fittings: [
        { kind: "fixed", coefficient: 0 },
        { kind: "rating", pressure: 0, flow: 0.1 },
      ],
    };
    const ducts = [
      duct("d", "in", "a"),
      duct("e", "a", "b", { frictionFactor: 0, ...nothing }),
      duct("f", "b", "a", { frictionRating: { pressure: 0, length: 1, flow: 0.1 } }),
    ];
    expect(factsOf(network(nodes, ducts))).toEqual([[expected, "ducts.2", "f"]]);
  });

  test("is none where something on the way loses pressure", () => {
    const through = (...ducts: readonly object[]) =>
      factsOf(network([free("in"), free("out"), ...junctions("j")], ducts));
    const idle = duct("a", "in", "j", none);
    expect(through(idle, duct("b", "j", "out"))).toEqual([]);
    expect(through(idle, duct("b", "j", "out", { ...none, fittings: [{ kind: "fixed", coefficient: 0.1 }] }))).toEqual(
      [],
    );
    const still = { id: "f", kind: "fan", speed: 0, stopped: { pressure: 1, flow: 1 } };
    const ducts = [duct("a", "in", "f.inlet", none), duct("b", "f.outlet", "out", none)];
    expect(factsOf(network([free("in"), free("out"), still], ducts))).toEqual([]);
  });

  test("is no fault in a dead end", () => {
    const nodes = [outdoors("in"), outdoors("out"), ...junctions("j", "k")];
    const ducts = [duct("a", "in", "j"), duct("b", "j", "out"), duct("c", "j", "k", none)];
    expect(factsOf(network(nodes, ducts))).toEqual([]);
  });

  test("is not claimed between nodes that only stand beside faults", () => {
    const nodes = [outdoors("in"), outdoors("out"), ...junctions("j", "k")];
    const ducts = [
      duct("a", "in", "j", { length: "x" }),
      duct("b", "j", "k", none),
      duct("c", "k", "out", { length: "x" }),
    ];
    expect(factsOf(network(nodes, ducts)).map(([code]) => code)).toEqual(["quantity.syntax", "quantity.syntax"]);
  });
});

describe("what follows from a fault is not reported beside it", () => {
  test("a node or a port that a misspelt name probably means does not count as left alone", () => {
    const [problem, ...others] = checkNetwork(houseWith({ "ducts.1.to": "bo", "ducts.2.from": "bo" })).problems;
    expect([problem.nearest, others.map(({ code }) => code)]).toEqual(["box", ["reference.node"]]);
    expect(factsOf(houseWith({ "ducts.5.to": "fan.inlt" }))).toEqual([["port.unknown", "ducts.5.to", "f"]]);
  });

  test("faults of the root leave the air of the network to be checked, and the elements", () => {
    const changes = { title: 5, air: { temperature: 20, pressure: 1e5, altitude: 0 }, "ducts.0.roughness": 1 };
    expect(factsOf(houseWith(changes)).map(([code, path]) => `${code} ${path}`)).toEqual([
      "value.wrong title",
      "key.conflict air.altitude",
      "value.range ducts.0.roughness",
    ]);
  });
});
