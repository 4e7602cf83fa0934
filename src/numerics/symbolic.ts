import { minimumDegreeOrder } from "./ordering.js";

/**
 * Where the numbers of a matrix with a symmetric pattern stand, and where its factors' numbers will: all that depends
 * on the graph alone. Rows and columns are in the order of elimination; `slot` numbers the entries below the diagonal.
 *
 * The factor L has its entries by columns. Its rows are listed too, each in an order in which it can be eliminated.
 */
export interface FactorPattern {
  /** Row of each node. */
  readonly position: Int32Array;
  /** Rows of the ends of each edge; −1 is the ground. */
  readonly first: Int32Array;
  readonly second: Int32Array;
  /** Entry of the matrix below the diagonal that each edge touches; −1 for edges to the ground and loops. */
  readonly slot: Int32Array;
  /** The matrix below its diagonal, by rows: the entries of row k have the slots rowStart[k] to rowStart[k + 1] − 1. */
  readonly rowStart: Int32Array;
  readonly rowColumn: Int32Array;
  /** L below its diagonal, by columns. */
  readonly columnStart: Int32Array;
  readonly columnRow: Int32Array;
  /** L by rows, in an order that respects the elimination tree, and where each entry stands in its column. */
  readonly factorRowStart: Int32Array;
  readonly factorRowColumn: Int32Array;
  readonly factorRowPosition: Int32Array;
}

/**
 * Orders a symmetric pattern for little fill and finds the pattern of its factors.
 *
 * Source: Liu, The role of elimination trees in sparse factorization, SIAM J. Matrix Anal. Appl. 11 (1990).
 *
 * @param size - Number of free nodes.
 * @param first - One end of each edge: 0 to size − 1, or −1 for the ground.
 * @param second - The other end of each edge.
 */
export const analysePattern = (size: number, first: Int32Array, second: Int32Array): FactorPattern => {
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
  const firstRow = first.map((i) => (i < 0 ? -1 : position[i]));
  const secondRow = second.map((i) => (i < 0 ? -1 : position[i]));
  const lower = lowerTriangle(size, firstRow, secondRow, inner);
  return { position, first: firstRow, second: secondRow, ...lower, ...factorPattern(size, lower) };
};

type LowerTriangle = Pick<FactorPattern, "slot" | "rowStart" | "rowColumn">;

/** The matrix below its diagonal by rows, parallel edges in one slot. */
const lowerTriangle = (size: number, first: Int32Array, second: Int32Array, inner: Int32Array): LowerTriangle => {
  const inners = inner.length;
  const count = new Int32Array(size + 1);
  for (let p = 0; p < inners; p++) count[Math.max(first[inner[p]], second[inner[p]]) + 1]++;
  for (let k = 0; k < size; k++) count[k + 1] += count[k];
  const next = count.slice(0, size);
  const edgeAt = new Int32Array(inners);
  for (let p = 0; p < inners; p++) edgeAt[next[Math.max(first[inner[p]], second[inner[p]])]++] = inner[p];
  const slotOf = new Int32Array(size);
  const seen = new Int32Array(size).fill(-1);
  const slot = new Int32Array(first.length).fill(-1);
  const rowColumn = new Int32Array(inners);
  const rowStart = new Int32Array(size + 1);
  let slots = 0;
  for (let k = 0; k < size; k++) {
    rowStart[k] = slots;
    for (let p = count[k]; p < count[k + 1]; p++) {
      const e = edgeAt[p];
      const column = Math.min(first[e], second[e]);
      if (seen[column] !== k) {
        seen[column] = k;
        slotOf[column] = slots;
        rowColumn[slots++] = column;
      }
      slot[e] = slotOf[column];
    }
  }
  rowStart[size] = slots;
  return { slot, rowStart, rowColumn: rowColumn.subarray(0, slots) };
};

/** Elimination tree and column counts, then the rows of L by walks up the tree. */
const factorPattern = (
  size: number,
  { rowStart, rowColumn }: LowerTriangle,
): Pick<FactorPattern, "columnStart" | "columnRow" | "factorRowStart" | "factorRowColumn" | "factorRowPosition"> => {
  const parent = new Int32Array(size).fill(-1);
  const mark = new Int32Array(size).fill(-1);
  const columnStart = new Int32Array(size + 1);
  for (let k = 0; k < size; k++) {
    mark[k] = k;
    for (let p = rowStart[k]; p < rowStart[k + 1]; p++) {
      for (let i = rowColumn[p]; mark[i] !== k; i = parent[i]) {
        if (parent[i] < 0) parent[i] = k;
        columnStart[i + 1]++;
        mark[i] = k;
      }
    }
  }
  for (let k = 0; k < size; k++) columnStart[k + 1] += columnStart[k];
  const entries = columnStart[size];
  const columnRow = new Int32Array(entries);
  const factorRowStart = new Int32Array(size + 1);
  const factorRowColumn = new Int32Array(entries);
  const factorRowPosition = new Int32Array(entries);
  const filled = columnStart.slice(0, size);
  const path = new Int32Array(size);
  const pattern = new Int32Array(size);
  mark.fill(-1);
  let write = 0;
  for (let k = 0; k < size; k++) {
    factorRowStart[k] = write;
    mark[k] = k;
    let top = size;
    for (let p = rowStart[k]; p < rowStart[k + 1]; p++) {
      let length = 0;
      for (let i = rowColumn[p]; mark[i] !== k; i = parent[i]) {
        path[length++] = i;
        mark[i] = k;
      }
      while (length > 0) pattern[--top] = path[--length];
    }
    for (; top < size; top++) {
      const column = pattern[top];
      factorRowColumn[write] = column;
      factorRowPosition[write++] = filled[column];
      columnRow[filled[column]++] = k;
    }
  }
  factorRowStart[size] = write;
  return { columnStart, columnRow, factorRowStart, factorRowColumn, factorRowPosition };
};
