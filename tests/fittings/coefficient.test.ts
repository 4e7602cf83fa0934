import { describe, expect, test } from "vitest";
import type { InputError, Problem } from "../../src/core/errors.js";
import type { Section } from "../../src/ducts/geometry.js";
import { coefficientOf, type FittingState } from "../../src/fittings/coefficient.js";
import { irisDamper, multiBladeDamper, singleBladeDamper } from "../../src/fittings/dampers.js";
import type { Fitting } from "../../src/fittings/fitting.js";
import { reynoldsFactor } from "../../src/fittings/reynolds.js";

/** A change of section that exists for these tests only. */
const step: Fitting<{ readonly share: number; readonly edge?: number }> = {
  kind: "step",
  family: "transitions",
  place: "transition",
  meaning: "A step.",
  parameters: {
    share: { quantity: "fraction", meaning: "A share.", range: { min: 0, max: 1 }, preset: 0.5 },
    edge: { quantity: "length", meaning: "An edge.", range: { min: 0 }, optional: true },
  },
  shapes: ["round"],
  reference: "velocity pressure in the smaller section",
  sources: [],
  reynolds: { min: 1e3, max: 1e6 },
  spread: { family: "steps", shared: 0.1, own: 0.1 },
  faults: (_, section, other) =>
    (section as { diameter: number }).diameter === (other as { diameter: number }).diameter
      ? [{ key: "", expected: "two sections that differ", found: "the same twice" }]
      : [],
  laws: ({ share, edge }) => ({
    forward: {
      coefficient: share,
      factor: reynoldsFactor([
        [1e4, 2],
        [1e5, 1],
      ]),
    },
    backward: { coefficient: 2 * share },
    model: edge === undefined ? "sharp" : "edged",
    outside: [],
  }),
};

const small: Section = { diameter: 0.1 };
const large: Section = { diameter: 0.2 };
const both: FittingState = { section: large, other: small };

const problemsOf = (call: () => unknown): readonly Problem[] => {
  try {
    call();
  } catch (error) {
    return (error as InputError).problems;
  }
  return [];
};
const codes = (call: () => unknown): string[] => problemsOf(call).map(({ code, path }) => `${code} ${path}`);
const any = (value: unknown): object => value as object;

describe("faults of arguments", () => {
  const rows = (...table: unknown[]) =>
    codes(() => coefficientOf(irisDamper, any({ setting: 1, table }), { section: small }));
  const good = { setting: 1, coefficient: 2 };

  test.each<[string, () => unknown, string[]]>([
    [
      "a value out of its range",
      () => coefficientOf(singleBladeDamper, { angle: 9 }, { section: small }),
      ["out-of-range angle"],
    ],
    ["NaN", () => coefficientOf(singleBladeDamper, { angle: Number.NaN }, { section: small }), ["out-of-range angle"]],
    [
      "a text",
      () => coefficientOf(singleBladeDamper, any({ angle: "30 deg" }), { section: small }),
      ["out-of-range angle"],
    ],
    ["null", () => coefficientOf(singleBladeDamper, any({ angle: [] }), { section: small }), ["out-of-range angle"]],
    [
      "nothing where there is no preset",
      () => coefficientOf(singleBladeDamper, {}, { section: small }),
      ["key.missing angle"],
    ],
    [
      "a misspelt key",
      () => coefficientOf(singleBladeDamper, any({ angel: 1 }), { section: small }),
      ["unknown-key angel", "key.missing angle"],
    ],
    [
      "no object",
      () => coefficientOf(singleBladeDamper, any(undefined), { section: small }),
      ["not-an-object parameters"],
    ],
    [
      "an unknown choice",
      () =>
        coefficientOf(multiBladeDamper, any({ angle: 0, blades: "opposite" }), { section: { width: 1, height: 1 } }),
      ["unknown-choice blades"],
    ],
    [
      "a wrong section",
      () => coefficientOf(singleBladeDamper, { angle: 0 }, { section: { diameter: -1 } }),
      ["out-of-range diameter"],
    ],
    [
      "a wrong other section",
      () => coefficientOf(step, {}, { section: small, other: { diameter: 0 } }),
      ["out-of-range diameter"],
    ],
    ["a negative Reynolds number", () => coefficientOf(step, {}, { ...both, reynolds: -1 }), ["out-of-range reynolds"]],
    [
      "a Reynolds number that is NaN",
      () => coefficientOf(step, {}, { ...both, reynolds: Number.NaN }),
      ["out-of-range reynolds"],
    ],
    [
      "a section without a model",
      () =>
        coefficientOf(
          step,
          {},
          { section: { width: 1, height: 1 }, other: { shape: "flatOval", width: 2, height: 1 } },
        ),
      ["fitting.shape section", "fitting.shape other"],
    ],
    ["a transition with one section", () => coefficientOf(step, {}, { section: small }), ["key.missing other"]],
    [
      "a geometry that cannot be",
      () => coefficientOf(step, {}, { section: small, other: small }),
      ["fitting.geometry section"],
    ],
    [
      "a state that is none",
      () => coefficientOf(step, {}, undefined as unknown as FittingState),
      ["not-an-object state"],
    ],
    [
      "a misspelt key of the state",
      () => coefficientOf(step, {}, { ...both, reynold: 1e5 } as FittingState),
      ["unknown-key reynold"],
    ],
    [
      "several at once, all of them",
      () => coefficientOf(step, { share: 2, edge: -1 }, { section: small }),
      ["out-of-range share", "out-of-range edge", "key.missing other"],
    ],
  ])("%s", (_, call, expected) => expect(codes(call)).toEqual(expected));

  test.each<[string, string[], string[]]>([
    [
      "no list",
      codes(() => coefficientOf(irisDamper, any({ setting: 1, table: 3 }), { section: small })),
      ["table.short table"],
    ],
    ["no table", codes(() => coefficientOf(irisDamper, { setting: 1 }, { section: small })), ["table.short table"]],
    ["one row", rows(good), ["table.short table"]],
    ["the same setting twice", rows(good, good), ["table.not-rising table.1.setting"]],
    ["a falling setting", rows(good, { setting: 0, coefficient: 2 }), ["table.not-rising table.1.setting"]],
    ["a coefficient of 0", rows(good, { setting: 2, coefficient: 0 }), ["out-of-range table.1.coefficient"]],
    ["a row that lacks a column", rows(good, { setting: 2 }), ["key.missing table.1.coefficient"]],
    ["NaN in the first column", rows(good, { setting: Number.NaN, coefficient: 1 }), ["out-of-range table.1.setting"]],
  ])("of a table: %s", (_, found, expected) => expect(found).toEqual(expected));

  test("a message says what was expected and what was got, and names the nearest", () => {
    expect(problemsOf(() => coefficientOf(singleBladeDamper, any({ angel: 1 }), { section: small }))[0]).toMatchObject({
      nearest: "angle",
    });
    expect(problemsOf(() => coefficientOf(step, { share: 2 }, both))[0].message).toBe("share: expected 0 to 1, got 2");
  });
});

describe("what is returned", () => {
  test("a preset stands for what is left out, and an optional parameter may be absent", () => {
    expect(coefficientOf(step, {}, both)).toMatchObject({ coefficient: 0.5, model: "sharp" });
    expect(coefficientOf(step, { edge: 0 }, both)).toMatchObject({ model: "edged" });
  });

  test("the area is that of the smaller section, whichever port it is at", () => {
    const area = (Math.PI / 4) * 0.01;
    expect(coefficientOf(step, {}, both).area).toBeCloseTo(area, 12);
    expect(coefficientOf(step, {}, { section: small, other: large }).area).toBeCloseTo(area, 12);
  });

  test("the law is that of the direction", () => {
    expect(coefficientOf(step, {}, { ...both, backward: true }).coefficient).toBe(1);
  });

  test.each([
    [0, 1],
    [1e3, 1],
    [1e4, 1],
    [1e5, 0.5],
    [1e7, 0.5],
  ])("at Re %f the factor takes part, held at its edges: %f", (reynolds, coefficient) => {
    expect(coefficientOf(step, {}, { ...both, reynolds }).coefficient).toBeCloseTo(coefficient, 12);
  });

  test("without a Reynolds number the coefficient is that at high ones", () => {
    expect(coefficientOf(step, {}, both).coefficient).toBe(0.5);
  });

  test("a Reynolds number outside the source's is flagged, one inside is not", () => {
    expect(coefficientOf(step, {}, { ...both, reynolds: 2e6 }).outside).toEqual([
      { what: "Reynolds number", value: 2e6, range: { min: 1e3, max: 1e6 } },
    ]);
    expect(coefficientOf(step, {}, { ...both, reynolds: 2e5 }).withinRange).toBe(true);
  });
});
