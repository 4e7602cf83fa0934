import { type CubicCurve, pieceOf, valueAt } from "../../numerics/interpolation.js";
import { rootsBetween } from "../../numerics/roots.js";
import { type ControlTerm, type FanTerm, fanPressure } from "./terms.js";

/** Stretches of speed in which a fan between curves at several speeds is looked at. */
const stretches = 32;

/** Pressures from the least to the largest [Pa]. */
type Span = readonly [least: number, largest: number];

const spanOf = (pressures: readonly number[]): Span => [Math.min(...pressures), Math.max(...pressures)];

/** The pressure of a controlled fan at a speed and a mass flow [Pa] */
export const pressureAtSpeed = (control: ControlTerm, speed: number, massFlow: number): number =>
  fanPressure(control.fanAt(speed), massFlow);

/** The straight or cubic part of a curve at a position, as value and derivatives at a place on it. */
const partAt = (curve: CubicCurve, x: number) => {
  const { knots, left, right, values } = curve;
  const last = knots.length - 1;
  if (x < knots[0]) return { at: knots[0], value: values[0], first: left, second: 0, third: 0 };
  if (x >= knots[last]) return { at: knots[last], value: values[last], first: right, second: 0, third: 0 };
  const i = knots.findIndex((knot) => knot > x) - 1;
  return { at: knots[i], value: values[i], ...pieceOf(curve, i) };
};

/**
 * Positions between two of one sign at which curve(x)/x² may cease to rise or to fall: the knots between, and where
 * x·curve′ − 2·curve is 0. At one flow that is the pressure over the speed of a fan with one curve, by the fan laws.
 */
const turnsOf = (curve: CubicCurve, from: number, to: number): number[] => {
  const knots = [...curve.knots].filter((knot) => knot > from && knot < to);
  const ends = [from, ...knots, to];
  const turns = ends.slice(1).flatMap((end, i) => {
    const start = ends[i];
    const { at, value, first, second, third } = partAt(curve, (start + end) / 2);
    const slope = (t: number): number => first + t * (second + (t * third) / 2);
    return rootsBetween(
      [
        (x) => x * slope(x - at) - 2 * (value + (x - at) * (first + (x - at) * (second / 2 + ((x - at) * third) / 6))),
        (x) => x * (second + (x - at) * third) - slope(x - at),
        (x) => x * third,
      ],
      start,
      end,
    );
  });
  return [...knots, ...turns];
};

/** The span over the speeds between two at which a fan has one curve. */
const spanOfOne = (one: FanTerm, other: FanTerm, massFlow: number): Span => {
  const { curve, flow, scale } = one;
  const [a, b] = [one, other].map((term) => term.flow * massFlow);
  const ends = [one, other].map((term) => fanPressure(term, massFlow));
  // At another position x of the curve the speed of `one` is multiplied by a/x; no flow is at 0 at any speed.
  const between = massFlow === 0 ? [] : turnsOf(curve, Math.min(a, b), Math.max(a, b));
  return spanOf([...ends, ...between.map((x) => scale * ((flow * massFlow) / x) ** 2 * valueAt(curve, x))]);
};

/**
 * The least and the largest pressure of a controlled fan at a mass flow over the speeds that it may take [Pa]; negative where
 * it is blown through.
 *
 * Of a fan with one curve they are exact but for rounding: its pressure is s²·p(q/s), made of cubics whose turns are found.
 * Between curves at several speeds it is looked at over 32 stretches of speed; in each it counts as going on, beyond both
 * its ends, by the steeper of the slopes there over the whole stretch. That is no bound, but twice what a bend of
 * steady curvature or a corner inside would take.
 *
 * @param massFlow - [kg/s], of any sign.
 * @returns Both [Pa], the least first.
 */
export const pressureSpan = (control: ControlTerm, massFlow: number): Span => {
  const { minSpeed, maxSpeed } = control;
  const [slowest, fastest] = [minSpeed, maxSpeed].map((speed) => control.fanAt(speed));
  if (slowest.curve === fastest.curve) return spanOfOne(slowest, fastest, massFlow);
  const step = (maxSpeed - minSpeed) / stretches;
  const speeds = Array.from({ length: stretches + 1 }, (_, i) => (i === stretches ? maxSpeed : minSpeed + i * step));
  const terms = speeds.map((speed) => control.fanAt(speed));
  const slopes = speeds.map((speed) => Math.abs(control.pressureBySpeed(speed, massFlow)));
  const spans = terms.slice(1).flatMap((term, i): number[] => {
    if (term.curve === terms[i].curve) return [...spanOfOne(terms[i], term, massFlow)];
    const [least, largest] = spanOf([fanPressure(terms[i], massFlow), fanPressure(term, massFlow)]);
    const further = step * Math.max(slopes[i], slopes[i + 1]);
    return [least - further, largest + further];
  });
  return spanOf(spans);
};
