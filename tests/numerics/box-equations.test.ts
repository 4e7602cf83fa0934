import fc from "fast-check";
import { expect, test } from "vitest";
import { solveInBox } from "../../src/numerics/box-equations.js";

/** Numbers of six places: nothing so small that its square is none. */
const number = (min: number, max: number): fc.Arbitrary<number> =>
  fc.integer({ min: 1e6 * min, max: 1e6 * max }).map((millionths) => millionths / 1e6);
const entry = number(-1, 1);

/** Equations whose diagonal outweighs its row, by a little or by much, so that all principal minors are positive. */
const systems = fc.integer({ min: 1, max: 24 }).chain((size) =>
  fc.record({
    rows: fc.array(fc.array(entry, { minLength: size, maxLength: size }), { minLength: size, maxLength: size }),
    more: number(0.01, 3),
    right: fc.array(number(-5, 5), { minLength: size, maxLength: size }),
    low: fc.array(number(-2, 0), { minLength: size, maxLength: size }),
    stand: fc.array(fc.integer({ min: -1, max: 1 }), { minLength: size, maxLength: size }),
    width: fc.array(number(0.01, 3), { minLength: size, maxLength: size }),
  }),
);

test("each unknown obeys its equation, or stands at the limit beyond which it would have to go", () => {
  fc.assert(
    fc.property(systems, ({ rows, more, right, low, width, stand }) => {
      const size = right.length;
      const high = low.map((value, i) => value + width[i]);
      const matrix = rows.map((row, i) => {
        const others = row.reduce((sum, value, k) => sum + (k === i ? 0 : Math.abs(value)), 0);
        return row.map((value, k) => (k === i ? others + more : value));
      });
      const x = solveInBox(Float64Array.from(matrix.flat()), right, low, high, Int8Array.from(stand)) as Float64Array;
      for (let i = 0; i < size; i++) {
        const excess = matrix[i].reduce((sum, value, k) => sum + value * x[k], -right[i]);
        expect(x[i]).toBeGreaterThanOrEqual(low[i] - 1e-12);
        expect(x[i]).toBeLessThanOrEqual(high[i] + 1e-12);
        if (excess > 1e-9) expect(x[i]).toBeCloseTo(low[i], 12);
        else if (excess < -1e-9) expect(x[i]).toBeCloseTo(high[i], 12);
      }
    }),
    { numRuns: 500 },
  );
});

test("one that another had drawn beyond its limit comes back when that one is held", () => {
  // x − 0.9·y = 0 and y − 0.9·x = 10: without limits both run to 50 and more.
  const x = solveInBox(Float64Array.of(1, -0.9, -0.9, 1), [0, 10], [0, 0], [9.5, 10], new Int8Array(2));
  expect([...(x as Float64Array)]).toEqual([9, 10]);
});

test("equations that do not tell their unknowns apart have no solution", () => {
  expect(solveInBox(Float64Array.of(1, 1, 1, 1), [1, 1], [-5, -5], [5, 5], new Int8Array(2))).toBeUndefined();
  expect(solveInBox(new Float64Array(0), [], [], [], new Int8Array(0))).toEqual(new Float64Array(0));
});
