/**
 * A curve through points, made of one cubic between each pair of neighbours (Hermite form: value and slope at both
 * ends), that goes on as a straight line at either side. Value and, inside the points, slope are continuous.
 */
export interface CubicCurve {
  /** Positions of the points, strictly rising. */
  readonly knots: Float64Array;
  /** Values at the points. */
  readonly values: Float64Array;
  /** Slopes at the points. */
  readonly slopes: Float64Array;
  /** Slope of the line left of the first point [unit of the values per unit of the positions] */
  readonly left: number;
  /** Slope of the line right of the last point [unit of the values per unit of the positions] */
  readonly right: number;
}

/** One cubic of a curve, by its derivatives at its left end. */
export interface CubicPiece {
  /** First derivative at the left end. */
  readonly first: number;
  /** Second derivative at the left end. */
  readonly second: number;
  /** Third derivative, the same all along. */
  readonly third: number;
}

/**
 * Slope of a shape-preserving curve at its end: the slope of the parabola through three points, or 0 where it would run
 * against the first secant, or three times that secant where it would overshoot a turn.
 */
const endSlope = (step: number, nextStep: number, secant: number, nextSecant: number): number => {
  const slope = ((2 * step + nextStep) * secant - step * nextSecant) / (step + nextStep);
  if (Math.sign(slope) !== Math.sign(secant)) return 0;
  const turns = Math.sign(secant) !== Math.sign(nextSecant);
  return turns && Math.abs(slope) > 3 * Math.abs(secant) ? 3 * secant : slope;
};

/**
 * Slopes at the points of a curve that keeps the shape of its data (PCHIP): between two points it stays within their
 * values, and it turns only at points.
 *
 * Inside: the weighted harmonic mean of the secants at both sides, 0 where they differ in sign or one is 0. At the ends:
 * the limited three-point formula. Two points give their straight line.
 *
 * @param knots - Two or more positions, strictly rising.
 * @param values - The values there, as many.
 * @returns The slopes there, in value units per position unit.
 *
 * Source: F. N. Fritsch and J. Butland, "A method for constructing local monotone piecewise cubic interpolants",
 * SIAM J. Sci. Stat. Comput. 5 (1984) (memory); agrees with SciPy's `PchipInterpolator` (library).
 */
export const pchipSlopes = (knots: ArrayLike<number>, values: ArrayLike<number>): Float64Array => {
  const last = knots.length - 1;
  const slopes = new Float64Array(last + 1);
  const step = (i: number): number => knots[i + 1] - knots[i];
  const secant = (i: number): number => (values[i + 1] - values[i]) / step(i);
  if (last === 1) return slopes.fill(secant(0));
  for (let i = 1; i < last; i++) {
    const before = secant(i - 1);
    const after = secant(i);
    if (Math.sign(before) !== Math.sign(after) || before === 0) continue;
    const weightBefore = 2 * step(i) + step(i - 1);
    const weightAfter = step(i) + 2 * step(i - 1);
    slopes[i] = (weightBefore + weightAfter) / (weightBefore / before + weightAfter / after);
  }
  slopes[0] = endSlope(step(0), step(1), secant(0), secant(1));
  slopes[last] = endSlope(step(last - 1), step(last - 2), secant(last - 1), secant(last - 2));
  return slopes;
};

/**
 * A curve through points with the slopes of {@link pchipSlopes}.
 *
 * @param knots - Two or more positions, strictly rising (not checked here).
 * @param values - The values there, as many.
 * @param left - Slope of the line left of the first point; default: the slope at that point.
 * @param right - Slope of the line right of the last point; default: the slope at that point.
 */
export const pchip = (
  knots: ArrayLike<number>,
  values: ArrayLike<number>,
  left?: number,
  right?: number,
): CubicCurve => {
  const slopes = pchipSlopes(knots, values);
  return {
    knots: Float64Array.from(knots),
    values: Float64Array.from(values),
    slopes,
    left: left ?? slopes[0],
    right: right ?? slopes[slopes.length - 1],
  };
};

/** Index of the piece that holds x, which lies from the first knot up to, but not at, the last. */
const pieceAt = (knots: Float64Array, x: number): number => {
  let low = 0;
  let high = knots.length - 1;
  while (high - low > 1) {
    const middle = (low + high) >> 1;
    if (x < knots[middle]) high = middle;
    else low = middle;
  }
  return low;
};

/** The cubic between point `index` and the next. */
export const pieceOf = ({ knots, values, slopes }: CubicCurve, index: number): CubicPiece => {
  const step = knots[index + 1] - knots[index];
  const secant = (values[index + 1] - values[index]) / step;
  const first = slopes[index];
  const next = slopes[index + 1];
  return {
    first,
    second: (2 * (3 * secant - 2 * first - next)) / step,
    third: (6 * (first + next - 2 * secant)) / step / step,
  };
};

/** Value of the curve at x; exactly the given one at a point. Allocates nothing; NaN for NaN. */
export const valueAt = (curve: CubicCurve, x: number): number => {
  const { knots, values, slopes } = curve;
  const last = knots.length - 1;
  if (x < knots[0]) return values[0] + curve.left * (x - knots[0]);
  if (!(x < knots[last])) return values[last] + curve.right * (x - knots[last]);
  const i = pieceAt(knots, x);
  const step = knots[i + 1] - knots[i];
  const t = (x - knots[i]) / step;
  const rise = values[i + 1] - values[i];
  const start = step * slopes[i];
  const end = step * slopes[i + 1];
  return values[i] + t * (start + t * (3 * rise - 2 * start - end + t * (start + end - 2 * rise)));
};

/**
 * Slope of the curve at x, the exact derivative of {@link valueAt}; at the first point the slope of the cubic right of it,
 * at the last the slope of the line right of it. Allocates nothing; NaN for NaN.
 */
export const slopeAt = (curve: CubicCurve, x: number): number => {
  const { knots, values, slopes } = curve;
  const last = knots.length - 1;
  if (x < knots[0]) return curve.left;
  if (x >= knots[last]) return curve.right;
  const i = pieceAt(knots, x);
  const step = knots[i + 1] - knots[i];
  const t = (x - knots[i]) / step;
  const secant = (values[i + 1] - values[i]) / step;
  const start = slopes[i];
  const end = slopes[i + 1];
  return start + t * (2 * (3 * secant - 2 * start - end) + t * 3 * (start + end - 2 * secant));
};

/** Writes the value and the slope of the curve at x, as `valueAt` and `slopeAt` give them, in one search. */
export const evaluateAt = (curve: CubicCurve, x: number, out: Float64Array): void => {
  const { knots, values, slopes } = curve;
  const last = knots.length - 1;
  if (x < knots[0]) {
    out[0] = values[0] + curve.left * (x - knots[0]);
    out[1] = curve.left;
    return;
  }
  if (!(x < knots[last])) {
    out[0] = values[last] + curve.right * (x - knots[last]);
    out[1] = curve.right;
    return;
  }
  const i = pieceAt(knots, x);
  const step = knots[i + 1] - knots[i];
  const t = (x - knots[i]) / step;
  const rise = values[i + 1] - values[i];
  const start = step * slopes[i];
  const end = step * slopes[i + 1];
  const second = 3 * rise - 2 * start - end;
  const third = start + end - 2 * rise;
  out[0] = values[i] + t * (start + t * (second + t * third));
  out[1] = (start + t * (2 * second + 3 * t * third)) / step;
};

/** The least and the largest slope of a curve, its lines at both sides included. */
export const slopeBounds = (curve: CubicCurve): [least: number, largest: number] => {
  const { knots, left, right, slopes } = curve;
  let [least, largest] = [Math.min(left, right, ...slopes), Math.max(left, right, ...slopes)];
  for (let i = 0; i < knots.length - 1; i++) {
    const { first, second, third } = pieceOf(curve, i);
    const turn = -second / third;
    if (!(turn > 0 && turn < knots[i + 1] - knots[i])) continue;
    const slope = first + (second * turn) / 2;
    least = Math.min(least, slope);
    largest = Math.max(largest, slope);
  }
  return [least, largest];
};
