/**
 * One fault, as data. `path` says where (in a document by position: `ducts.3.section.diameter`), `message` is one
 * sentence for people, and the other fields carry the same facts for programs.
 */
export interface Problem {
  /** A stable word for the kind of fault, listed in docs/errors.md. */
  readonly code: string;
  /** Where the fault is: words joined by dots; the empty text is the whole input. */
  readonly path: string;
  /** One sentence: what is wrong and what would be right. */
  readonly message: string;
  /** The id of the element that the path leads to, where it has one. */
  readonly id?: string;
  /** What would be right. */
  readonly expected?: string;
  /** What was there, shortened. */
  readonly found?: string;
  /** The nearest known name, where a name was not known. */
  readonly nearest?: string;
}

/** Where a value stands: its path by position, and the id of the element that holds it. */
export interface Place {
  readonly path: string;
  readonly id?: string;
}

/** The sentence that all problems share, without its subject. */
export const expectation = (expected: string, found: string, nearest?: string): string =>
  `expected ${expected}, got ${found}${nearest === undefined ? "" : `; did you mean '${nearest}'?`}`;

/** What a problem may say beside its four parts. */
interface ProblemDetails {
  readonly id?: string;
  readonly nearest?: string;
  /** What the sentence speaks of, where it is not the path. */
  readonly subject?: string;
  /** What was there in the words of the sentence, where they are not `found`. */
  readonly got?: string;
}

/** The problem of a value that is not what it should be. */
export const problemOf = (
  code: string,
  path: string,
  expected: string,
  found: string,
  { id, nearest, subject = path, got = found }: ProblemDetails = {},
): Problem => ({
  code,
  path,
  message: `${subject}: ${expectation(expected, got, nearest)}`,
  ...(id === undefined ? {} : { id }),
  expected,
  found,
  ...(nearest === undefined ? {} : { nearest }),
});

/** A path of the words that are not empty. */
export const joined = (...words: readonly string[]): string => words.filter((word) => word !== "").join(".");

const summary = (subject: string, problems: readonly Problem[]): string => {
  const shown = problems.slice(0, 5).map((problem) => `\n  - ${problem.message}`);
  const rest = problems.length - shown.length;
  const count = problems.length === 1 ? "1 problem" : `${problems.length} problems`;
  return `${subject}: ${count}${shown.join("")}${rest > 0 ? `\n  and ${rest} more in error.problems` : ""}`;
};

/**
 * A wrong document, with all its faults at once in `problems`.
 *
 * Test `error.name === "DocumentError"` where several copies of the library may be loaded.
 */
export class DocumentError extends Error {
  override readonly name = "DocumentError";
  readonly problems: readonly Problem[];
  constructor(problems: readonly Problem[]) {
    super(summary("The document cannot be used", problems));
    this.problems = problems;
  }
}

/** A wrong argument, name or value given to a function other than the document readers. */
export class InputError extends Error {
  override readonly name = "InputError";
  readonly problems: readonly Problem[];
  constructor(problems: readonly Problem[]) {
    super(summary("Wrong input", problems));
    this.problems = problems;
  }
}

/** Why a solve ended without an answer. */
export type SolveStatus = "max-iterations" | "stalled" | "not-finite" | "singular";

/** How far a failed solve came, and where it is worst. */
export interface SolveDiagnostics {
  /** Newton steps taken [-] */
  readonly iterations: number;
  /** Largest mass residual at any node [kg/s]; absent where it is not a number. */
  readonly massResidual?: number;
  /** Largest pressure residual of any branch [Pa]; absent where it is not a number. */
  readonly pressureResidual?: number;
  /** The node with the largest mass residual. */
  readonly worstNode?: string;
  /** The duct, or other branch, with the largest pressure residual. */
  readonly worstDuct?: string;
  /** What was tried, in order. */
  readonly tried: readonly string[];
}

/** A network without an answer that meets the tolerance. Never carries a half-converged number as a result. */
export class SolveError extends Error {
  override readonly name = "SolveError";
  readonly status: SolveStatus;
  readonly diagnostics: SolveDiagnostics;
  constructor(status: SolveStatus, message: string, diagnostics: SolveDiagnostics) {
    super(message);
    this.status = status;
    this.diagnostics = diagnostics;
  }
}
