import type { Range } from "../../core/ranges.js";
import type { Source } from "../../core/sources.js";
import type { Spread } from "../fitting.js";

/** A published model of tees by name. */
export type TeeModelName = "gardel" | "idelchik" | "momentum";

/** How far published models and measurements of tees lie from a coefficient: nine in ten lie within. */
export interface TeeSpread extends Spread {
  /**
   * What `shared` and `own` are at least fractions of [-]: coefficients of tees pass through zero, where a fraction of
   * them says nothing.
   */
  readonly least: number;
}

/** What the published formulas take. */
export interface TeeShape {
  /** Between the branch leg and leg b [rad] */
  readonly angle: number;
  /** A_branch/A_main [-] */
  readonly areaRatio: number;
  /** Radius of the edge between main and branch over the diameter of the main [-] */
  readonly edgeRadius: number;
}

/**
 * Writes the total-pressure differences of a to the branch and of b to the branch, times 2ρA² of the main, and their
 * derivatives ∂/∂a and ∂/∂b of each, as `TeeLaw.evaluate` does, for a main of one section while one straight leg brings
 * air and the other takes it.
 */
export type StraightFlow = (a: number, b: number, out: Float64Array) => void;

/** A published model of tees. */
export interface TeeModel {
  readonly name: TeeModelName;
  /** Author and year. */
  readonly title: string;
  readonly sources: readonly Source[];
  readonly spread: TeeSpread;
  /** What the source covers; outside, values are computed all the same and flagged. */
  readonly covered: {
    /** Of the branch air [rad] */
    readonly turn: Range;
    readonly areaRatio: Range;
    readonly edgeRadius: Range;
  };
  /**
   * Share of the branch in the sum below which diverging and converging forms are blended [-], since they do not meet where
   * the branch flow is zero; 0 where they do.
   */
  readonly blended: number;
  straightFlow(shape: TeeShape): StraightFlow;
}

/** The weight of a blend: 0 to 1 with zero slope at both ends, s²(3 − 2s) between, of s held to 0 to 1. */
export const blend = (s: number): number => {
  if (s <= 0) return 0;
  return s >= 1 ? 1 : s * s * (3 - 2 * s);
};

/** The slope of `blend`. */
export const blendSlope = (s: number): number => (s <= 0 || s >= 1 ? 0 : 6 * s * (1 - s));
