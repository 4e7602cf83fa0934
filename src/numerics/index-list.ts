/** A list of whole numbers that grows, in the flat array that it becomes. */
export class IndexList {
  length = 0;
  private array: Int32Array;

  /** @param expected - How many there will probably be, so that none need be moved. */
  constructor(expected = 16) {
    this.array = new Int32Array(Math.max(expected, 1));
  }

  /** Adds a number; returns its place. */
  push(value: number): number {
    if (this.length === this.array.length) {
      const larger = new Int32Array(2 * this.length);
      larger.set(this.array);
      this.array = larger;
    }
    this.array[this.length] = value;
    return this.length++;
  }

  /** The numbers so far; the list ends its life with this. */
  toArray(): Int32Array {
    return this.array.subarray(0, this.length);
  }
}
