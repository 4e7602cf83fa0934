/** A fault of an element that shows only beside other keys or elements; `key` is relative to the element. */
export interface ElementProblem {
  readonly code: string;
  readonly key: string;
  readonly expected: string;
  readonly found: string;
  readonly nearest?: string;
}
