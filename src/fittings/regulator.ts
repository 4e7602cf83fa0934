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
/** Share of the flow over which the law of what is needed turns at either end of the band, so that its slope is one [-]. */
const corner = 1e-3;

/**
 * The loss of a constant-flow regulator by its flow: Δp = p_min·(q/q_low)² fully open, a steep rise from (1 − accuracy) to
 * (1 + accuracy) of the set flow, and p_max·(q/q_high)² as far shut as it goes. Air the other way finds it fully open.
 *
 * @returns Loss [Pa] over flow [m³/s], rising all along.
 *
 * Source: definition (common practice, no source): makers give a set flow, a pressure band and an accuracy.
 */
export const regulatorCurve = (regulator: Regulator): CubicCurve => {
  const { low, high } = bandOf(regulator);
  return withShape(regulator, [
    [low, regulator.minPressure, (2 * regulator.minPressure) / low],
    [high, regulator.maxPressure, (2 * regulator.maxPressure) / high],
  ]);
};

/**
 * What a constant-flow regulator needs of a fan, by the flow through it: fully open as `regulatorCurve`; p_min for any flow
 * that it may hold, (1 ∓ accuracy) of the set flow, as it takes all the pressure that is left; beyond, as far shut as it goes.
 *
 * @returns Pressure [Pa] over flow [m³/s], nowhere falling.
 *
 * Source: definition (common practice, no source).
 */
export const regulatorNeed = (regulator: Regulator): CubicCurve => {
  const { low, high } = bandOf(regulator);
  const { minPressure, maxPressure } = regulator;
  const before = low * (1 - corner);
  const after = high * (1 + corner);
  return withShape(regulator, [
    [before, minPressure * (1 - corner) ** 2, (2 * minPressure * (1 - corner)) / low],
    [low, minPressure, 0],
    [high, minPressure, 0],
    [after, maxPressure * (1 + corner) ** 2, (2 * maxPressure * (1 + corner)) / high],
  ]);
};

/** Ends of the band, over the set flow. */
const bandOf = ({ accuracy }: Regulator): { readonly low: number; readonly high: number } => ({
  low: 1 - accuracy,
  high: 1 + accuracy,
});

/** A knot of a regulator's law: flow over the set flow, pressure, and its slope there. */
type Knot = readonly [at: number, value: number, slope: number];

/** A law with these knots between a parabola fully open and one as far shut as it goes. */
const withShape = (regulator: Regulator, knots: readonly Knot[]): CubicCurve => {
  const { flow, minPressure, maxPressure } = regulator;
  const { low, high } = bandOf(regulator);
  const open = minPressure / (low * low);
  const shut = maxPressure / (high * high);
  // Between two knots a parabola is the cubic with its values and slopes.
  const points: readonly Knot[] = [
    [-farthest, -open * farthest ** 2, 2 * open * farthest],
    [0, 0, 0],
    ...knots,
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
