import fc from "fast-check";
import { expect, test } from "vitest";
import { solveDense } from "../../src/numerics/dense.js";
import { numberWithin } from "../helpers/numbers.js";

const entry = numberWithin(-10, 10);

test("a few equations are met by their solution, whatever the order of their rows", () => {
  fc.assert(
    fc.property(
      fc
        .integer({ min: 1, max: 5 })
        .chain((size) =>
          fc.tuple(
            fc.array(fc.array(entry, { minLength: size, maxLength: size }), { minLength: size, maxLength: size }),
            fc.array(entry, { minLength: size, maxLength: size }),
          ),
        ),
      ([rows, right]) => {
        // Dominant diagonals, in turned rows, so that pivots must be looked for.
        const dominant = rows.map((row, i) =>
          row.map((value, j) => (i === j ? value + 60 * (value < 0 ? -1 : 1) : value)),
        );
        const turned = [...dominant.slice(1), dominant[0]];
        const found = Float64Array.from(right);
        expect(solveDense(Float64Array.from(turned.flat()), found)).toBe(true);
        turned.forEach((row, i) => {
          expect(row.reduce((sum, value, j) => sum + value * found[j], 0)).toBeCloseTo(right[i], 10);
        });
      },
    ),
  );
});

test("equations that do not tell their unknowns apart have no solution", () => {
  expect(solveDense(Float64Array.of(1, 2, 2, 4), Float64Array.of(1, 2))).toBe(false);
  expect(solveDense(Float64Array.of(0), Float64Array.of(1))).toBe(false);
  expect(solveDense(new Float64Array(0), new Float64Array(0))).toBe(true);
});
