import { type CubicCurve, pieceOf, slopeAt, valueAt } from "../numerics/interpolation.js";
import { commonRange, type FamilyMember, homologous } from "./family.js";
import { cubicsThrough, knotsBetween, pressureEnds, standApart } from "./knots.js";
import type { BaseCurve } from "./model.js";

/** A value and its slope. */
type Valued = readonly [value: number, slope: number];

/** Second derivative of a curve; 0 on the lines beyond its ends. */
const curvatureAt = (curve: CubicCurve, x: number): number => {
  const next = curve.knots.findIndex((knot) => knot > x);
  if (next < 1) return 0;
  const { second, third } = pieceOf(curve, next - 1);
  return second + (x - curve.knots[next - 1]) * third;
};

/** A curve that goes on with its end slopes, since a blend may begin or end a little outside of one of its curves. */
const smoothed = (curve: CubicCurve): CubicCurve => {
  const { 0: left, [curve.slopes.length - 1]: right } = curve.slopes;
  return { ...curve, left, right };
};

/** A member's pressure over the square of its speed, at flow over speed; the fan laws hold both constant. */
const homologousPressure = (member: FamilyMember): CubicCurve => {
  const { speed } = member;
  const { values, slopes, ...curve } = smoothed(member.base.pressure);
  return {
    knots: Float64Array.from(homologous(member)),
    values: values.map((value) => value / speed ** 2),
    slopes: slopes.map((slope) => slope / speed),
    left: curve.left / speed,
    right: curve.right / speed,
  };
};

/** Exponent of power over speed between two members at equal flow over speed, and its derivative by that. */
export const powerExponent = (lower: FamilyMember, upper: FamilyMember, x: number): [number, number] => {
  const logarithm = ({ speed, base: { power } }: FamilyMember): [number, number] => {
    const [value, slope] = [valueAt(power as CubicCurve, x * speed), slopeAt(power as CubicCurve, x * speed)];
    return [Math.log(value), (speed * slope) / value];
  };
  const [a, b] = [logarithm(lower), logarithm(upper)];
  const step = Math.log(upper.speed / lower.speed);
  return [(b[0] - a[0]) / step, (b[1] - a[1]) / step];
};

/**
 * Power at a speed between two members, with its slope: each member's power, at equal flow over speed, scaled by the
 * exponent that leads from the one to the other there. Where both have points the two agree, at any exponent;
 * beyond, the exponent is held and they are blended as pressures are.
 */
const powerLaw = (lower: FamilyMember, upper: FamilyMember, n: number, mix: Mix) => {
  const [from, to] = commonRange(lower, upper);
  return (q: number): [number, number] => {
    const x = q / n;
    const held = Math.min(Math.max(x, from), to);
    const [exponent, change] = powerExponent(lower, upper, held);
    const part = ({ speed, base: { power } }: FamilyMember): [number, number] => {
      const factor = (n / speed) ** exponent;
      const value = factor * valueAt(power as CubicCurve, x * speed);
      const slope = factor * speed * slopeAt(power as CubicCurve, x * speed);
      return [value, (slope + (x === held ? value * Math.log(n / speed) * change : 0)) / n];
    };
    const [low, high] = [part(lower), part(upper)];
    return [mix(low[0], high[0]), mix(low[1], high[1])];
  };
};

/** The blend of a value of the lower and one of the upper of two neighbours. */
type Mix = (low: number, high: number) => number;

/**
 * Two neighbours of a family at any speed between theirs, the lower one's included: each by the fan laws, blended
 * linearly in speed.
 */
export class BetweenSpeeds {
  private readonly low: CubicCurve;
  private readonly high: CubicCurve;
  /** Flow over speed at the points of both, rising, and the homologous pressures of each there. */
  readonly inner: readonly number[];
  readonly lowAt: readonly Valued[];
  readonly highAt: readonly Valued[];
  /** Flow over speed where the points of each begin, and where they end. */
  private readonly ends: readonly (readonly [low: number, high: number])[];

  constructor(
    readonly lower: FamilyMember,
    readonly upper: FamilyMember,
  ) {
    this.low = homologousPressure(lower);
    this.high = homologousPressure(upper);
    const [a, b] = [[...this.low.knots], [...this.high.knots]];
    this.ends = [
      [a[0], b[0]],
      [a[a.length - 1], b[b.length - 1]],
    ];
    this.inner = knotsBetween(Math.min(...this.ends[0]), Math.max(...this.ends[1]), [...a, ...b]);
    const valuesOf = (curve: CubicCurve): Valued[] => this.inner.map((x) => valuedAt(curve, x));
    this.lowAt = valuesOf(this.low);
    this.highAt = valuesOf(this.high);
  }

  /** The pressure at a speed. */
  pressureAt(n: number): CubicCurve {
    const { ends, high, highAt, inner, low, lowAt } = this;
    const mix = this.mixAt(n);
    const [from, to] = [mix(...ends[0]), mix(...ends[1])];
    const [start, stop] = standApart(from, to, inner);
    const count = stop - start + 2;
    const [knots, values, slopes] = [new Float64Array(count), new Float64Array(count), new Float64Array(count)];
    const put = (at: number, x: number, [a, aSlope]: Valued, [b, bSlope]: Valued): void => {
      knots[at] = n * x;
      values[at] = n ** 2 * mix(a, b);
      slopes[at] = n * mix(aSlope, bSlope);
    };
    put(0, from, valuedAt(low, from), valuedAt(high, from));
    for (let i = start; i < stop; i++) put(i - start + 1, inner[i], lowAt[i], highAt[i]);
    put(count - 1, to, valuedAt(low, to), valuedAt(high, to));
    const [left, right] = pressureEnds(slopes);
    return { knots, values, slopes, left, right };
  }

  /** The curve at a speed, other than the lower one's, as a separate curve. */
  baseAt(n: number): BaseCurve {
    const { lower, upper } = this;
    const pressure = this.pressureAt(n);
    const mix = this.mixAt(n);
    const knots = [...pressure.knots];
    const { density, controlsPower } = lower.base;
    if (lower.base.efficiency !== undefined && upper.base.efficiency !== undefined) {
      const [a, b] = [smoothed(lower.base.efficiency), smoothed(upper.base.efficiency)];
      const [m, k] = [lower.speed / n, upper.speed / n];
      const efficiency = cubicsThrough(
        knots,
        (q) => [mix(valueAt(a, q * m), valueAt(b, q * k)), mix(m * slopeAt(a, q * m), k * slopeAt(b, q * k))],
        () => [0, 0],
      );
      return { density, controlsPower, pressure, efficiency };
    }
    if (lower.base.power === undefined) return { density, controlsPower, pressure };
    return { density, controlsPower, pressure, power: cubicsThrough(knots, powerLaw(lower, upper, n, mix)) };
  }

  /** Derivative by speed of the pressure at a flow; at the speed of the lower that towards the upper. */
  pressureBySpeed(n: number, flow: number): number {
    const { ends, high, low, lower, upper } = this;
    const mix = this.mixAt(n);
    const step = upper.speed - lower.speed;
    const x = flow / n;
    const [from, to] = [mix(...ends[0]), mix(...ends[1])];
    const at = Math.min(Math.max(x, from), to);
    const [a, b] = [valuedAt(low, at), valuedAt(high, at)];
    const [value, slope] = [mix(a[0], b[0]), mix(a[1], b[1])];
    // p = n²·P(x, n) with x = q/n, and P blended linearly in n.
    const own = 2 * n * value - flow * slope + (n ** 2 * (b[0] - a[0])) / step;
    if (x === at) return own;
    // On the line beyond an end, which moves and turns with speed: P = P(end) + slope·(x − end).
    const end = x < from ? ends[0] : ends[1];
    const level = x < from && slope > 0;
    const line = level ? 0 : slope;
    const endBySpeed = (end[1] - end[0]) / step;
    const turn = level ? 0 : mix(curvatureAt(low, at), curvatureAt(high, at)) * endBySpeed + (b[1] - a[1]) / step;
    const beyond = x - at;
    const whole = value + line * beyond;
    const bySpeed = (b[0] - a[0]) / step + (slope - line) * endBySpeed + turn * beyond;
    return 2 * n * whole - flow * line + n ** 2 * bySpeed;
  }

  private mixAt(n: number): Mix {
    const share = (n - this.lower.speed) / (this.upper.speed - this.lower.speed);
    return (low, high) => (1 - share) * low + share * high;
  }
}

const valuedAt = (curve: CubicCurve, x: number): Valued => [valueAt(curve, x), slopeAt(curve, x)];

/** Speeds between two neighbours at which the pressure between two of their points begins to rise with flow or ceases to. */
export const turningSpeeds = ({ highAt, inner, lower, lowAt, upper }: BetweenSpeeds): number[] => {
  const rise = (at: readonly Valued[], piece: number): number => at[piece + 1][0] - at[piece][0];
  return inner.slice(1).flatMap((_, piece) => {
    const [low, high] = [rise(lowAt, piece), rise(highAt, piece)];
    return low * high < 0 ? [lower.speed + (low / (low - high)) * (upper.speed - lower.speed)] : [];
  });
};
