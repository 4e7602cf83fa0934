import type { Source } from "../../core/sources.js";
import type { Spread } from "../../fittings/fitting.js";

/** One thing that a part of an answer rests on. */
export interface Provenance {
  readonly source: Source;
  /** The part, as a path by id. */
  readonly of: string;
  /** How far published values lie from what the source says. */
  readonly spread?: Spread;
  /** Something that the reader should know of this use of the source. */
  readonly note?: string;
}

/** What stands in the document, whose author knows where it comes from. */
export const givenSource: Source = { author: "the document", title: "given in the document", status: "read" };

/** A value that the document gives. */
export const givenProvenance = (of: string): Provenance => ({ source: givenSource, of });
