import { valueAt } from "../numerics/interpolation.js";
import { bracketedRoot } from "../numerics/roots.js";
import type { BaseCurve } from "./model.js";

/** The speed of a curve relative to a faster one's, as found from its points [-]. */
export interface SpeedWithin {
  readonly mean: number;
  readonly least: number;
  readonly most: number;
}

/** Speeds among which the one that leads a curve through a point is looked for, relative to the curve's [-] */
const slowest = 1e-3;
const fastest = 10;

/** Part of a flow by which a place may lie beyond the end of a curve: what rounding does. */
const touching = 1e-9;

/**
 * The speed, relative to a faster curve's, at which the fan laws lead that curve through the points of another: the mean
 * over the points with a pressure above 0, with the least and the most of them. Only points count that they lead a place
 * between the faster curve's own points to, since its extension is no data. NaN where there is none.
 */
export const speedWithin = (slow: BaseCurve, fast: BaseCurve): SpeedWithin => {
  if (slow === fast) return { mean: 1, least: 1, most: 1 };
  const { knots, values } = slow.pressure;
  const { 0: first, [fast.pressure.knots.length - 1]: last } = fast.pressure.knots;
  const found: number[] = [];
  for (let i = 0; i < knots.length; i++) {
    if (!(values[i] > 0)) continue;
    const beyond = (n: number): number => n * n * valueAt(fast.pressure, knots[i] / n) - values[i];
    const speed = bracketedRoot(beyond, slowest, fastest);
    if (speed === undefined) continue;
    const place = knots[i] / speed;
    if (place >= first - touching * last && place <= last + touching * last) found.push(speed);
  }
  const mean = found.reduce((sum, speed) => sum + speed, 0) / found.length;
  return { mean, least: Math.min(...found), most: Math.max(...found) };
};
