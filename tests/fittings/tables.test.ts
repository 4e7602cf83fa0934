import fc from "fast-check";
import { expect, test } from "vitest";
import { curveOf, tableOf } from "../../src/fittings/tables.js";
import { numberWithin } from "../helpers/numbers.js";
import reference from "../references/pchip.json" with { type: "json" };

const value = numberWithin(-10, 10);
const axis = fc
  .array(fc.double({ min: 0.1, max: 5, noNaN: true }), { minLength: 2, maxLength: 6 })
  .map((steps) => steps.map((_, i) => steps.slice(0, i + 1).reduce((a, b) => a + b)));
const grid = fc.tuple(axis, axis).chain(([rows, columns]) =>
  fc.tuple(
    fc.constant(rows),
    fc.constant(columns),
    fc.array(fc.array(value, { minLength: columns.length, maxLength: columns.length }), {
      minLength: rows.length,
      maxLength: rows.length,
    }),
  ),
);

/** Index of the interval of an axis that holds x. */
const intervalOf = (axis: readonly number[], x: number): number =>
  axis.slice(1, -1).filter((inner) => inner <= x).length;

test.each(reference.cases)("a curve is SciPy's between its points and held outside them: $name", (one) => {
  const curve = curveOf(one.knots.map((at, i) => [at, one.values[i]]));
  const last = one.knots.length - 1;
  one.at.forEach((x, i) => {
    if (x < one.knots[0] || x > one.knots[last]) return;
    expect(Math.abs(curve(x) - one.value[i])).toBeLessThanOrEqual(1e-11 * Math.max(...one.values.map(Math.abs)));
  });
  expect(curve(one.knots[0] - 1)).toBe(one.values[0]);
  expect(curve(one.knots[last] + 1)).toBe(one.values[last]);
});

test("a table meets its points and stays between the four around", () => {
  const share = numberWithin(0, 1);
  fc.assert(
    fc.property(grid, share, share, ([rows, columns, values], s, t) => {
      const at = tableOf(rows, columns, values);
      rows.forEach((row, i) => {
        columns.forEach((column, j) => {
          expect(at(row, column) === values[i][j]).toBe(true);
        });
      });
      const row = rows[0] + s * (rows[rows.length - 1] - rows[0]);
      const column = columns[0] + t * (columns[columns.length - 1] - columns[0]);
      const [i, j] = [intervalOf(rows, row), intervalOf(columns, column)];
      const around = [values[i][j], values[i][j + 1], values[i + 1][j], values[i + 1][j + 1]];
      expect(at(row, column)).toBeGreaterThanOrEqual(Math.min(...around) - 1e-9);
      expect(at(row, column)).toBeLessThanOrEqual(Math.max(...around) + 1e-9);
    }),
  );
});

test("a table is held at its edges and corners", () => {
  const at = tableOf(
    [1, 2],
    [10, 20, 30],
    [
      [1, 2, 4],
      [3, 5, 9],
    ],
  );
  expect(at(0, 20)).toBe(2);
  expect(at(9, 20)).toBe(5);
  expect(at(1, 0)).toBe(1);
  expect(at(9, 99)).toBe(9);
  expect(at(Number.NaN, 20)).toBeNaN();
  expect(at(1, Number.NaN)).toBeNaN();
});

test("a table whose rows are one curve is that curve, and one of products keeps it across", () => {
  const knots = [0, 1, 3, 7];
  const values = [2, 5, 6, 6];
  const curve = curveOf(knots.map((at, i) => [at, values[i]]));
  const same = tableOf([0, 1, 2], knots, [values, values, values]);
  const across = tableOf(
    knots,
    [0, 1],
    values.map((one) => [one, 2 * one]),
  );
  for (const x of [-1, 0.3, 2, 6.5, 8]) {
    expect(same(1.3, x)).toBeCloseTo(curve(x), 12);
    expect(across(x, 0.5)).toBeCloseTo(1.5 * curve(x), 12);
  }
});
