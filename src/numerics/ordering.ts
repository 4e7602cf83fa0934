/**
 * A fill-reducing elimination order of a symmetric pattern: approximate minimum degree on the quotient graph.
 *
 * An eliminated node becomes an element, the clique of its neighbours, held as one list. A node's degree is bounded
 * from above by the sizes of its elements outside the newest one, so that no clique is ever written out.
 *
 * Source: Amestoy, Davis and Duff, An approximate minimum degree ordering algorithm, SIAM J. Matrix Anal. Appl. 17
 * (1996); written from the description there, without its detection of indistinguishable nodes.
 *
 * @param n - Number of nodes.
 * @param first - One end of each edge.
 * @param second - The other end of each edge.
 * @param edges - The edges that count: their ends are 0 to n − 1 and differ; several may join the same two nodes.
 * @returns The nodes in the order of elimination, `order[k]` being the k-th node eliminated.
 */
export const minimumDegreeOrder = (n: number, first: Int32Array, second: Int32Array, edges: Int32Array): Int32Array => {
  const graph = new QuotientGraph(n, first, second, edges);
  while (graph.done < n) {
    const pivot = graph.formElement();
    graph.scan(pivot);
    graph.compress(pivot);
    graph.updateDegrees(pivot);
  }
  return graph.order;
};

/** What is left to eliminate: nodes joined by edges and by elements. */
class QuotientGraph {
  /** The nodes eliminated, the first `done` of them. */
  readonly order: Int32Array;
  done = 0;

  // A node's slots hold first its elements, then the neighbours not yet covered by an element; both lists together
  // never outgrow the slots, since each new element replaces the neighbour or the element through which it came.
  private readonly start: Int32Array;
  private readonly neighbours: Int32Array;
  private readonly elements: Int32Array;
  private readonly plain: Int32Array;
  private readonly degree: Int32Array;
  private readonly queue: DegreeQueue;
  private readonly gone: Uint8Array;

  // The cliques of the elements, one after the other; the newest is at the end.
  private pool: Int32Array;
  private poolEnd = 0;
  private readonly elementStart: Int32Array;
  private readonly elementSize: Int32Array;
  private readonly alive: Uint8Array;

  /** The pivot of the newest element that holds the node. */
  private readonly mark: Int32Array;
  /** |element \ pivot's element|, offset by `tag` so that it needs no clearing. */
  private readonly outside: Float64Array;
  private tag = 1;

  constructor(
    private readonly n: number,
    first: Int32Array,
    second: Int32Array,
    edges: Int32Array,
  ) {
    const { start, neighbours } = adjacency(n, first, second, edges);
    this.start = start;
    this.neighbours = neighbours;
    this.elements = new Int32Array(n);
    this.plain = new Int32Array(n);
    for (let i = 0; i < n; i++) this.plain[i] = start[i + 1] - start[i];
    this.degree = this.plain.slice();
    this.queue = new DegreeQueue(this.degree);
    this.gone = new Uint8Array(n);
    this.pool = new Int32Array(Math.max(16, 2 * neighbours.length));
    this.elementStart = new Int32Array(n);
    this.elementSize = new Int32Array(n);
    this.alive = new Uint8Array(n);
    this.mark = new Int32Array(n).fill(-1);
    this.outside = new Float64Array(n);
    this.order = new Int32Array(n);
  }

  /** Eliminates the node of least degree, the pivot: its neighbours become an element, which takes up the pivot's own. */
  formElement(): number {
    const { alive, elementSize, elementStart, neighbours } = this;
    const pivot = this.queue.takeSmallest();
    this.gone[pivot] = 1;
    this.order[this.done++] = pivot;
    this.mark[pivot] = pivot;
    elementStart[pivot] = this.poolEnd;
    const slots = this.start[pivot];
    const elementEnd = slots + this.elements[pivot];
    for (let s = slots; s < elementEnd; s++) {
      const element = neighbours[s];
      if (!alive[element]) continue;
      const end = elementStart[element] + elementSize[element];
      for (let p = elementStart[element]; p < end; p++) this.reach(this.pool[p], pivot);
      alive[element] = 0;
    }
    for (let s = elementEnd; s < elementEnd + this.plain[pivot]; s++) this.reach(neighbours[s], pivot);
    alive[pivot] = 1;
    elementSize[pivot] = this.poolEnd - elementStart[pivot];
    return pivot;
  }

  /** Adds a node to the newest element, once. */
  private reach(node: number, pivot: number): void {
    if (this.gone[node] || this.mark[node] === pivot) return;
    this.mark[node] = pivot;
    if (this.poolEnd === this.pool.length) {
      const larger = new Int32Array(2 * this.pool.length);
      larger.set(this.pool);
      this.pool = larger;
    }
    this.pool[this.poolEnd++] = node;
  }

  /** Counts for each element that meets the newest one how many of its nodes lie outside of that. */
  scan(pivot: number): void {
    const { alive, elementSize, elements, neighbours, outside, pool, poolEnd, start, tag } = this;
    for (let p = this.elementStart[pivot]; p < poolEnd; p++) {
      const node = pool[p];
      const end = start[node] + elements[node];
      for (let s = start[node]; s < end; s++) {
        const element = neighbours[s];
        if (!alive[element]) continue;
        if (outside[element] < tag) outside[element] = tag + elementSize[element];
        outside[element]--;
      }
    }
  }

  /**
   * Drops from the lists of the newest element's nodes what it covers, and bounds their degrees. Nodes adjacent to it alone
   * are eliminated at once, which adds no fill.
   */
  compress(pivot: number): void {
    const { alive, degree, elements, gone, mark, neighbours, outside, plain, pool, poolEnd, queue, start, tag } = this;
    const begin = this.elementStart[pivot];
    const size = this.elementSize[pivot];
    let kept = begin;
    for (let p = begin; p < poolEnd; p++) {
      const node = pool[p];
      queue.remove(node);
      const from = start[node];
      const elementEnd = from + elements[node];
      const end = elementEnd + plain[node];
      let write = from;
      let external = 0;
      for (let s = from; s < elementEnd; s++) {
        const element = neighbours[s];
        if (!alive[element]) continue;
        const beyond = outside[element] - tag;
        if (beyond === 0) continue; // covered by the new element
        external += beyond;
        neighbours[write++] = element;
      }
      const elementCount = write - from;
      let plainCount = 0;
      for (let s = elementEnd; s < end; s++) {
        const other = neighbours[s];
        if (gone[other] || mark[other] === pivot) continue;
        neighbours[write++] = other;
        plainCount++;
      }
      if (elementCount === 0 && plainCount === 0) {
        gone[node] = 1;
        this.order[this.done++] = node;
        continue;
      }
      // The new element goes between the two lists.
      if (plainCount > 0) neighbours[write] = neighbours[from + elementCount];
      neighbours[from + elementCount] = pivot;
      elements[node] = elementCount + 1;
      plain[node] = plainCount;
      degree[node] = Math.min(degree[node] + size - 1, external + plainCount + size - 1);
      pool[kept++] = node;
    }
    this.poolEnd = kept;
    this.elementSize[pivot] = kept - begin;
  }

  /** Puts the newest element's nodes back into the queue, with no degree above the number of nodes left. */
  updateDegrees(pivot: number): void {
    const { degree, n, pool, poolEnd, queue } = this;
    const most = n - this.done - 1;
    for (let p = this.elementStart[pivot]; p < poolEnd; p++) {
      const node = pool[p];
      degree[node] = Math.min(degree[node], most);
      queue.add(node);
    }
    this.tag += n + 1;
  }
}

/** Distinct neighbours of each node, in one array. */
const adjacency = (
  n: number,
  first: Int32Array,
  second: Int32Array,
  edges: Int32Array,
): { start: Int32Array; neighbours: Int32Array } => {
  const count = new Int32Array(n + 1);
  for (let p = 0; p < edges.length; p++) {
    count[first[edges[p]] + 1]++;
    count[second[edges[p]] + 1]++;
  }
  for (let i = 0; i < n; i++) count[i + 1] += count[i];
  const all = new Int32Array(count[n]);
  const next = count.slice(0, n);
  for (let p = 0; p < edges.length; p++) {
    const i = first[edges[p]];
    const j = second[edges[p]];
    all[next[i]++] = j;
    all[next[j]++] = i;
  }
  const start = new Int32Array(n + 1);
  const seen = new Int32Array(n).fill(-1);
  let write = 0;
  for (let i = 0; i < n; i++) {
    start[i] = write;
    for (let s = count[i]; s < count[i + 1]; s++) {
      const other = all[s];
      if (seen[other] === i) continue;
      seen[other] = i;
      all[write++] = other;
    }
  }
  start[n] = write;
  return { start, neighbours: all.subarray(0, write) };
};

/** Nodes in buckets by degree; the last one added to the lowest bucket comes first. */
class DegreeQueue {
  private readonly head: Int32Array;
  private readonly next: Int32Array;
  private readonly previous: Int32Array;
  private lowest = 0;

  constructor(private readonly degree: Int32Array) {
    const n = degree.length;
    this.head = new Int32Array(n + 1).fill(-1);
    this.next = new Int32Array(n);
    this.previous = new Int32Array(n);
    for (let i = n - 1; i >= 0; i--) this.add(i);
  }

  add(node: number): void {
    const d = this.degree[node];
    const old = this.head[d];
    this.next[node] = old;
    this.previous[node] = -1;
    if (old >= 0) this.previous[old] = node;
    this.head[d] = node;
    if (d < this.lowest) this.lowest = d;
  }

  /** Takes a node out; its degree must still be the one it was added with. */
  remove(node: number): void {
    const before = this.previous[node];
    const after = this.next[node];
    if (before >= 0) this.next[before] = after;
    else this.head[this.degree[node]] = after;
    if (after >= 0) this.previous[after] = before;
  }

  takeSmallest(): number {
    while (this.head[this.lowest] < 0) this.lowest++;
    const node = this.head[this.lowest];
    this.remove(node);
    return node;
  }
}
