/**
 * How the values of a source came into this library: `read` in the publication or a page that quotes it, computed
 * with a general-purpose `library`, `computed` here from a stated formula, or from `memory`, not yet seen.
 */
export type SourceStatus = "read" | "library" | "computed" | "memory";

/** Where a number comes from. */
export interface Source {
  readonly author: string;
  readonly title: string;
  /** Of publication [year]; absent where none is known. */
  readonly year?: number;
  /** Table, diagram, equation or page. */
  readonly where?: string;
  readonly status: SourceStatus;
}
