import { type CubicCurve, pchip, valueAt } from "../numerics/interpolation.js";

/**
 * By how much a loss coefficient exceeds its value at high Reynolds numbers: a factor [-] over ln Re, held at its first
 * and last value outside the points.
 */
export type ReynoldsFactor = CubicCurve;

/**
 * A factor through the points of a table: between two of them it stays within their values.
 *
 * @param points - Reynolds number [-], strictly rising, and factor [-].
 */
export const reynoldsFactor = (points: readonly (readonly [reynolds: number, factor: number])[]): ReynoldsFactor =>
  pchip(
    points.map(([reynolds]) => Math.log(reynolds)),
    points.map(([, factor]) => factor),
    0,
    0,
  );

/** ln Re; 0 from Re 1 down to rest, where every factor is long held. */
const logOf = (reynolds: number): number => Math.log(Math.max(reynolds, 1));

/** The factor at a Reynolds number [-]; at rest its first value. */
export const factorAt = (factor: ReynoldsFactor, reynolds: number): number => valueAt(factor, logOf(reynolds));
