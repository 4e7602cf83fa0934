/** Unstable answers and crests that one search may leave. */
const escapesAllowed = 8;
/** Steps without a new best residual after which steps are guarded, though all laws rise: whole steps never failed there. */
const patienceUnguarded = 4;
/** Steps without a new best residual after which the search has stalled. */
const patience = 30;

/** How a search by Newton's method has gone so far. */
export class SearchProgress {
  private best = Number.POSITIVE_INFINITY;
  private sinceBest = 0;
  private escapes = 0;
  /** Whether an answer was met that is unstable, and left. */
  leftUnstable = false;
  /** Whether steps are cut back where the content would rise. */
  guarded = false;

  get mayEscape(): boolean {
    return this.escapes < escapesAllowed;
  }

  /** Counts an escape; residuals are compared afresh after it. */
  escape(): number {
    this.best = Number.POSITIVE_INFINITY;
    return ++this.escapes;
  }

  /**
   * Takes on the residual before a step, over what is tolerated.
   *
   * @param descending - Whether the last step led down from a crest: on that way residuals rise before they fall.
   */
  record(residual: number, descending: boolean): void {
    this.sinceBest = residual < this.best || descending ? 0 : this.sinceBest + 1;
    this.best = Math.min(this.best, residual);
  }

  get stalled(): boolean {
    return this.sinceBest > patience;
  }

  /** Guards all steps from here on where a law falls, or where whole steps have led nowhere for a while. */
  guard(falling: boolean): void {
    this.guarded ||= falling || this.sinceBest >= patienceUnguarded;
  }
}
