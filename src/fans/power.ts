import { type CubicCurve, valueAt } from "../numerics/interpolation.js";

/** A curve's pressure with its power or efficiency, at the density and speed of its points. */
export interface PowerData {
  readonly pressure: CubicCurve;
  readonly power?: CubicCurve;
  readonly efficiency?: CubicCurve;
}

/** The value, or undefined where it is too large for a number. */
export const ifFinite = (value: number): number | undefined => (Number.isFinite(value) ? value : undefined);

/**
 * Electrical input [W] without controls power, at the density and speed of the points; never below 0.
 *
 * @returns Undefined where nothing is known: without power or efficiency points, and, from efficiency, where the flow or
 * the efficiency is not above 0.
 */
export const electricalInput = ({ pressure, power, efficiency }: PowerData, flow: number): number | undefined => {
  if (power !== undefined) return Math.max(0, valueAt(power, flow));
  if (efficiency === undefined || !(flow > 0)) return undefined;
  const held = valueAt(efficiency, flow);
  return held > 0 ? Math.max(0, (flow * valueAt(pressure, flow)) / held) : undefined;
};

/**
 * Flow times total pressure over the electrical input without controls power [-].
 *
 * @returns Undefined where nothing is known, and, from power, where air power or input is not above 0.
 */
export const totalEfficiency = ({ pressure, power, efficiency }: PowerData, flow: number): number | undefined => {
  // Just before a point of efficiency 0 rounding can fall below it.
  if (efficiency !== undefined) return Math.max(0, valueAt(efficiency, flow));
  if (power === undefined) return undefined;
  const airPower = flow * valueAt(pressure, flow);
  const input = valueAt(power, flow);
  return flow > 0 && airPower > 0 && input > 0 ? ifFinite(airPower / input) : undefined;
};
