import { minimumDegreeOrder } from "./ordering.js";

/**
 * LDLᵀ factors of symmetric matrices A = Σ_e c_e (u_i − u_j)(u_i − u_j)ᵀ: the weighted Laplacian of a graph whose
 * edge e joins the free nodes i and j, or one free node and the ground (−1).
 *
 * The order and the pattern are found once; `factor` then costs only arithmetic and allocates nothing. Weights may be
 * negative: D carries the signs, and their count is the inertia of A (Sylvester). No pivoting.
 *
 * Sources: Liu, The role of elimination trees in sparse factorization, SIAM J. Matrix Anal. Appl. 11 (1990), for
 * tree and row patterns; Davis, Direct Methods for Sparse Linear Systems, SIAM (2006), for the row-by-row elimination.
 */
export class LaplacianFactors {
  readonly size: number;
  /** Pivots with a negative sign in the last factorisation. */
  negativePivots = 0;

  private readonly first: Int32Array; // permuted ends of each edge; −1 is the ground
  private readonly second: Int32Array;
  private readonly slot: Int32Array; // where the edge's off-diagonal value goes; −1 for edges to the ground
  private readonly position: Int32Array; // row of each node
  private readonly rowStart: Int32Array; // off-diagonal of A, lower triangle by rows
  private readonly rowColumn: Int32Array;
  private readonly rowValue: Float64Array;
  private readonly diagonal: Float64Array;
  private readonly factorRowStart: Int32Array; // pattern of L by rows, in an order that respects the tree
  private readonly factorRowColumn: Int32Array;
  private readonly factorRowPosition: Int32Array; // where that entry stands in its column
  private readonly columnStart: Int32Array;
  private readonly columnRow: Int32Array;
  private readonly columnValue: Float64Array;
  private readonly pivot: Float64Array;
  private readonly work: Float64Array;

  /**
   * @param size - Number of free nodes.
   * @param first - One end of each edge: 0 to size − 1, or −1 for the ground.
   * @param second - The other end of each edge.
   */
  constructor(size: number, first: Int32Array, second: Int32Array) {
    this.size = size;
    const edges = first.length;
    const allInner = new Int32Array(edges);
    let inners = 0;
    for (let e = 0; e < edges; e++) {
      if (first[e] >= 0 && second[e] >= 0 && first[e] !== second[e]) allInner[inners++] = e;
    }
    const inner = allInner.subarray(0, inners);
    const order = minimumDegreeOrder(size, first, second, inner);
    const position = new Int32Array(size);
    for (let k = 0; k < size; k++) position[order[k]] = k;
    this.position = position;
    this.first = new Int32Array(edges);
    this.second = new Int32Array(edges);
    for (let e = 0; e < edges; e++) {
      this.first[e] = first[e] < 0 ? -1 : position[first[e]];
      this.second[e] = second[e] < 0 ? -1 : position[second[e]];
    }
    this.slot = new Int32Array(edges).fill(-1);

    // Lower triangle by rows, parallel edges in one slot.
    const count = new Int32Array(size + 1);
    for (let p = 0; p < inners; p++) count[Math.max(this.first[inner[p]], this.second[inner[p]]) + 1]++;
    for (let k = 0; k < size; k++) count[k + 1] += count[k];
    const next = count.slice(0, size);
    const edgeAt = new Int32Array(inners);
    for (let p = 0; p < inners; p++) edgeAt[next[Math.max(this.first[inner[p]], this.second[inner[p]])]++] = inner[p];
    const slotOf = new Int32Array(size);
    const seen = new Int32Array(size).fill(-1);
    const rowColumn = new Int32Array(inners);
    this.rowStart = new Int32Array(size + 1);
    let slots = 0;
    for (let k = 0; k < size; k++) {
      this.rowStart[k] = slots;
      for (let p = count[k]; p < count[k + 1]; p++) {
        const e = edgeAt[p];
        const column = Math.min(this.first[e], this.second[e]);
        if (seen[column] !== k) {
          seen[column] = k;
          slotOf[column] = slots;
          rowColumn[slots++] = column;
        }
        this.slot[e] = slotOf[column];
      }
    }
    this.rowStart[size] = slots;
    this.rowColumn = rowColumn.subarray(0, slots);
    this.rowValue = new Float64Array(slots);
    this.diagonal = new Float64Array(size);

    // Elimination tree and column counts, then the row patterns by walks up the tree.
    const parent = new Int32Array(size).fill(-1);
    const mark = new Int32Array(size).fill(-1);
    this.columnStart = new Int32Array(size + 1);
    for (let k = 0; k < size; k++) {
      mark[k] = k;
      for (let p = this.rowStart[k]; p < this.rowStart[k + 1]; p++) {
        for (let i = rowColumn[p]; mark[i] !== k; i = parent[i]) {
          if (parent[i] < 0) parent[i] = k;
          this.columnStart[i + 1]++;
          mark[i] = k;
        }
      }
    }
    for (let k = 0; k < size; k++) this.columnStart[k + 1] += this.columnStart[k];
    const entries = this.columnStart[size];
    this.columnRow = new Int32Array(entries);
    this.columnValue = new Float64Array(entries);
    this.factorRowStart = new Int32Array(size + 1);
    this.factorRowColumn = new Int32Array(entries);
    this.factorRowPosition = new Int32Array(entries);
    const filled = this.columnStart.slice(0, size);
    const path = new Int32Array(size);
    const pattern = new Int32Array(size);
    mark.fill(-1);
    let write = 0;
    for (let k = 0; k < size; k++) {
      this.factorRowStart[k] = write;
      mark[k] = k;
      let top = size;
      for (let p = this.rowStart[k]; p < this.rowStart[k + 1]; p++) {
        let length = 0;
        for (let i = rowColumn[p]; mark[i] !== k; i = parent[i]) {
          path[length++] = i;
          mark[i] = k;
        }
        while (length > 0) pattern[--top] = path[--length];
      }
      for (; top < size; top++) {
        const column = pattern[top];
        this.factorRowColumn[write] = column;
        this.factorRowPosition[write++] = filled[column];
        this.columnRow[filled[column]++] = k;
      }
    }
    this.factorRowStart[size] = write;
    this.pivot = new Float64Array(size);
    this.work = new Float64Array(size);
  }

  /** Number of entries below the diagonal of L. */
  get fill(): number {
    return this.columnRow.length;
  }

  /**
   * Factors the matrix with the given edge weights. Returns false when a pivot is 0 or not a finite number.
   *
   * @param weight - c_e of each edge, in the order of the constructor.
   */
  factor(weight: Float64Array): boolean {
    const { first, second, slot, rowValue, diagonal, size, work, pivot } = this;
    const { rowStart, rowColumn, factorRowStart, factorRowColumn, factorRowPosition } = this;
    const { columnStart, columnRow, columnValue } = this;
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
    const { size, position, columnStart, columnRow, columnValue, pivot, work } = this;
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
