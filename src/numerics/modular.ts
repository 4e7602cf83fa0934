import { analysePattern, type FactorPattern } from "./symbolic.js";

/**
 * Whole numbers modulo a prime: arithmetic without rounding, in which whether something is 0 is certain. The prime is
 * small enough for products to be exact in doubles.
 */
export const prime = 67_108_859;

/** The product of two numbers from 0 to the prime. */
export const times = (a: number, b: number): number => (a * b) % prime;

/** The difference of two numbers from 0 to the prime. */
export const minus = (a: number, b: number): number => (a >= b ? a - b : a - b + prime);

/**
 * The inverse of a number from 1 to the prime.
 *
 * Source: extended Euclidean algorithm, as in any text on number theory.
 */
export const inverseOf = (a: number): number => {
  let [r, next] = [prime, a];
  let [t, nextT] = [0, 1];
  while (next !== 0) {
    const quotient = Math.floor(r / next);
    [r, next] = [next, r - quotient * next];
    [t, nextT] = [nextT, t - quotient * nextT];
  }
  return t < 0 ? t + prime : t;
};

/** A number as a fraction of whole numbers, modulo the prime: every double is one. */
export const residueOf = (value: number): number => {
  let whole = Math.abs(value);
  let halvings = 1;
  while (!Number.isInteger(whole)) {
    whole *= 2;
    halvings = times(halvings, 2);
  }
  const size = times(whole % prime, inverseOf(halvings));
  return value < 0 ? minus(0, size) : size;
};

/** A number from 1 to the prime that looks drawn by chance; equal arguments give equal numbers. */
export const drawn = (draw: number, index: number): number => {
  let t = Math.imul(index + 1, 0x9e3779b1) ^ Math.imul(draw + 1, 0x85ebca6b);
  t = Math.imul(t ^ (t >>> 15), 0x2c1b3c6d);
  t = Math.imul(t ^ (t >>> 12), 0x297a2d39);
  return 1 + (((t ^ (t >>> 15)) >>> 0) % (prime - 1));
};

/**
 * LDLᵀ factors, modulo the prime, of the weighted Laplacian of a graph, as `LaplacianFactors` has them in doubles.
 *
 * Source: as `LaplacianFactors`.
 */
export class ModularLaplacian {
  private readonly pattern: FactorPattern;
  private readonly columnValue: Float64Array;
  private readonly inversePivot: Float64Array;

  /** @param first, second - The ends of each edge: 0 to size − 1, or −1 for the ground. */
  constructor(
    private readonly size: number,
    first: Int32Array,
    second: Int32Array,
  ) {
    this.pattern = analysePattern(size, first, second);
    this.columnValue = new Float64Array(this.pattern.columnRow.length);
    this.inversePivot = new Float64Array(size);
  }

  /** Factors the matrix with the given edge weights; false where a pivot is 0. */
  factor(weight: Float64Array): boolean {
    const { columnValue, inversePivot, size } = this;
    const { first, second, slot, rowStart, rowColumn } = this.pattern;
    const { columnStart, columnRow, factorRowStart, factorRowColumn, factorRowPosition } = this.pattern;
    const rowValue = new Float64Array(rowColumn.length);
    const diagonal = new Float64Array(size);
    for (let e = 0; e < weight.length; e++) {
      const i = first[e];
      const j = second[e];
      if (i === j) continue;
      if (i >= 0) diagonal[i] = (diagonal[i] + weight[e]) % prime;
      if (j >= 0) diagonal[j] = (diagonal[j] + weight[e]) % prime;
      if (slot[e] >= 0) rowValue[slot[e]] = minus(rowValue[slot[e]], weight[e]);
    }
    const work = new Float64Array(size);
    for (let k = 0; k < size; k++) {
      for (let p = rowStart[k]; p < rowStart[k + 1]; p++) work[rowColumn[p]] = rowValue[p];
      let d = diagonal[k];
      for (let r = factorRowStart[k]; r < factorRowStart[k + 1]; r++) {
        const i = factorRowColumn[r];
        const y = work[i];
        work[i] = 0;
        const stop = factorRowPosition[r];
        for (let p = columnStart[i]; p < stop; p++) {
          work[columnRow[p]] = minus(work[columnRow[p]], times(columnValue[p], y));
        }
        const l = times(y, inversePivot[i]);
        d = minus(d, times(l, y));
        columnValue[stop] = l;
      }
      if (d === 0) return false;
      inversePivot[k] = inverseOf(d);
    }
    return true;
  }

  /** The solution of A·x = b with the last factors, in the order of the nodes. */
  solve(b: Float64Array): Float64Array {
    const { size, columnValue, inversePivot } = this;
    const { position, columnStart, columnRow } = this.pattern;
    const work = new Float64Array(size);
    for (let i = 0; i < size; i++) work[position[i]] = b[i];
    for (let k = 0; k < size; k++) {
      for (let p = columnStart[k]; p < columnStart[k + 1]; p++) {
        work[columnRow[p]] = minus(work[columnRow[p]], times(columnValue[p], work[k]));
      }
    }
    for (let k = size - 1; k >= 0; k--) {
      let y = times(work[k], inversePivot[k]);
      for (let p = columnStart[k]; p < columnStart[k + 1]; p++) y = minus(y, times(columnValue[p], work[columnRow[p]]));
      work[k] = y;
    }
    return Float64Array.from(position, (row) => work[row]);
  }
}

/**
 * Rows that are sums of multiples of rows before them, modulo the prime.
 *
 * @returns For each such row itself and the rows that it is made of.
 */
export const dependentRows = (rows: readonly (readonly number[])[]): number[][] => {
  const found: number[][] = [];
  /** Rows reduced so far, with what they are made of, by their first entry that is not 0. */
  const kept = new Map<number, { readonly row: readonly number[]; readonly of: readonly number[] }>();
  rows.forEach((given, index) => {
    let row = [...given];
    let of: number[] = rows.map((_, i) => (i === index ? 1 : 0));
    for (let column = 0; column < row.length; column++) {
      if (row[column] === 0) continue;
      const pivot = kept.get(column);
      if (pivot === undefined) {
        kept.set(column, { row, of });
        return;
      }
      const share = times(row[column], inverseOf(pivot.row[column]));
      row = row.map((value, i) => minus(value, times(share, pivot.row[i])));
      of = of.map((value, i) => minus(value, times(share, pivot.of[i])));
    }
    found.push(of.flatMap((value, i) => (value === 0 ? [] : [i])));
  });
  return found;
};
