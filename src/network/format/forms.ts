/**
 * A document's element has two forms: as a person writes it, and as `parseNetwork` gives it, in SI with every default
 * filled in. One type describes both, so that they cannot drift apart.
 */
export type Form = "written" | "parsed";

/** A quantity: parsed it is a number in SI, written also a text such as "180 mm". */
export type Quantified<F extends Form> = F extends "parsed" ? number : number | string;

/** Keys with a default: parsed they are all there, written each may be left out. */
export type Preset<F extends Form, T> = F extends "parsed" ? T : Partial<T>;

/** Keys that every node, duct and opening may carry. */
export interface Labelled {
  /** A name for people; ignored. */
  readonly label?: string;
  /** Any JSON; kept, but ignored. */
  readonly meta?: unknown;
}
