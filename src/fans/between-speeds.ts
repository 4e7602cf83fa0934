import { type CubicCurve, pieceOf, slopeAt, valueAt } from "../numerics/interpolation.js";
import { commonRange, type FamilyMember, homologous } from "./family.js";
import { cubicsThrough, knotsBetween, pressureEnds } from "./knots.js";
import type { BaseCurve } from "./model.js";

/** Pressure at a flow and a speed, with its derivatives by flow and by speed. */
interface PressureState {
  readonly value: number;
  readonly slope: number;
  readonly curvature: number;
  readonly valueBySpeed: number;
  readonly slopeBySpeed: number;
}

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

/**
 * A member's pressure at another speed. By the fan laws it is homogeneous of degree 2 in flow and speed, and its slope of
 * degree 1, so that Euler's theorem gives the derivatives by speed.
 */
const scaled = ({ speed, base: { pressure } }: FamilyMember, n: number, q: number): PressureState => {
  const smooth = smoothed(pressure);
  const ratio = n / speed;
  const value = ratio ** 2 * valueAt(smooth, q / ratio);
  const slope = ratio * slopeAt(smooth, q / ratio);
  const curvature = curvatureAt(smooth, q / ratio);
  return {
    value,
    slope,
    curvature,
    valueBySpeed: (2 * value - q * slope) / n,
    slopeBySpeed: (slope - q * curvature) / n,
  };
};

/** The blend of two members at a speed between theirs, the speed of the lower included: each by the laws, linear in speed. */
const blended = (lower: FamilyMember, upper: FamilyMember, n: number) => {
  const step = upper.speed - lower.speed;
  const share = (n - lower.speed) / step;
  const mix = (a: number, b: number): number => (1 - share) * a + share * b;
  /** The derivative by speed of a blend whose parts have these values and derivatives. */
  const mixBySpeed = (a: number, b: number, aBySpeed: number, bBySpeed: number): number =>
    (b - a) / step + mix(aBySpeed, bBySpeed);

  const [a, b] = [homologous(lower), homologous(upper)];
  const inner = [...a, ...b].map((x) => x * n);
  const ends = [[a[0], b[0]] as const, [a[a.length - 1], b[b.length - 1]] as const].map(([x, y]) => ({
    flow: n * mix(x, y),
    bySpeed: mixBySpeed(n * x, n * y, x, y),
  }));

  const pressureState = (q: number): PressureState => {
    const [low, high] = [scaled(lower, n, q), scaled(upper, n, q)];
    return {
      value: mix(low.value, high.value),
      slope: mix(low.slope, high.slope),
      curvature: mix(low.curvature, high.curvature),
      valueBySpeed: mixBySpeed(low.value, high.value, low.valueBySpeed, high.valueBySpeed),
      slopeBySpeed: mixBySpeed(low.slope, high.slope, low.slopeBySpeed, high.slopeBySpeed),
    };
  };
  return { mix, inner, ends, pressureState };
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
 * Power at a speed between two members, with its slope: that of each member, at equal flow over speed, scaled by the
 * exponent that leads from the one to the other there. Where both have points the two agree, whatever the exponent is;
 * beyond, the exponent is held and they are blended as pressures are.
 */
const powerLaw = (lower: FamilyMember, upper: FamilyMember, n: number, mix: (a: number, b: number) => number) => {
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

/** The curve between two members at a speed, as a curve of its own; never at the speed of one of them. */
export function baseBetween(lower: FamilyMember, upper: FamilyMember, n: number): BaseCurve {
  const { mix, inner, ends, pressureState } = blended(lower, upper, n);
  const knots = knotsBetween(ends[0].flow, ends[1].flow, inner);
  const pressure = cubicsThrough(
    knots,
    (q) => {
      const { value, slope } = pressureState(q);
      return [value, slope];
    },
    pressureEnds,
  );
  const { density, standbyPower } = lower.base;
  if (lower.base.efficiency !== undefined && upper.base.efficiency !== undefined) {
    const [a, b] = [smoothed(lower.base.efficiency), smoothed(upper.base.efficiency)];
    const [m, k] = [lower.speed / n, upper.speed / n];
    const efficiency = cubicsThrough(
      knots,
      (q) => [mix(valueAt(a, q * m), valueAt(b, q * k)), mix(m * slopeAt(a, q * m), k * slopeAt(b, q * k))],
      () => [0, 0],
    );
    return { density, standbyPower, pressure, efficiency };
  }
  if (lower.base.power === undefined) return { density, standbyPower, pressure };
  return { density, standbyPower, pressure, power: cubicsThrough(knots, powerLaw(lower, upper, n, mix)) };
}

/** Derivative by speed of the pressure between two members, at a flow; at the speed of the lower that towards the upper. */
export function pressureBySpeedBetween(lower: FamilyMember, upper: FamilyMember, n: number, flow: number): number {
  const { ends, pressureState } = blended(lower, upper, n);
  const [first, last] = ends;
  if (flow >= first.flow && flow <= last.flow) return pressureState(flow).valueBySpeed;
  // On the line beyond an end, which moves and turns with speed.
  const end = flow < first.flow ? first : last;
  const { value: _, slope, curvature, valueBySpeed, slopeBySpeed } = pressureState(end.flow);
  const level = end === first && slope > 0;
  const [line, turn] = level ? [0, 0] : [slope, curvature * end.bySpeed + slopeBySpeed];
  return slope * end.bySpeed + valueBySpeed + turn * (flow - end.flow) - line * end.bySpeed;
}
