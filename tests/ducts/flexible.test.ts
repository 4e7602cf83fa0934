import fc from "fast-check";
import { expect, test } from "vitest";
import { compressionCovered, compressionFactor } from "../../src/ducts/flexible.js";
import { numberWithin } from "../helpers/numbers.js";

/**
 * Rows by diameter, columns by compression in per cent: the formula of ASHRAE Fundamentals 2009 (memory), evaluated
 * apart from this library (computed).
 */
const percents = [4, 10, 15, 30];
const table: readonly (readonly [millimetres: number, ...factors: number[]])[] = [
  [100, 2.413, 4.532, 6.298, 11.596],
  [125, 2.248, 4.12, 5.68, 10.36],
  [150, 2.102, 3.756, 5.134, 9.269],
  [200, 1.86, 3.151, 4.226, 7.453],
  [250, 1.671, 2.678, 3.518, 6.035],
];

test.each(table)("a duct of %f mm loses more by the factors of the table", (millimetres, ...factors) => {
  factors.forEach((factor, index) => {
    expect(compressionFactor(percents[index] / 100, millimetres / 1000)).toBeCloseTo(factor, 3);
  });
});

test("the same formula in inches, exp(−0.126 D) (memory), gives the same within 1.5 %", () => {
  for (const inches of [6, 8, 10]) {
    const inInches = 1 + 0.58 * 15 * Math.exp(-0.126 * inches);
    expect(Math.abs(compressionFactor(0.15, inches * 0.0254) / inInches - 1)).toBeLessThan(0.015);
  }
});

test("moderate compression costs about 4 times, more of it close to 10 (Abushakra and others 2004, abstract, read)", () => {
  const tested = [0.15, 0.2, 0.25];
  const mean = (compression: number): number =>
    tested.reduce((sum, diameter) => sum + compressionFactor(compression, diameter), 0) / tested.length;
  expect(mean(0.15)).toBeGreaterThan(3.5);
  expect(mean(0.15)).toBeLessThan(5);
  expect(compressionFactor(0.3, 0.15)).toBeGreaterThan(8);
  expect(compressionFactor(0.3, 0.15)).toBeLessThan(11);
});

test("the worst duct tested, 150 mm at 45 %, loses over 10 times (Weaver and Culp, abstract, read)", () => {
  expect(compressionFactor(0.45, 0.15)).toBeGreaterThan(10);
  expect(compressionFactor(0.45, 0.15)).toBeLessThan(20);
});

test("12 to 16 inch ducts above 4 %: over four times is reached (Cantrill 2013, read), at a compression below 45 %", () => {
  for (const inches of [12, 14, 16]) expect(compressionFactor(0.45, inches * 0.0254)).toBeGreaterThan(4);
});

const compressions = numberWithin(0, 0.45);
const diameters = fc.double({ min: 0.05, max: 1, noNaN: true });

test("a duct pulled out to its full length has the factor 1", () => {
  fc.assert(fc.property(diameters, (diameter) => compressionFactor(0, diameter) === 1));
});

test("more compression never loses less, a larger diameter never more", () => {
  fc.assert(
    fc.property(compressions, compressions, diameters, diameters, (c1, c2, d1, d2) => {
      const [less, more] = [Math.min(c1, c2), Math.max(c1, c2)];
      const [small, large] = [Math.min(d1, d2), Math.max(d1, d2)];
      expect(compressionFactor(less, small)).toBeLessThanOrEqual(compressionFactor(more, small));
      expect(compressionFactor(more, large)).toBeLessThanOrEqual(compressionFactor(more, small));
      expect(compressionFactor(less, large)).toBeGreaterThanOrEqual(1);
    }),
  );
});

test.each([
  ["compression", -0.01, 0.2],
  ["compression", 0.46, 0.2],
  ["compression", 15, 0.2],
  ["compression", Number.NaN, 0.2],
  ["diameter", 0.15, 0],
  ["diameter", 0.15, -0.2],
  ["diameter", 0.15, Number.NaN],
  ["diameter", 0.15, Number.POSITIVE_INFINITY],
])("a wrong %s is refused: %f, %f m", (path, compression, diameter) => {
  expect(() => compressionFactor(compression, diameter)).toThrow(
    expect.objectContaining({
      name: "InputError",
      problems: [expect.objectContaining({ code: "out-of-range", path })],
    }),
  );
});

test("what the tests cover of which abstracts were read: 0 to 45 % and 150 to 250 mm", () => {
  expect(compressionCovered).toEqual({ compression: { min: 0, max: 0.45 }, diameter: { min: 0.15, max: 0.25 } });
});
