import { readdirSync, readFileSync } from "node:fs";
import { describe, expect, test } from "vitest";
import { documentOf } from "../../../scripts/write-errors-doc.mjs";
import { networkSchema, parseNetwork, parseQuantity } from "../../../src/index.js";
import { fits, type Schema, schemasIn } from "../../helpers/json-schema.js";
import { documentFaults } from "./faults.data.mjs";

const format = "ductgraph/1";
const section = { diameter: 0.1 };
const points = [
  { flow: 0, pressure: 100 },
  { flow: 0.1, pressure: 50 },
];
const rating = { pressure: 20, flow: 0.02 };

/** One of everything, with the keys that have no default and no others. */
const bare = {
  format,
  nodes: [
    { id: "in", kind: "outdoors", coefficient: 1 },
    { id: "out", kind: "outdoors" },
    { id: "room", kind: "room" },
    { id: "j", kind: "junction" },
    { id: "box", kind: "plenum" },
    { id: "rated", kind: "terminal", service: "supply", loss: rating, open: rating },
    { id: "plain", kind: "terminal", service: "extract", loss: { coefficient: 3 } },
    { id: "f", kind: "fan", curve: { pressureKind: "total", points }, stopped: rating },
    {
      id: "unit",
      kind: "airHandler",
      supply: { fan: { curve: { pressureKind: "total", points } } },
      extract: { fan: { curve: { pressureKind: "total", points } }, components: [{ name: "filter", ...rating }] },
    },
  ],
  ducts: [
    { id: "a", from: "in", to: "unit.intake", length: 1, section },
    { id: "b", from: "unit.supply", to: "box", length: 1, section, air: { temperature: 20 } },
    { id: "c", from: "box", to: "rated", length: 1, section, fittings: [{ kind: "fixed", coefficient: 1 }] },
    { id: "d", from: "plain", to: "j", length: 1, section, fittings: [{ kind: "rating", ...rating }] },
    { id: "e", from: "j", to: "unit.extract", length: 1, section, air: { density: 1.1 } },
    {
      id: "g",
      from: "unit.exhaust",
      to: "in",
      length: 1,
      section,
      frictionRating: { pressure: 1, length: 1, flow: 0.02 },
    },
    { id: "h", from: "room", to: "f.inlet", length: 1, section },
    { id: "i", from: "f.outlet", to: "in", length: 1, section },
  ],
  openings: [
    { id: "k", from: "room", to: "out", coefficient: 0.002 },
    { id: "l", from: "room", to: "out", area: 0.01 },
  ],
};

/** What the contract fills in, by the place of what it is filled into. */
const filledRating = { ...rating, exponent: 2, density: 1.2, viscosity: 1.81e-5, pressureKind: "total" };
const filledFan = { speed: 1, curve: { pressureKind: "total", density: 1.2, of: "fan", points, controlsPower: 0 } };
const filledDuct = { roughness: 0.00009, equivalent: "circular", parallel: 1, compression: 0, fittings: [] };
const filled = {
  format,
  air: { density: 1.2, viscosity: 1.81e-5 },
  friction: "colebrook",
  nodes: [
    { id: "in", kind: "outdoors", elevation: 0, pressure: 0, coefficient: 1 },
    { id: "out", kind: "outdoors", elevation: 0, pressure: 0 },
    { id: "room", kind: "room", elevation: 0, entry: 0.5 },
    { id: "j", kind: "junction", elevation: 0, inflow: 0 },
    { id: "box", kind: "plenum", elevation: 0, entry: 0.5 },
    {
      id: "rated",
      kind: "terminal",
      elevation: 0,
      service: "supply",
      loss: filledRating,
      open: filledRating,
      entry: 0.5,
    },
    { id: "plain", kind: "terminal", elevation: 0, service: "extract", loss: { coefficient: 3 }, entry: 0.5 },
    { id: "f", kind: "fan", elevation: 0, ...filledFan, stopped: filledRating },
    {
      id: "unit",
      kind: "airHandler",
      elevation: 0,
      supply: { fan: filledFan, components: [] },
      extract: { fan: filledFan, components: [{ name: "filter", ...filledRating }] },
    },
  ],
  ducts: bare.ducts.map((duct) => ({ ...filledDuct, ...duct })),
  openings: [
    { ...bare.openings[0], exponent: 0.5 },
    { ...bare.openings[1], dischargeCoefficient: 0.6 },
  ],
};
const [, b, c, d, e, g] = filled.ducts as Record<string, unknown>[];
b.air = { temperature: 20, relativeHumidity: 0 };
c.fittings = [{ kind: "fixed", coefficient: 1, count: 1 }];
d.fittings = [{ kind: "rating", ...filledRating, count: 1 }];
e.air = { density: 1.1, viscosity: 1.81e-5 };
g.frictionRating = { pressure: 1, length: 1, flow: 0.02, exponent: 2 };

test("keys with a default have it, and no other key appears", () => {
  expect(parseNetwork(bare)).toEqual(filled);
  expect(parseNetwork({ format, nodes: [] })).toEqual({
    format,
    air: { density: 1.2, viscosity: 1.81e-5 },
    friction: "colebrook",
    nodes: [],
    ducts: [],
    openings: [],
  });
});

const root = new URL("../../..", import.meta.url);
const documents: readonly (readonly [string, unknown])[] = [
  ...["tests/networks/independent", "tests/networks/published", "examples/hostel"].flatMap((folder) =>
    readdirSync(new URL(folder, root))
      .filter((file) => file.endsWith(".json"))
      .map((file) => {
        const path = `${folder}/${file}`;
        return [path, JSON.parse(readFileSync(new URL(path, root), "utf8"))] as const;
      }),
  ),
  ["one of everything", bare],
];

describe("a parsed network is itself a document, and parsed again the same", () => {
  test.each(documents)("%s", (_, document) => {
    const network = parseNetwork(document);
    expect(parseNetwork(network)).toBe(network);
    expect(parseNetwork(structuredClone(network))).toEqual(network);
    const text = JSON.stringify(network);
    expect(parseNetwork(JSON.parse(text))).toEqual(network);
  });
});

test("a text is the number that it stands for", () => {
  const texts = {
    format,
    air: { temperature: "68 degF", pressure: "0.95 bar", relativeHumidity: "40 %" },
    nodes: [
      { id: "in", kind: "outdoors", coefficient: 1, pressure: "0.1 inH2O", elevation: "3 ft" },
      {
        id: "t",
        kind: "terminal",
        service: "supply",
        loss: { pressure: "0.05 kPa", flow: "100 m³/h" },
        designFlow: "60 cfm",
      },
    ],
    ducts: [{ id: "d", from: "in", to: "t", length: "40 cm", section: { diameter: "4 in" }, roughness: "0.15 mm" }],
  };
  const numbers = {
    format,
    air: { temperature: 20, pressure: 95_000, relativeHumidity: 0.4 },
    nodes: [
      { id: "in", kind: "outdoors", coefficient: 1, pressure: 24.908891, elevation: 0.9144 },
      {
        id: "t",
        kind: "terminal",
        service: "supply",
        loss: { pressure: 50, flow: 100 / 3600 },
        designFlow: parseQuantity("60 cfm", "flow"),
      },
    ],
    ducts: [{ id: "d", from: "in", to: "t", length: 0.4, section: { diameter: 0.1016 }, roughness: 0.00015 }],
  };
  const close = (value: unknown): unknown =>
    JSON.parse(JSON.stringify(value), (_, held) => (typeof held === "number" ? Number(held.toPrecision(14)) : held));
  expect(close(parseNetwork(texts))).toEqual(close(parseNetwork(numbers)));
});

test("a material gives its roughness and stays beside it, also when it is read again", () => {
  const [duct] = bare.ducts;
  const network = parseNetwork({ ...bare, ducts: [{ ...duct, roughness: "aluminium" }, ...bare.ducts.slice(1)] });
  expect(network.ducts[0]).toMatchObject({ roughness: 0.000046, material: "aluminium" });
  expect(parseNetwork(JSON.parse(JSON.stringify(network))).ducts[0]).toEqual(network.ducts[0]);
  expect(network.ducts[1]).not.toHaveProperty("material");
});

test("labels, titles and what the user attached are kept: meta as it is, never read and never frozen", () => {
  const meta = {
    get secret(): never {
      throw new Error("read");
    },
    own: { list: [1] },
  };
  const [node, ...nodes] = bare.nodes;
  const [duct, ...ducts] = bare.ducts;
  const [opening, ...openings] = bare.openings;
  const tags = { label: "a label", meta };
  const network = parseNetwork({
    ...bare,
    ...tags,
    $schema: "ductgraph/schema.json",
    title: "a title",
    nodes: [{ ...node, ...tags }, ...nodes],
    ducts: [{ ...duct, ...tags }, ...ducts],
    openings: [{ ...opening, ...tags }, ...openings],
  });
  expect([network.$schema, network.title]).toEqual(["ductgraph/schema.json", "a title"]);
  for (const element of [network, network.nodes[0], network.ducts[0], network.openings[0]]) {
    expect(element.label).toBe("a label");
    expect(element.meta).toBe(meta);
  }
  expect(Object.isFrozen(meta) || Object.isFrozen(meta.own) || Object.isFrozen(meta.own.list)).toBe(false);
});

test("a parsed network is frozen all through, and the document is left as it was", () => {
  const document = structuredClone(bare);
  const loose: string[] = [];
  const visit = (value: unknown, path: string): void => {
    if (typeof value !== "object" || value === null) return;
    if (!Object.isFrozen(value)) loose.push(path);
    for (const [key, held] of Object.entries(value)) visit(held, `${path}.${key}`);
  };
  visit(parseNetwork(document), "network");
  expect(loose).toEqual([]);
  expect(document).toEqual(bare);
  expect(Object.isFrozen(document) || Object.isFrozen(document.nodes) || Object.isFrozen(document.nodes[0])).toBe(
    false,
  );
});

test("two documents of the same text give two networks that share nothing", () => {
  const [first, second] = [parseNetwork(bare), parseNetwork(bare)];
  expect(first).toEqual(second);
  expect(first).not.toBe(second);
  expect(first.nodes[0]).not.toBe(second.nodes[0]);
});

// ---- The JSON Schema

describe("the JSON Schema", () => {
  const schema = networkSchema() as Schema;
  const all = [...schemasIn(schema)];

  test("is of 2020-12, knows no other keys anywhere, and is a new object each time", () => {
    expect(schema.$schema).toBe("https://json-schema.org/draft/2020-12/schema");
    const objects = all.filter(({ type }) => type === "object");
    expect(objects.length).toBeGreaterThan(15);
    expect(objects.filter(({ additionalProperties }) => additionalProperties !== false)).toEqual([]);
    expect(networkSchema()).not.toBe(schema);
    expect(JSON.parse(JSON.stringify(schema))).toEqual(schema);
  });

  test("requires what has no default and no other key", () => {
    expect(schema.required).toEqual(["format", "nodes"]);
    const defaults = all.filter((one) => one.default !== undefined).length;
    expect(defaults).toBeGreaterThan(25);
    const objects = all.filter(({ type }) => type === "object") as {
      required?: string[];
      properties: Record<string, Schema>;
    }[];
    for (const { required = [], properties } of objects) {
      for (const key of required) expect(properties[key].default).toBeUndefined();
    }
  });

  test("gives the defaults that parseNetwork fills in", () => {
    const { properties } = schema as { properties: Record<string, Schema & { properties: Record<string, Schema> }> };
    expect(properties.friction.default).toBe(filled.friction);
    const [duct] = [...schemasIn(properties.ducts)].filter(({ type }) => type === "object") as {
      properties: Record<string, Schema>;
    }[];
    for (const [key, value] of Object.entries(filledDuct))
      expect([key, duct.properties[key].default]).toEqual([key, value]);
  });

  test("takes quantities as numbers in range or as texts of the right form", () => {
    const side = (diameter: unknown) => ({ ...bare, ducts: [{ ...bare.ducts[0], section: { diameter } }] });
    for (const value of [0.1, "100 mm", "4in", "−0 m", "1e-1 m"])
      expect([value, fits(side(value), schema)]).toEqual([value, true]);
    for (const value of [0, -1, "", "100", "mm", "1,5 m", null, {}])
      expect([value, fits(side(value), schema)]).toEqual([value, false]);
  });

  test.each(documents)("accepts %s as written and as parsed", (_, document) => {
    expect(fits(document, schema)).toBe(true);
    expect(fits(JSON.parse(JSON.stringify(parseNetwork(document))), schema)).toBe(true);
  });

  const single =
    /^(key\.(missing|unknown)|value\.(wrong|choice|range)|list\.short|quantity\.(syntax|unit-missing)|kind\..*|id\.form|end\.form)$/;
  test.each(documentFaults.filter(({ code }) => single.test(code)))("refuses $code: $meaning", (fault) => {
    expect(fits(documentOf(fault), schema)).toBe(false);
  });
  test.each(documentFaults.filter(({ code, text }) => !single.test(code) && text === undefined))(
    "leaves $code to parseNetwork: it takes more than one value to see",
    (fault) => {
      expect(fits(documentOf(fault), schema)).toBe(true);
    },
  );
});
