import type { FactorPattern } from "./symbolic.js";

/** Factors A = L·D·U of a matrix with a symmetric pattern; L and Uᵀ have ones on their diagonals. */
export interface TriangularFactors {
  readonly pattern: FactorPattern;
  /** L by columns. */
  readonly lower: Float64Array;
  /** Uᵀ by columns; of a symmetric matrix that of L. */
  readonly upper: Float64Array;
  /** D */
  readonly pivot: Float64Array;
}

/** A vector of few entries: the nodes at which they stand, −1 for none, and their values, which may change. */
export interface FewEntries {
  readonly nodes: Int32Array;
  readonly values: Float64Array;
}

/** A vector of few entries on its way through a triangular factor. */
interface Reduced {
  readonly entries: FewEntries;
  /** The rows that it reaches, rising. */
  readonly rows: Int32Array;
  readonly values: Float64Array;
}

/**
 * What a few readings gᵀ·x tell of the solutions of A·x = b for a few right-hand sides, where g and b have few entries.
 *
 * With A = L·D·U a reading is (U⁻ᵀg)ᵀ·D⁻¹·(L⁻¹b). Either half follows the paths from its entries to the root of the
 * elimination tree, so that no whole solution is needed for any of them.
 *
 * Source: Gilbert and Peierls, Sparse partial pivoting in time proportional to arithmetic operations, SIAM J. Sci. Stat.
 * Comput. 9 (1988), for the reach of a sparse right-hand side (memory).
 */
export class Responses {
  /** Readings by rows, right-hand sides by columns, as last computed. */
  readonly matrix: Float64Array;
  private readonly sources: readonly Reduced[];
  private readonly readings: readonly Reduced[];
  private readonly work: Float64Array;

  constructor(
    private readonly factors: TriangularFactors,
    sources: readonly FewEntries[],
    readings: readonly FewEntries[],
  ) {
    const reduced = (entries: FewEntries): Reduced => {
      const rows = reachOf(factors.pattern, entries.nodes);
      return { entries, rows, values: new Float64Array(rows.length) };
    };
    this.sources = sources.map(reduced);
    this.readings = readings.map(reduced);
    this.matrix = new Float64Array(sources.length * readings.length);
    this.work = new Float64Array(factors.pivot.length);
  }

  /** Computes the matrix with the last factors and the present values of all entries. */
  compute(): void {
    const { factors, matrix, readings, sources, work } = this;
    const { lower, pivot, upper } = factors;
    for (const source of sources) this.reduce(source, lower);
    for (const reading of readings) this.reduce(reading, upper);
    for (let s = 0; s < sources.length; s++) {
      const { rows, values } = sources[s];
      for (let r = 0; r < rows.length; r++) work[rows[r]] = values[r] / pivot[rows[r]];
      for (let g = 0; g < readings.length; g++) {
        const reading = readings[g];
        let sum = 0;
        for (let r = 0; r < reading.rows.length; r++) sum += reading.values[r] * work[reading.rows[r]];
        matrix[g * sources.length + s] = sum;
      }
      for (let r = 0; r < rows.length; r++) work[rows[r]] = 0;
    }
  }

  private reduce({ entries, rows, values }: Reduced, columns: Float64Array): void {
    const { work } = this;
    const { position, columnStart, columnRow } = this.factors.pattern;
    for (let e = 0; e < entries.nodes.length; e++) {
      if (entries.nodes[e] >= 0) work[position[entries.nodes[e]]] += entries.values[e];
    }
    for (let r = 0; r < rows.length; r++) {
      const k = rows[r];
      const y = work[k];
      work[k] = 0;
      values[r] = y;
      for (let p = columnStart[k]; p < columnStart[k + 1]; p++) work[columnRow[p]] -= columns[p] * y;
    }
  }
}

/** The rows on the paths from nodes to the root: above a row stands the first below the diagonal of its column. */
const reachOf = ({ position, columnStart, columnRow }: FactorPattern, nodes: Int32Array): Int32Array => {
  const reached = new Set<number>();
  for (const node of nodes) {
    if (node < 0) continue;
    for (let k = position[node]; !reached.has(k); k = columnRow[columnStart[k]]) {
      reached.add(k);
      if (columnStart[k] === columnStart[k + 1]) break;
    }
  }
  return Int32Array.from(reached).sort();
};
