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

/** Which vectors reach each row: in the order of the rows, with the vector and its place there. */
interface Reaching {
  /** Where each row begins, and the last ends. */
  readonly start: Int32Array;
  readonly vector: Int32Array;
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
  private readonly sources: readonly Reduced[];
  private readonly readings: readonly Reduced[];
  /** Rows that a source and a reading reach. */
  private readonly shared: Int32Array;
  private readonly sourcesAt: Reaching;
  private readonly readingsAt: Reaching;
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
    this.shared = sharedRows(this.sources, this.readings);
    this.sourcesAt = reachingOf(this.shared, this.sources);
    this.readingsAt = reachingOf(this.shared, this.readings);
    this.matrix = new Float64Array(sources.length * readings.length);
    this.work = new Float64Array(factors.pivot.length);
  }

  /** Computes the matrix with the last factors and the present values of all entries. */
  compute(): void {
    const { factors, matrix, readings, readingsAt, shared, sources, sourcesAt } = this;
    const { lower, pivot, upper } = factors;
    for (const source of sources) this.reduce(source, lower);
    for (const reading of readings) this.reduce(reading, upper);
    matrix.fill(0);
    for (let r = 0; r < shared.length; r++) {
      for (let i = sourcesAt.start[r]; i < sourcesAt.start[r + 1]; i++) {
        const s = sourcesAt.vector[i];
        const y = sources[s].values[sourcesAt.place[i]] / pivot[shared[r]];
        for (let j = readingsAt.start[r]; j < readingsAt.start[r + 1]; j++) {
          const g = readingsAt.vector[j];
          matrix[g * sources.length + s] += readings[g].values[readingsAt.place[j]] * y;
        }
      }
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

const sharedRows = (sources: readonly Reduced[], readings: readonly Reduced[]): Int32Array => {
  const bySources = new Set(sources.flatMap(({ rows }) => [...rows]));
  const shared = new Set(readings.flatMap(({ rows }) => [...rows].filter((row) => bySources.has(row))));
  return Int32Array.from(shared).sort();
};

const reachingOf = (shared: Int32Array, vectors: readonly Reduced[]): Reaching => {
  const found = new Map(Array.from(shared, (row) => [row, [] as [vector: number, place: number][]]));
  vectors.forEach(({ rows }, vector) => {
    rows.forEach((row, place) => {
      found.get(row)?.push([vector, place]);
    });
  });
  const lists = [...found.values()];
  const start = new Int32Array(shared.length + 1);
  lists.forEach((list, r) => {
    start[r + 1] = start[r] + list.length;
  });
  const all = lists.flat();
  return {
    start,
    vector: Int32Array.from(all, ([vector]) => vector),
    place: Int32Array.from(all, ([, place]) => place),
  };
};
