import type { CubicCurve } from "../numerics/interpolation.js";

/** Positions nearer to one another than this, over the whole range, count as one: slopes between them are rounding. */
const apart = 1e-8;

/** Both ends, and between them the positions of a list that stand apart from one another and from the ends. */
export const knotsBetween = (from: number, to: number, positions: readonly number[]): number[] => {
  const gap = apart * (to - from);
  const knots = [from];
  for (const position of [...positions].sort((a, b) => a - b)) {
    if (position - knots[knots.length - 1] > gap && to - position > gap) knots.push(position);
  }
  return [...knots, to];
};

/** From which to before which of rising positions stand apart from two ends, all that lie between them. */
export const standApart = (from: number, to: number, positions: readonly number[]): [start: number, stop: number] => {
  const gap = apart * (to - from);
  let start = 0;
  let stop = positions.length;
  while (start < stop && positions[start] - from <= gap) start++;
  while (stop > start && to - positions[stop - 1] <= gap) stop--;
  return [start, stop];
};

/** The curve of cubics that has a law's values and slopes at given positions; level ends where `held`. */
export const cubicsThrough = (
  knots: readonly number[],
  law: (at: number) => readonly [value: number, slope: number],
  ends: (slopes: Float64Array) => readonly [left: number, right: number] = (slopes) => [
    slopes[0],
    slopes[slopes.length - 1],
  ],
): CubicCurve => {
  const values = new Float64Array(knots.length);
  const slopes = new Float64Array(knots.length);
  knots.forEach((knot, i) => {
    [values[i], slopes[i]] = law(knot);
  });
  const [left, right] = ends(slopes);
  return { knots: Float64Array.from(knots), values, slopes, left, right };
};

/** How a pressure goes on beyond its ends: to the left never falling towards reversed flow. */
export const pressureEnds = (slopes: Float64Array): readonly [number, number] => [
  Math.min(slopes[0], 0),
  slopes[slopes.length - 1],
];
