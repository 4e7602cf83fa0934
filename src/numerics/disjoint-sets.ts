/**
 * Sets of numbers that are joined pair by pair.
 *
 * Source: Tarjan and van Leeuwen, Worst-case analysis of set union algorithms, J. ACM 31 (1984), for path halving
 * (memory).
 */
export class DisjointSets {
  private readonly above: Int32Array;

  /** @param size - The numbers are 0 to size − 1, each in a set of its own. */
  constructor(size: number) {
    this.above = new Int32Array(size);
    for (let i = 0; i < size; i++) this.above[i] = i;
  }

  /** The number that stands for the whole set of a number. */
  leaderOf(member: number): number {
    const { above } = this;
    let at = member;
    while (above[at] !== at) {
      above[at] = above[above[at]];
      at = above[at];
    }
    return at;
  }

  /** Joins the sets of two numbers; false where they were one already. */
  join(one: number, other: number): boolean {
    const a = this.leaderOf(one);
    const b = this.leaderOf(other);
    this.above[a] = b;
    return a !== b;
  }
}
