import type { CubicCurve } from "../numerics/interpolation.js";

/** A constant-flow regulator: what it holds, between which pressures, and how well. */
export interface Regulator {
  /** Flow that it holds [m³/s], above 0. */
  readonly flow: number;
  /** Pressure loss from which it holds its flow; below, it stands fully open [Pa], above 0. */
  readonly minPressure: number;
  /** Pressure loss up to which it holds its flow; above, it stands as far shut as it goes [Pa]. */
  readonly maxPressure: number;
  /** By how much its flow rises from the middle of its band to either end, as a share of it [-], above 0. */
  readonly accuracy: number;
}

/** Flow over the set flow up to which the law is exact; beyond, its last slope goes on [-]. */
const farthest = 5;

/**
 * The loss of a constant-flow regulator by its flow: Δp = p_min·(q/q_low)² fully open, a steep rise from (1 − accuracy) to
 * (1 + accuracy) of the set flow, and p_max·(q/q_high)² as far shut as it goes. Air the other way finds it fully open.
 *
 * @returns Loss [Pa] over flow [m³/s], rising all along.
 *
 * Source: definition (common practice, no source): makers give a set flow, a pressure band and an accuracy.
 */
export const regulatorCurve = ({ flow, minPressure, maxPressure, accuracy }: Regulator): CubicCurve => {
  const low = 1 - accuracy;
  const high = 1 + accuracy;
  const open = minPressure / (low * low);
  const shut = maxPressure / (high * high);
  // In multiples of the set flow. Between two knots a parabola is the cubic with its values and slopes.
  const points: readonly (readonly [at: number, value: number, slope: number])[] = [
    [-farthest, -open * farthest ** 2, 2 * open * farthest],
    [0, 0, 0],
    [low, minPressure, 2 * open * low],
    [high, maxPressure, 2 * shut * high],
    [farthest, shut * farthest ** 2, 2 * shut * farthest],
  ];
  const slopes = Float64Array.from(points, ([, , slope]) => slope / flow);
  return {
    knots: Float64Array.from(points, ([at]) => at * flow),
    values: Float64Array.from(points, ([, value]) => value),
    slopes,
    left: slopes[0],
    right: slopes[slopes.length - 1],
  };
};
