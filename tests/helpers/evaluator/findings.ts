/** Rounding of a flow or velocity in a record; it is nearly all relative. */
export const flowRounding = 1e-15;
/** Rounding of a pressure [Pa] or power [W] in a record. */
export const rounding = 1e-9;
/** What two ways to one pressure may differ by in an answer that is right to tolerance [Pa]. */
export const pressureTolerance = 2e-6;

/** Collects what an evaluation finds: the largest residuals with their places, and whatever contradicts the contract. */
export class Findings {
  massResidual = 0;
  worstNode: string | undefined;
  pressureResidual = 0;
  worstBranch: string | undefined;
  largestMassFlow = 0;
  largestPressure = 0;
  readonly problems: string[] = [];

  /** Air that stays at a node [kg/s]. */
  mass(place: string, residual: number): void {
    const size = sizeOf(residual);
    if (size > this.massResidual || this.worstNode === undefined) {
      this.massResidual = size;
      this.worstNode = place;
    }
  }

  /** A law that says `lawful` where the pressures of the answer differ by `found` [Pa]. */
  pressure(place: string, found: number, lawful: number): void {
    this.largestPressure = Math.max(this.largestPressure, Math.abs(found) || 0, Math.abs(lawful) || 0);
    const size = sizeOf(found - lawful);
    if (size > this.pressureResidual || this.worstBranch === undefined) {
      this.pressureResidual = size;
      this.worstBranch = place;
    }
  }

  /** Notes the size of a mass flow of the answer [kg/s], and gives it back. */
  massFlow(flow: number): number {
    this.largestMassFlow = Math.max(this.largestMassFlow, Math.abs(flow) || 0);
    return flow;
  }

  problem(text: string): void {
    this.problems.push(text);
  }

  /** A number of the answer; NaN, and a problem, where there is none. */
  number(place: string, record: object | undefined, key: string): number {
    const value = (record as Record<string, unknown> | undefined)?.[key];
    if (typeof value === "number") return value;
    this.missing(place, key);
    return Number.NaN;
  }

  missing(place: string, key: string): void {
    this.problem(`missing: ${place}.${key}`);
  }

  /** A number of the answer that must equal what the laws say, to 1e-9 of itself or `slack`. */
  equal(place: string, record: object | undefined, key: string, expected: number, slack: number): void {
    const found = (record as Record<string, unknown> | undefined)?.[key];
    if (found === undefined) this.missing(place, key);
    else if (!(Math.abs((found as number) - expected) <= 1e-9 * Math.abs(expected) + slack))
      this.problem(`${place}.${key}: expected ${expected}, got ${found}`);
  }

  /** A key that must not be there. */
  absent(place: string, record: object | undefined, key: string): void {
    if (record !== undefined && key in record) this.problem(`unexpected: ${place}.${key}`);
  }

  /** Exactly these keys. */
  keys(place: string, record: object | undefined, expected: readonly string[]): void {
    const wanted = new Set(expected);
    for (const key of wanted) if (record === undefined || !(key in record)) this.missing(place, key);
    for (const key of Object.keys(record ?? {})) if (!wanted.has(key)) this.problem(`unexpected: ${place}.${key}`);
  }

  /** No number without a value, anywhere: NaN, Infinity, null, or a key with nothing in it. */
  plain(place: string, value: unknown): void {
    if (typeof value === "object" && value !== null)
      for (const [key, item] of Object.entries(value)) {
        // Names of places take time, and most of what there is are numbers.
        if (!Number.isFinite(item)) this.plain(`${place}.${key}`, item);
      }
    else if (typeof value !== "boolean" && typeof value !== "string")
      this.problem(`${place}: expected a number or no such key, got ${value}`);
  }
}

/** A residual that is no number is the worst of all. */
const sizeOf = (residual: number): number => (Number.isNaN(residual) ? Number.POSITIVE_INFINITY : Math.abs(residual));
