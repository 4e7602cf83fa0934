import type { FactorPattern } from "./symbolic.js";

/** Factors A = L·D·U of a matrix with a symmetric pattern; L and Uᵀ have ones on their diagonals. */
export interface TriangularFactors {
  readonly pattern: FactorPattern;
  /** L by columns. */
  readonly lower: Float64Array;
  /** Uᵀ by columns; for a symmetric matrix, L's. */
  readonly upper: Float64Array;
  /** D */
  readonly pivot: Float64Array;
  /** Room for a vector by rows; all 0 between uses. */
  readonly work: Float64Array;
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
  /** Where its values begin among all values. */
  readonly begin: number;
}

/** Vectors of few entries, with their values one after the other. */
interface ReducedAll {
  readonly vectors: readonly Reduced[];
  readonly values: Float64Array;
}

/** Which vectors reach each row of a list: one place after the other, in the order of the rows. */
interface Reaching {
  /** Where each row begins, and the last ends. */
  readonly start: Int32Array;
  readonly vector: Int32Array;
  /** Where the vector's value in the row stands among the values of all. */
  readonly place: Int32Array;
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
  /** Of each reading, the sizes of the terms that make up its answer to the right-hand side of the same number. */
  readonly terms: Float64Array;
  private readonly sources: ReducedAll;
  private readonly readings: ReducedAll;
  /** Rows that a source and a reading reach. */
  private readonly shared: Int32Array;
  private readonly sourcesAt: Reaching;
  private readonly readingsAt: Reaching;

  constructor(
    private readonly factors: TriangularFactors,
    sources: readonly FewEntries[],
    readings: readonly FewEntries[],
  ) {
    this.sources = reducedOf(factors, sources);
    this.readings = reducedOf(factors, readings);
    this.shared = sharedRows(this.sources.vectors, this.readings.vectors);
    this.sourcesAt = reachingOf(this.shared, this.sources.vectors);
    this.readingsAt = reachingOf(this.shared, this.readings.vectors);
    this.matrix = new Float64Array(sources.length * readings.length);
    this.terms = new Float64Array(readings.length);
  }

  /** Computes the matrix with the last factors and the present values of all entries. */
  compute(): void {
    const { factors, matrix, readings, readingsAt, shared, sources, sourcesAt, terms } = this;
    const { lower, pivot, upper } = factors;
    for (const source of sources.vectors) this.reduce(source, sources.values, lower);
    for (const reading of readings.vectors) this.reduce(reading, readings.values, upper);
    const columns = sources.vectors.length;
    matrix.fill(0);
    terms.fill(0);
    for (let r = 0; r < shared.length; r++) {
      for (let j = readingsAt.start[r]; j < readingsAt.start[r + 1]; j++) {
        const row = readingsAt.vector[j] * columns;
        const z = readings.values[readingsAt.place[j]] / pivot[shared[r]];
        for (let i = sourcesAt.start[r]; i < sourcesAt.start[r + 1]; i++) {
          const term = z * sources.values[sourcesAt.place[i]];
          matrix[row + sourcesAt.vector[i]] += term;
          if (sourcesAt.vector[i] === readingsAt.vector[j]) terms[readingsAt.vector[j]] += Math.abs(term);
        }
      }
    }
  }

  private reduce({ entries, rows, begin }: Reduced, values: Float64Array, columns: Float64Array): void {
    const { work } = this.factors;
    const { position, columnStart, columnRow } = this.factors.pattern;
    for (let e = 0; e < entries.nodes.length; e++) {
      if (entries.nodes[e] >= 0) work[position[entries.nodes[e]]] += entries.values[e];
    }
    for (let r = 0; r < rows.length; r++) {
      const k = rows[r];
      const y = work[k];
      work[k] = 0;
      values[begin + r] = y;
      for (let p = columnStart[k]; p < columnStart[k + 1]; p++) work[columnRow[p]] -= columns[p] * y;
    }
  }
}

const reducedOf = (factors: TriangularFactors, all: readonly FewEntries[]): ReducedAll => {
  let begin = 0;
  const vectors = all.map((entries) => {
    const vector = { entries, rows: reachOf(factors, entries.nodes), begin };
    begin += vector.rows.length;
    return vector;
  });
  return { vectors, values: new Float64Array(begin) };
};

/** The rows on the paths from nodes to the root: above a row stands the first below the diagonal of its column. */
const reachOf = ({ pattern, work: seen }: TriangularFactors, nodes: Int32Array): Int32Array => {
  const { position, columnStart, columnRow } = pattern;
  const reached: number[] = [];
  for (const node of nodes) {
    if (node < 0) continue;
    let k = position[node];
    while (seen[k] === 0) {
      seen[k] = 1;
      reached.push(k);
      if (columnStart[k] === columnStart[k + 1]) break;
      k = columnRow[columnStart[k]];
    }
  }
  for (const k of reached) seen[k] = 0;
  return Int32Array.from(reached).sort();
};

const sharedRows = (sources: readonly Reduced[], readings: readonly Reduced[]): Int32Array => {
  const bySources = rowsOf(sources);
  const byReadings = rowsOf(readings);
  const shared: number[] = [];
  let at = 0;
  for (const row of bySources) {
    while (byReadings[at] < row) at++;
    if (byReadings[at] === row && shared[shared.length - 1] !== row) shared.push(row);
  }
  return Int32Array.from(shared);
};

/** All rows that vectors reach, rising, once for each of them. */
const rowsOf = (vectors: readonly Reduced[]): Int32Array =>
  Int32Array.from(vectors.flatMap(({ rows }) => [...rows])).sort();

const reachingOf = (shared: Int32Array, vectors: readonly Reduced[]): Reaching => {
  const start = new Int32Array(shared.length + 1);
  const vector: number[] = [];
  const place: number[] = [];
  const next = new Int32Array(vectors.length);
  shared.forEach((row, r) => {
    for (let v = 0; v < vectors.length; v++) {
      const { begin, rows } = vectors[v];
      while (rows[next[v]] < row) next[v]++;
      if (rows[next[v]] !== row) continue;
      vector.push(v);
      place.push(begin + next[v]);
    }
    start[r + 1] = vector.length;
  });
  return { start, vector: Int32Array.from(vector), place: Int32Array.from(place) };
};
