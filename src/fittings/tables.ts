import { pchip, valueAt } from "../numerics/interpolation.js";

/**
 * A curve of a handbook between its points, held at its first and last value outside them; between two points it stays within
 * their values.
 *
 * @param points - Argument, strictly rising, and value; two or more.
 */
export const curveOf = (points: readonly (readonly [at: number, value: number])[]): ((x: number) => number) => {
  const curve = pchip(
    points.map(([at]) => at),
    points.map(([, value]) => value),
    0,
    0,
  );
  return (x) => valueAt(curve, x);
};

/**
 * A table of two arguments between its points, held at its edges: along each row first, then across the rows, so
 * that it stays within the values of the four points around.
 *
 * @param rows - Arguments of the rows, strictly rising; two or more.
 * @param columns - Arguments of the columns, strictly rising; two or more.
 * @param values - One list a row, with a value a column.
 */
export const tableOf = (
  rows: readonly number[],
  columns: readonly number[],
  values: readonly (readonly number[])[],
): ((row: number, column: number) => number) => {
  const along = values.map((row) => pchip(columns, row, 0, 0));
  return (row, column) =>
    valueAt(
      pchip(
        rows,
        along.map((curve) => valueAt(curve, column)),
        0,
        0,
      ),
      row,
    );
};
