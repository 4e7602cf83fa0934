import fc from "fast-check";
import { expect, test } from "vitest";
import { nearestName, unknownName } from "../../src/core/nearest.js";

const known = ["galvanised steel, spiral", "galvanised steel, rectangular", "aluminium", "diameter", "width", "id"];

test.each([
  ["galvanized steel, spiral", "galvanised steel, spiral"],
  ["Galvanised Steel, Rectangular", "galvanised steel, rectangular"],
  ["aluminum", "aluminium"],
  ["diametre", "diameter"],
  ["widht", "width"],
])("%s is near %s", (name, nearest) => {
  expect(nearestName(name, known)).toBe(nearest);
});

test.each(["", "x", "on", "velvet", "steel"])("nothing is near %j", (name) => {
  expect(nearestName(name, known)).toBeUndefined();
});

test("a known name is its own nearest", () => {
  fc.assert(fc.property(fc.constantFrom(...known), (name) => nearestName(name, known) === name));
});

test("one wrong letter in a name of six or more is always found", () => {
  fc.assert(
    fc.property(fc.string({ minLength: 6, maxLength: 60, unit: "grapheme-ascii" }), fc.nat(59), (name, at) => {
      const i = at % name.length;
      expect(nearestName(`${name.slice(0, i)}#${name.slice(i + 1)}`, [name])).toBe(name);
    }),
  );
});

test("names of more than 64 characters get no suggestion", () => {
  const long = "a".repeat(64);
  expect(nearestName(long, [long])).toBe(long);
  expect(nearestName(`${long}a`, [`${long}a`])).toBeUndefined();
  expect(nearestName("a".repeat(10_000_000), known)).toBeUndefined();
});

test("the error for an unknown name carries the nearest as data, and shortens what it quotes", () => {
  expect(unknownName("material", "roughness", "aluminum", known).problems).toEqual([
    {
      code: "unknown-material",
      path: "roughness",
      message: `roughness: expected one of ${known.join(", ")}, got 'aluminum'; did you mean 'aluminium'?`,
      expected: `one of ${known.join(", ")}`,
      found: "aluminum",
      nearest: "aluminium",
    },
  ]);
  const [problem] = unknownName("node", "from", "n".repeat(1000), Array(9).fill("m")).problems;
  expect(problem.found).toBe(`${"n".repeat(40)}…`);
  expect(problem.expected).toBe("a known node");
  expect("nearest" in problem).toBe(false);
});
