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
export function minimumDegreeOrder(n: number, first: Int32Array, second: Int32Array, edges: Int32Array): Int32Array {
  const { start, neighbours } = adjacency(n, first, second, edges);
  // A node's slots hold first its elements, then the neighbours not yet covered by an element; both lists together
  // never outgrow the slots, since each new element replaces the neighbour or the element through which it came.
  const elements = new Int32Array(n);
  const plain = new Int32Array(n);
  const degree = new Int32Array(n);
  for (let i = 0; i < n; i++) {
    plain[i] = start[i + 1] - start[i];
    degree[i] = plain[i];
  }
  const queue = new DegreeQueue(degree);

  let pool = new Int32Array(Math.max(16, 2 * neighbours.length));
  let poolEnd = 0;
  const elementStart = new Int32Array(n);
  const elementSize = new Int32Array(n);
  const alive = new Uint8Array(n); // as an element
  const gone = new Uint8Array(n); // as a node
  const mark = new Int32Array(n).fill(-1);
  const outside = new Float64Array(n); // |element \ pivot's element|, offset by `tag` so that it needs no clearing
  let tag = 1;

  /** Adds a node to the clique of a pivot, once. */
  const reach = (node: number, pivot: number): void => {
    if (gone[node] || mark[node] === pivot) return;
    mark[node] = pivot;
    if (poolEnd === pool.length) {
      const larger = new Int32Array(2 * pool.length);
      larger.set(pool);
      pool = larger;
    }
    pool[poolEnd++] = node;
  };

  const order = new Int32Array(n);
  let done = 0;
  while (done < n) {
    const pivot = queue.takeSmallest();
    gone[pivot] = 1;
    order[done++] = pivot;
    mark[pivot] = pivot;

    const begin = poolEnd;
    const slots = start[pivot];
    for (let s = slots; s < slots + elements[pivot]; s++) {
      const element = neighbours[s];
      if (!alive[element]) continue;
      const end = elementStart[element] + elementSize[element];
      for (let p = elementStart[element]; p < end; p++) reach(pool[p], pivot);
      alive[element] = 0; // absorbed by the new element
    }
    for (let s = slots + elements[pivot]; s < slots + elements[pivot] + plain[pivot]; s++) reach(neighbours[s], pivot);
    const size = poolEnd - begin;
    alive[pivot] = 1;
    elementStart[pivot] = begin;

    for (let p = begin; p < poolEnd; p++) {
      const node = pool[p];
      for (let s = start[node]; s < start[node] + elements[node]; s++) {
        const element = neighbours[s];
        if (!alive[element]) continue;
        if (outside[element] < tag) outside[element] = tag + elementSize[element];
        outside[element]--;
      }
    }

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
        // Adjacent to the new element alone: eliminating it next adds no fill.
        gone[node] = 1;
        order[done++] = node;
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
    poolEnd = kept;
    elementSize[pivot] = kept - begin;
    for (let p = begin; p < kept; p++) {
      const node = pool[p];
      degree[node] = Math.min(degree[node], n - done - 1);
      queue.add(node);
    }
    tag += n + 1;
  }
  return order;
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
