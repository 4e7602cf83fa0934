import { expect, test } from "vitest";
import { roughnessMaterials, roughnessOf } from "../../src/ducts/roughness.js";
import table from "../references/duct-roughness.json" with { type: "json" };

const rows = table.rows as [string, number, number, number, string, string][];

test.each(rows)("%s: %f to %f mm, calculated with %f mm (%s: %s)", (name, low, high, value, status) => {
  const material = roughnessMaterials.find((candidate) => candidate.name === name)!;
  expect(material.low).toBeCloseTo(low / 1000, 10);
  expect(material.high).toBeCloseTo(high / 1000, 10);
  expect(material.roughness).toBeCloseTo(value / 1000, 10);
  expect(material.source.status).toBe(status);
  expect(roughnessOf(name)).toBe(material.roughness);
});

test("every material stands in the table of references, once, and its value lies in its published range", () => {
  expect(roughnessMaterials.map(({ name }) => name).sort()).toEqual(rows.map(([name]) => name).sort());
  for (const { roughness, low, high } of roughnessMaterials) {
    expect(low).toBeGreaterThan(0);
    expect(roughness).toBeGreaterThanOrEqual(low);
    expect(roughness).toBeLessThanOrEqual(high);
  }
});

test("spiral galvanised steel is 0.09 mm to the last bit", () => {
  expect(roughnessOf("galvanised steel, spiral")).toBe(0.00009);
});

test("a name is never taken for a quantity: none begins with a digit, sign or point", () => {
  for (const { name } of roughnessMaterials) expect(name).toMatch(/^[a-z]/);
});

test("the list cannot be changed", () => {
  expect(Object.isFrozen(roughnessMaterials)).toBe(true);
  for (const material of roughnessMaterials) {
    expect(Object.isFrozen(material)).toBe(true);
    expect(Object.isFrozen(material.source)).toBe(true);
  }
});

test.each([
  ["galvanized steel, spiral", "galvanised steel, spiral"],
  ["Galvanised steel, rectangular", "galvanised steel, rectangular"],
  ["aluminum", "aluminium"],
  ["velvet", undefined],
  ["", undefined],
  ["constructor", undefined],
])("%j is no material; the nearest is %s", (name, nearest) => {
  const problem = { code: "unknown-material", path: "material", found: name, ...(nearest && { nearest }) };
  expect(() => roughnessOf(name)).toThrow(
    expect.objectContaining({ name: "InputError", problems: [expect.objectContaining(problem)] }),
  );
});
