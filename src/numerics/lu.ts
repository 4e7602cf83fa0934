import type { TriangularFactors } from "./responses.js";
import { analysePattern, type FactorPattern } from "./symbolic.js";

/**
 * Rounding of a pivot, as a share of the sizes of the terms that make it up: a few units for the products and sums, and
 * room for the rounding of the entries beside the diagonal, which is not followed.
 */
const pivotRounding = 16 * Number.EPSILON;

/**
 * Factors A = L·D·U of square matrices whose pattern is symmetric and whose values need not be: L and Uᵀ have ones on
 * their diagonals and the one pattern of a symmetric factor.
 *
 * The order and the pattern are found once, from the couplings: coupling e lets the entries (i, j) and (j, i) of its
 * two ends differ from 0. Entries are added to `values` at the places named by the four slot arrays; then `factor`
 * costs only arithmetic, and nothing is allocated. Entries in the row or the column of the ground (−1) share one place
 * that is never read, so that assembling needs no question.
 *
 * No pivoting: the order does not depend on the values. Weighted Laplacians, and what is near to them, need none;
 * for others `growth` tells how far the factors can be trusted.
 *
 * Sources: Davis, Direct Methods for Sparse Linear Systems, SIAM (2006), for the row-by-row elimination, here of L and
 * of Uᵀ side by side; Duff, Erisman and Reid, Direct Methods for Sparse Matrices (1986), for unsymmetric values on a
 * symmetric pattern (memory).
 *
 * @example
 * const factors = new SymmetricPatternLU(2, Int32Array.of(0), Int32Array.of(1));
 * const { values, firstFirst, firstSecond, secondFirst, secondSecond } = factors;
 * values.fill(0);
 * values[firstFirst[0]] += 4; // A = [[4, 1], [2, 3]]
 * values[firstSecond[0]] += 1;
 * values[secondFirst[0]] += 2;
 * values[secondSecond[0]] += 3;
 * const x = Float64Array.of(6, 8);
 * if (factors.factor()) factors.solve(x); // x = (1, 2)
 */
export class SymmetricPatternLU implements TriangularFactors {
  readonly size: number;
  /** The matrix, in slots. The code that assembles it clears it first. */
  readonly values: Float64Array;
  /** Slot of the entry (i, i) of each coupling of i = first and j = second. */
  readonly firstFirst: Int32Array;
  /** Slot of the entry (i, j): row of the first end, column of the second. */
  readonly firstSecond: Int32Array;
  /** Slot of the entry (j, i). */
  readonly secondFirst: Int32Array;
  /** Slot of the entry (j, j). */
  readonly secondSecond: Int32Array;
  /**
   * Pivots with a negative sign in the last factorisation. Their parity is the sign of the determinant; only for
   * symmetric values does their number equal the number of negative eigenvalues.
   */
  negativePivots = 0;
  /**
   * Largest size of an entry of L and U in the last factorisation, 1 at least: 1 but for rounding where the matrix is
   * a Laplacian with positive weights. The residual of a solution may grow with its square.
   */
  growth = 1;

  readonly pattern: FactorPattern;
  readonly lower: Float64Array;
  readonly upper: Float64Array;
  readonly pivot: Float64Array;
  private readonly rounding: Float64Array; // of D
  private readonly lowerWork: Float64Array;
  private readonly upperWork: Float64Array;

  /**
   * @param size - Number of rows.
   * @param first - One end of each coupling: 0 to size − 1, or −1 for the ground.
   * @param second - The other end of each coupling.
   */
  constructor(size: number, first: Int32Array, second: Int32Array) {
    this.size = size;
    this.pattern = analysePattern(size, first, second);
    const couplings = first.length;
    const slots = this.pattern.rowColumn.length;
    const ground = size + 2 * slots;
    // The diagonal, the entries below it, those above it, and the place of the ground.
    this.values = new Float64Array(ground + 1);
    this.firstFirst = new Int32Array(couplings);
    this.firstSecond = new Int32Array(couplings);
    this.secondFirst = new Int32Array(couplings);
    this.secondSecond = new Int32Array(couplings);
    for (let e = 0; e < couplings; e++) {
      const i = this.pattern.first[e];
      const j = this.pattern.second[e];
      this.firstFirst[e] = i < 0 ? ground : i;
      this.secondSecond[e] = j < 0 ? ground : j;
      const below = size + this.pattern.slot[e];
      const above = below + slots;
      if (i < 0 || j < 0) {
        this.firstSecond[e] = ground;
        this.secondFirst[e] = ground;
      } else if (i === j) {
        this.firstSecond[e] = i;
        this.secondFirst[e] = i;
      } else {
        this.firstSecond[e] = i > j ? below : above;
        this.secondFirst[e] = i > j ? above : below;
      }
    }
    const entries = this.pattern.columnRow.length;
    this.lower = new Float64Array(entries);
    this.upper = new Float64Array(entries);
    this.pivot = new Float64Array(size);
    this.rounding = new Float64Array(size);
    this.lowerWork = new Float64Array(size);
    this.upperWork = new Float64Array(size);
  }

  get work(): Float64Array {
    return this.lowerWork;
  }

  /** Number of entries below the diagonal of L, and above the diagonal of U. */
  get fill(): number {
    return this.lower.length;
  }

  /**
   * Factors the matrix in `values`. Returns false when a pivot is not a finite number or cannot be told from 0: it is
   * no larger than its own rounding and the rounding of the pivots before it, carried on as first-order errors
   * (∂d_k/∂d_i = l_ki·u_ik). The matrix is then singular, or needs another order; there are no factors to solve with.
   */
  factor(): boolean {
    const { size, values, lower, upper, pivot, rounding, lowerWork, upperWork } = this;
    const { rowStart, rowColumn, columnStart, columnRow } = this.pattern;
    const { factorRowStart, factorRowColumn, factorRowPosition } = this.pattern;
    const below = size;
    const above = size + rowColumn.length;
    let negative = 0;
    let growth = 1;
    for (let k = 0; k < size; k++) {
      for (let p = rowStart[k]; p < rowStart[k + 1]; p++) {
        lowerWork[rowColumn[p]] = values[below + p];
        upperWork[rowColumn[p]] = values[above + p];
      }
      let d = values[k];
      let terms = Math.abs(d);
      let inherited = 0;
      const end = factorRowStart[k + 1];
      for (let r = factorRowStart[k]; r < end; r++) {
        const i = factorRowColumn[r];
        const y = lowerWork[i];
        const z = upperWork[i];
        lowerWork[i] = 0;
        upperWork[i] = 0;
        const stop = factorRowPosition[r];
        for (let p = columnStart[i]; p < stop; p++) {
          const row = columnRow[p];
          lowerWork[row] -= upper[p] * y;
          upperWork[row] -= lower[p] * z;
        }
        const l = y / pivot[i];
        const u = z / pivot[i];
        d -= l * z;
        terms += Math.abs(l * z);
        inherited += Math.abs(l * u) * rounding[i];
        growth = Math.max(growth, Math.abs(l), Math.abs(u));
        lower[stop] = l;
        upper[stop] = u;
      }
      const error = pivotRounding * terms + inherited;
      if (!(Math.abs(d) > error && Number.isFinite(d))) return false;
      if (d < 0) negative++;
      rounding[k] = error;
      pivot[k] = d;
    }
    this.negativePivots = negative;
    this.growth = growth;
    return true;
  }

  /** Solves A·x = b with the last factors, in the order of the nodes; x takes the place of b. */
  solve(rhs: Float64Array): void {
    const { size, lower, upper, pivot, lowerWork: work } = this;
    const { position, columnStart, columnRow } = this.pattern;
    for (let i = 0; i < size; i++) work[position[i]] = rhs[i];
    for (let k = 0; k < size; k++) {
      const y = work[k];
      for (let p = columnStart[k]; p < columnStart[k + 1]; p++) work[columnRow[p]] -= lower[p] * y;
    }
    for (let k = size - 1; k >= 0; k--) {
      let y = work[k] / pivot[k];
      for (let p = columnStart[k]; p < columnStart[k + 1]; p++) y -= upper[p] * work[columnRow[p]];
      work[k] = y;
    }
    for (let i = 0; i < size; i++) rhs[i] = work[position[i]];
    work.fill(0);
  }
}
