import type { TriangularFactors } from "./responses.js";
import { analysePattern, type FactorPattern } from "./symbolic.js";

/**
 * LDLᵀ factors of symmetric matrices A = Σ_e c_e (u_i − u_j)(u_i − u_j)ᵀ: the weighted Laplacian of a graph whose
 * edge e joins the free nodes i and j, or one free node and the ground (−1).
 *
 * The order and the pattern are found once; `factor` then costs only arithmetic and allocates nothing. Weights may be
 * negative: D carries the signs, and their count is the inertia of A (Sylvester). No pivoting.
 *
 * Source: Davis, Direct Methods for Sparse Linear Systems, SIAM (2006), for the row-by-row elimination.
 */
export class LaplacianFactors implements TriangularFactors {
  readonly size: number;
  /** Pivots with a negative sign in the last factorisation. */
  negativePivots = 0;

  readonly pattern: FactorPattern;
  private readonly rowValue: Float64Array; // off-diagonal of A, by slots
  private readonly diagonal: Float64Array;
  private readonly columnValue: Float64Array; // L
  readonly pivot: Float64Array;
  readonly work: Float64Array;

  /**
   * @param size - Number of free nodes.
   * @param first - One end of each edge: 0 to size − 1, or −1 for the ground.
   * @param second - The other end of each edge.
   */
  constructor(size: number, first: Int32Array, second: Int32Array) {
    this.size = size;
    this.pattern = analysePattern(size, first, second);
    this.rowValue = new Float64Array(this.pattern.rowColumn.length);
    this.diagonal = new Float64Array(size);
    this.columnValue = new Float64Array(this.pattern.columnRow.length);
    this.pivot = new Float64Array(size);
    this.work = new Float64Array(size);
  }

  get lower(): Float64Array {
    return this.columnValue;
  }

  get upper(): Float64Array {
    return this.columnValue;
  }

  /** Number of entries below the diagonal of L. */
  get fill(): number {
    return this.columnValue.length;
  }

  /**
   * Factors the matrix with the given edge weights. Returns false when a pivot is 0 or not a finite number.
   *
   * @param weight - c_e of each edge, in the order of the constructor.
   */
  factor(weight: Float64Array): boolean {
    const { rowValue, diagonal, columnValue, pivot, size, work } = this;
    const { first, second, slot, rowStart, rowColumn } = this.pattern;
    const { columnStart, columnRow, factorRowStart, factorRowColumn, factorRowPosition } = this.pattern;
    rowValue.fill(0);
    diagonal.fill(0);
    for (let e = 0; e < weight.length; e++) {
      const i = first[e];
      const j = second[e];
      if (i === j) continue;
      const c = weight[e];
      if (i >= 0) diagonal[i] += c;
      if (j >= 0) diagonal[j] += c;
      if (slot[e] >= 0) rowValue[slot[e]] -= c;
    }
    let negative = 0;
    for (let k = 0; k < size; k++) {
      for (let p = rowStart[k]; p < rowStart[k + 1]; p++) work[rowColumn[p]] = rowValue[p];
      let d = diagonal[k];
      const end = factorRowStart[k + 1];
      for (let r = factorRowStart[k]; r < end; r++) {
        const i = factorRowColumn[r];
        const y = work[i];
        work[i] = 0;
        const stop = factorRowPosition[r];
        for (let p = columnStart[i]; p < stop; p++) work[columnRow[p]] -= columnValue[p] * y;
        const l = y / pivot[i];
        d -= l * y;
        columnValue[stop] = l;
      }
      if (!Number.isFinite(d) || d === 0) {
        work.fill(0);
        return false;
      }
      if (d < 0) negative++;
      pivot[k] = d;
    }
    this.negativePivots = negative;
    return true;
  }

  /** Solves A·x = b with the last factors; `b` and `x` are in the order of the nodes and may be one array. */
  solve(b: Float64Array, x: Float64Array): void {
    const { size, columnValue, pivot, work } = this;
    const { position, columnStart, columnRow } = this.pattern;
    for (let i = 0; i < size; i++) work[position[i]] = b[i];
    for (let k = 0; k < size; k++) {
      const y = work[k];
      for (let p = columnStart[k]; p < columnStart[k + 1]; p++) work[columnRow[p]] -= columnValue[p] * y;
    }
    for (let k = size - 1; k >= 0; k--) {
      let y = work[k] / pivot[k];
      for (let p = columnStart[k]; p < columnStart[k + 1]; p++) y -= columnValue[p] * work[columnRow[p]];
      work[k] = y;
    }
    for (let i = 0; i < size; i++) x[i] = work[position[i]];
    work.fill(0);
  }
}
