import { solveDense } from "./dense.js";

/** Exchanges of all that stand wrongly that may fail to leave fewer of them, before one at a time. */
const wholeExchanges = 3;
/** Exchanges after which the search ends, beside one for each unknown. */
const mostExchanges = 20;

/** Unknowns beyond which sweeps come before elimination, which takes the cube of their number. */
const fewUnknowns = 16;
const mostSweeps = 40;
/** Change in a sweep, over that in the one before, above which it converges too slowly [-] */
const slowestSweep = 0.5;
/** Change in a sweep, over the largest unknown, at which it has converged. */
const converged = 1e-10;

/** Share of the terms of a sum below which it counts as 0. */
const rounding = 1e-12;

/**
 * Linear equations whose unknowns have limits: each unknown obeys its equation, or stands at the limit beyond which it
 * would have to go for that — at the lower one where its own row of A·x − b is positive, at the upper one where negative.
 *
 * All that stand wrongly change at once; where that goes on without success the last of them alone, which ends for
 * every matrix whose principal minors are positive. Many unknowns that hardly feel one another are found one by one.
 *
 * @param matrix - A by rows, its diagonal positive.
 * @param stand - Where the search begins: −1 for each unknown that stands at its lower limit, 1 at its upper one, else 0.
 *   Where they stand in the end is written there.
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
  stand: Int8Array,
): Float64Array | undefined => {
  const count = right.length;
  const x = new Float64Array(count);
  if (count > fewUnknowns && sweep(matrix, right, low, high, x)) return x;
  let fewest = count + 1;
  let exchanges = wholeExchanges;
  for (let times = 0; times < mostExchanges + count; times++) {
    for (let i = 0; i < count; i++) if (stand[i] !== 0) x[i] = stand[i] < 0 ? low[i] : high[i];
    if (!solveFree(matrix, right, stand, x)) return undefined;
    const wrong: number[] = [];
    for (let i = 0; i < count; i++) if (standAfter(i, matrix, right, low, high, stand, x) !== stand[i]) wrong.push(i);
    if (wrong.length === 0) return x;
    if (wrong.length < fewest) {
      fewest = wrong.length;
      exchanges = wholeExchanges;
    } else exchanges--;
    const changed = exchanges >= 0 ? wrong : wrong.slice(-1);
    const stands = changed.map((i) => standAfter(i, matrix, right, low, high, stand, x));
    changed.forEach((i, at) => {
      stand[i] = stands[at];
    });
  }
  return undefined;
};

/** Finds each unknown from its own row, again and again (projected Gauss–Seidel); false where that does not converge soon. */
const sweep = (
  matrix: Float64Array,
  right: ArrayLike<number>,
  low: ArrayLike<number>,
  high: ArrayLike<number>,
  x: Float64Array,
): boolean => {
  const count = x.length;
  let last = Number.POSITIVE_INFINITY;
  for (let times = 0; times < mostSweeps; times++) {
    let change = 0;
    let largest = 0;
    for (let i = 0; i < count; i++) {
      const row = i * count;
      let rest = right[i];
      for (let k = 0; k < count; k++) rest -= matrix[row + k] * x[k];
      const next = Math.min(Math.max(x[i] + rest / matrix[row + i], low[i]), high[i]);
      change = Math.max(change, Math.abs(next - x[i]));
      largest = Math.max(largest, Math.abs(next));
      x[i] = next;
    }
    if (change <= converged * largest) return true;
    if (!(change <= slowestSweep * last)) return false;
    last = change;
  }
  return false;
};

/** Writes the unknowns between their limits, from their own rows and the others as they stand; false where singular. */
const solveFree = (matrix: Float64Array, right: ArrayLike<number>, stand: Int8Array, x: Float64Array): boolean => {
  const count = stand.length;
  const free = new Int32Array(count);
  let size = 0;
  for (let i = 0; i < count; i++) if (stand[i] === 0) free[size++] = i;
  const part = new Float64Array(size * size);
  const found = new Float64Array(size);
  for (let f = 0; f < size; f++) {
    const row = free[f] * count;
    let sum = right[free[f]];
    for (let k = 0; k < count; k++) if (stand[k] !== 0) sum -= matrix[row + k] * x[k];
    found[f] = sum;
    for (let k = 0; k < size; k++) part[f * size + k] = matrix[row + free[k]];
  }
  if (!solveDense(part, found)) return false;
  for (let f = 0; f < size; f++) x[free[f]] = found[f];
  return true;
};

/** Where an unknown should stand: at the limit beyond which it is, or free again where its row pulls it back. */
const standAfter = (
  i: number,
  matrix: Float64Array,
  right: ArrayLike<number>,
  low: ArrayLike<number>,
  high: ArrayLike<number>,
  stand: Int8Array,
  x: Float64Array,
): number => {
  if (stand[i] === 0) return x[i] < low[i] ? -1 : x[i] > high[i] ? 1 : 0;
  const count = stand.length;
  let excess = -right[i];
  let size = Math.abs(excess);
  for (let k = 0; k < count; k++) {
    const term = matrix[i * count + k] * x[k];
    excess += term;
    size += Math.abs(term);
  }
  return excess * stand[i] > rounding * size ? 0 : stand[i];
};
