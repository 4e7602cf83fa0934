import { describe, expect, test } from "vitest";
import { catalogue, fittingOf, fittings } from "../../src/fittings/catalogue.js";
import type { ChoiceParameter, NumberParameter, TableParameter } from "../../src/fittings/fitting.js";
import * as entry from "../../src/fittings/index.js";

const entries = catalogue();
const families = ["bends", "transitions", "ends", "dampers", "equipment"];
const exported: Readonly<Record<string, unknown>> = entry;

test("every kind stands in the catalogue once, a plain word, and family by family", () => {
  const kinds = entries.map(({ kind }) => kind);
  expect(new Set(kinds).size).toBe(kinds.length);
  for (const kind of kinds) expect(kind).toMatch(/^[a-z][A-Za-z]*$/);
  const order = entries.map(({ family }) => families.indexOf(family));
  expect(order).toEqual([...order].sort((a, b) => a - b));
});

test("every fitting of the catalogue is exported by its kind, and every fitting exported stands in the catalogue", () => {
  for (const fitting of fittings) expect(exported[fitting.kind], fitting.kind).toBe(fitting);
  const objects = Object.values(exported).filter((one) => typeof one === "object" && one !== null && "kind" in one);
  expect(new Set(objects)).toEqual(new Set(fittings));
});

test("the catalogue is data: it holds all of each fitting but its functions", () => {
  entries.forEach((one, index) => {
    const { faults, laws, rating, ...data } = fittings[index] as unknown as Record<string, unknown>;
    expect(one).toEqual(data);
  });
});

test("changing what one call returned changes nothing for the next", () => {
  (catalogue()[0] as { kind: string }).kind = "changed";
  expect(catalogue()).toEqual(entries);
  expect(fittings[0].kind).toBe(entries[0].kind);
});

describe.each(entries)("$kind", ({ meaning, sources, spread, parameters, reynolds, shapes, reference, family }) => {
  test("says what it is in a sentence, where its values come from and how far they can be trusted", () => {
    expect(meaning).toMatch(/^[A-Z].*\.$/);
    expect(sources.length).toBeGreaterThan(0);
    for (const { author, title, status } of sources) {
      expect(author).not.toBe("");
      expect(title).not.toBe("");
      expect(["read", "library", "computed", "memory"]).toContain(status);
    }
    expect(spread.family).not.toBe("");
    expect(spread.shared).toBeGreaterThanOrEqual(0);
    expect(spread.own).toBeGreaterThanOrEqual(0);
    expect(spread.shared + spread.own).toBeGreaterThan(0);
  });

  test("has a section and a reference, unless it is equipment", () => {
    if (family === "equipment") return;
    expect(shapes?.length).toBeGreaterThan(0);
    expect(reference).toBeTruthy();
    if (reynolds !== undefined) expect(reynolds.min ?? 0).toBeLessThan(reynolds.max ?? Number.POSITIVE_INFINITY);
  });

  const numbers = (held: NumberParameter | ChoiceParameter | TableParameter): NumberParameter[] => {
    if ("columns" in held) return Object.values(held.columns);
    return "choices" in held ? [] : [held];
  };

  test("describes each parameter: a meaning, a range that holds what is covered and the preset", () => {
    for (const held of Object.values(parameters)) {
      expect(held.meaning).toMatch(/^[A-Z].*\.$/);
      if ("choices" in held) expect(held.choices).toContain(held.preset);
      for (const { range, covered, preset } of numbers(held)) {
        const low = range.min ?? range.above ?? Number.NEGATIVE_INFINITY;
        const high = range.max ?? Number.POSITIVE_INFINITY;
        expect(low).toBeLessThan(high);
        if (covered !== undefined) {
          expect(covered.min ?? covered.above ?? low).toBeGreaterThanOrEqual(low);
          expect(covered.max ?? high).toBeLessThanOrEqual(high);
        }
        if (preset !== undefined) {
          expect(preset).toBeGreaterThanOrEqual(low);
          expect(preset).toBeLessThanOrEqual(high);
        }
      }
    }
  });
});

test("a kind is found by its name; a wrong one names the nearest", () => {
  for (const fitting of fittings) expect(fittingOf(fitting.kind)).toBe(fitting);
  expect(() => fittingOf("singleBladeDampr")).toThrow(
    expect.objectContaining({
      problems: [
        expect.objectContaining({
          code: "unknown-fitting",
          path: "kind",
          found: "singleBladeDampr",
          nearest: "singleBladeDamper",
        }),
      ],
    }),
  );
  expect(() => fittingOf("constructor")).toThrow(expect.objectContaining({ name: "InputError" }));
});
