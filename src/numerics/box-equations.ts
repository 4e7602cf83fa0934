import { solveDense } from "./dense.js";

/** Exchanges of all that stand wrongly that may fail to leave fewer of them, before one at a time. */
const wholeExchanges = 3;
/** Exchanges after which the search ends, beside ten for each unknown. */
const mostExchanges = 40;

/** Share of the terms of a sum below which it counts as 0. */
const rounding = 1e-12;

/** Where an unknown stands: below, between or above its limits. */
type Stand = -1 | 0 | 1;

/**
 * Linear equations whose unknowns have limits: each unknown obeys its equation, or stands at the limit beyond which it
 * would have to go for that — at the lower one where its own row of A·x − b is positive, at the upper one where negative.
 *
 * All that stand wrongly change at once; where that goes on without success the last of them alone, which ends for
 * every matrix whose principal minors are positive.
 *
 * @param matrix - A by rows, its diagonal positive.
 * @returns x; undefined where equations to be solved on the way are singular, or the search does not end.
 *
 * Sources: Júdice and Pires, A block principal pivoting algorithm for large-scale strictly monotone linear
 * complementarity problems, Computers & Operations Research 21 (1994); Murty, Linear Complementarity, Linear and
 * Nonlinear Programming (1988), for the last one alone (memory).
 */
export const solveInBox = (
  matrix: Float64Array,
  right: ArrayLike<number>,
  low: ArrayLike<number>,
  high: ArrayLike<number>,
): Float64Array | undefined => {
  const count = right.length;
  const stand: Stand[] = Array.from({ length: count }, () => 0);
  const x = new Float64Array(count);
  /** A·x − b of a row, over those that are held or over all; 0 where rounding alone may have made it. */
  const excess = (row: number, heldAlone: boolean): number => {
    let sum = -right[row];
    let size = Math.abs(sum);
    for (let k = 0; k < count; k++) {
      if (heldAlone && stand[k] === 0) continue;
      const term = matrix[row * count + k] * x[k];
      sum += term;
      size += Math.abs(term);
    }
    return heldAlone || Math.abs(sum) > rounding * size ? sum : 0;
  };
  let fewest = count + 1;
  let exchanges = wholeExchanges;
  for (let times = 0; times < mostExchanges + 10 * count; times++) {
    const free: number[] = [];
    for (let i = 0; i < count; i++) {
      if (stand[i] === 0) free.push(i);
      else x[i] = stand[i] < 0 ? low[i] : high[i];
    }
    const found = solveDense(
      free.map((i) => free.map((k) => matrix[i * count + k])),
      free.map((i) => -excess(i, true)),
    );
    if (found === undefined) return undefined;
    for (let f = 0; f < free.length; f++) x[free[f]] = found[f];
    const wrong: [number, Stand][] = [];
    for (let i = 0; i < count; i++) {
      if (stand[i] === 0) {
        if (x[i] < low[i]) wrong.push([i, -1]);
        else if (x[i] > high[i]) wrong.push([i, 1]);
      } else if (excess(i, false) * stand[i] > 0) wrong.push([i, 0]);
    }
    if (wrong.length === 0) return x;
    if (wrong.length < fewest) {
      fewest = wrong.length;
      exchanges = wholeExchanges;
    } else exchanges--;
    for (const [i, to] of exchanges >= 0 ? wrong : wrong.slice(-1)) stand[i] = to;
  }
  return undefined;
};
