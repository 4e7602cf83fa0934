import { readFileSync } from "node:fs";
import { expect, test } from "vitest";
import { withKeys } from "../../scripts/write-format-doc.mjs";
import { parseQuantity, type Quantity } from "../../src/input/quantities.js";
import { checkNetwork, networkSchema, parseNetwork } from "../../src/network/document/document.js";
import { summarise } from "../../src/network/queries/summary.js";
import { solveNetwork } from "../../src/network/solve/solve.js";

const page = readFileSync(new URL("../../docs/format.md", import.meta.url), "utf8");
const block = (language: string): string => new RegExp(`^\`\`\`${language}\n([^]*?)^\`\`\``, "m").exec(page)?.[1] ?? "";

test("the tables of docs/format.md are those of the schema (else: npm run docs:format)", () => {
  expect(withKeys(page, networkSchema())).toBe(page);
});

test("every key but the user's own `meta` says what it takes", () => {
  const unsaid = [...page.matchAll(/^\| `([^`]+)` \| any JSON /gm)].map(([, key]) => key);
  expect(new Set(unsaid)).toEqual(new Set(["meta"]));
  for (const key of ["ratedOutput", "points", "points.0.load", "points.0.efficiency"]) {
    expect(page.slice(page.indexOf("### efficiency"))).toContain(`\n| \`${key}\` | `);
  }
});

interface Schema {
  readonly [key: string]: unknown;
}

/** Every schema of a key, with the path to it. */
function* keys(schema: unknown, path: string): Generator<[string, Schema]> {
  if (typeof schema !== "object" || schema === null) return;
  const { properties = {}, ...rest } = schema as { properties?: Record<string, Schema> };
  for (const [key, held] of Object.entries(properties)) yield [`${path}.${key}`, held];
  for (const [key, held] of Object.entries({ ...rest, ...properties })) yield* keys(held, `${path}.${key}`);
}

test("every number in the schema names its unit, as a plain number or as a quantity", () => {
  const numeric = [...keys(networkSchema(), "")].filter(([, { type, anyOf = [] }]) =>
    ["number", "integer"].some((one) => type === one || JSON.stringify(anyOf).includes(`"type":"${one}"`)),
  );
  expect(numeric.length).toBeGreaterThan(40);
  expect(numeric.filter(([, { title, anyOf }]) => !/\[.+\]/.test(`${title} ${JSON.stringify(anyOf)}`))).toEqual([]);
});

test("the example of every quantity lies inside its limits, so that messages give one that is right", () => {
  const shown = [...keys(networkSchema(), "")].filter(([, { examples }]) => examples !== undefined);
  expect(shown.length).toBeGreaterThan(40);
  for (const [path, { title, examples, anyOf }] of shown) {
    const name = String(title).replace(/ \[.*/, "") as Quantity;
    const [{ minimum = -1e99, maximum = 1e99, exclusiveMinimum = -1e99 }] = anyOf as Record<string, number>[];
    for (const example of examples as string[]) {
      const value = parseQuantity(example, name);
      expect(value >= minimum && value <= maximum && value > exclusiveMinimum, `${path}: ${example}`).toBe(true);
    }
  }
});

test("the example of docs/format.md is valid, solves without a warning and gives the numbers beside it", () => {
  const solution = solveNetwork(parseNetwork(JSON.parse(block("json"))));
  const lines = block("text").trim().split("\n");
  const rows = summarise(solution).map(({ path, text }) => `${path}: ${text}`);
  expect(solution.warnings).toEqual([]);
  expect(rows.slice(0, lines.length)).toEqual(lines);
});

const quantities: Readonly<Record<string, Quantity>> = {
  m: "length",
  "m²": "area",
  "m³/s": "flow",
  Pa: "pressure",
  Pa·s: "viscosity",
  "°C": "temperature",
  rad: "angle",
  "": "fraction",
};
const examples = [
  ...page.matchAll(/\| ((?:`[^`|]+`(?:, )?)+) \| ([\d.e-]+) ?(m|m²|m³\/s|Pa|Pa·s|°C|rad|) (?=\|)/g),
].flatMap(([, texts, value, unit]) => texts.split(", ").map((one) => [one.slice(1, -1), Number(value), unit] as const));

test("docs/format.md shows how quantities are read", () => expect(examples).toHaveLength(15));
test.each(examples)("%s reads as %f %s", (text, value, unit) => {
  expect(parseQuantity(text, quantities[unit])).toBe(value);
});

test("in the closed circuit of docs/format.md pressures contain the water's height, and none flows to the vessel", () => {
  const [, circuit] = [...page.matchAll(/^```json\n([\s\S]*?)^```/gm)].map(([, text]) => JSON.parse(text));
  const { ducts, nodes } = solveNetwork(circuit);
  const { nodes: level } = solveNetwork({ ...circuit, outdoorAir: circuit.air });
  // Hydrostatics: 6 m of water, whose weight the level of the same density hides.
  expect((level.top.totalPressure ?? 0) - (nodes.top.totalPressure ?? 0)).toBeCloseTo(998.2 * 9.80665 * 6, 0);
  expect(Math.abs(ducts.level.massFlow)).toBeLessThan(1e-9);
  expect(ducts.up.flow).toBeGreaterThan(5e-4);
  const { nodes: places, ducts: pipes, ...rest } = circuit;
  const open = {
    ...rest,
    nodes: places.filter(({ id }: { id: string }) => id !== "vessel"),
    ducts: pipes.filter(({ id }: { id: string }) => id !== "level"),
  };
  expect(checkNetwork(open).problems.map(({ code }) => code)).toEqual(["network.no-reference"]);
});
