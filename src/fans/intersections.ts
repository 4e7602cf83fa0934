import { InputError, type Problem, problemOf } from "../core/errors.js";
import { thrownBelow, thrownBy } from "../core/gather.js";
import { readData, requireKeys } from "../core/keys.js";
import { requireRange } from "../core/ranges.js";
import { shown } from "../core/show.js";
import { type CubicCurve, pchip, pieceOf, slopeAt, valueAt } from "../numerics/interpolation.js";
import { crossings, rootsBetween } from "../numerics/roots.js";
import type { FanCurve } from "./curve.js";
import { type FanModel, modelOf } from "./model.js";
import type { OperatingPoint } from "./operating.js";
import { stallRange } from "./stall.js";

/** One point of a system curve: what the system takes at a flow. */
export interface SystemPoint {
  /** Flow [m³/s]; negative against the fan. */
  readonly flow: number;
  /** Total pressure that the system takes at that flow [Pa]. */
  readonly pressure: number;
}

/** Where a fan and a system meet, and how far that is from where the fan should not run. */
export interface Intersection extends OperatingPoint {
  /** Flow above the stall region [m³/s]; negative in it and below it; absent for a curve that never rises. */
  readonly aboveStall?: number;
  /** Flow left to the last point of the fan curve [m³/s]; negative beyond it. */
  readonly toCurveEnd: number;
}

/** Largest difference of pressures, over the largest pressure, at which two curves that touch meet. */
const touching = 1e-12;

/** What is wrong with the points of a system, which may be anything. */
const systemProblems = (points: readonly SystemPoint[]): Problem[] => {
  if (!Array.isArray(points) || points.length < 2)
    return [problemOf("curve.points-few", "system", "two or more points", shown(points))];
  return points.flatMap((point: SystemPoint, i) => {
    const path = `system.${i}`;
    const ofKeys = thrownBelow(path, path, () => requireKeys(path, point, ["flow", "pressure"]));
    if (typeof point !== "object" || point === null) return ofKeys;
    const problems = [
      ...ofKeys,
      ...thrownBy(() => requireRange(`${path}.flow`, point.flow, {})),
      ...thrownBy(() => requireRange(`${path}.pressure`, point.pressure, {})),
    ];
    const previous = points[i - 1]?.flow;
    if (Number.isFinite(point.flow) && Number.isFinite(previous) && point.flow <= previous) {
      const expected = `above ${previous}, the flow of the point before`;
      problems.push(problemOf("curve.flow-not-rising", `${path}.flow`, expected, String(point.flow)));
    }
    return problems;
  });
};

/** The system as a curve, with flows and pressures divided by these. */
const systemOf = (points: readonly SystemPoint[], flow: number, pressure: number): CubicCurve => {
  const curve = pchip(
    points.map((point) => point.flow / flow),
    points.map((point) => point.pressure / pressure),
  );
  if (curve.slopes.every(Number.isFinite)) return curve;
  const [expected, found] = ["a finite slope between all points", "points too close together for that"];
  throw new InputError([problemOf("curve.too-steep", "system", expected, found)]);
};

/** First, second and third derivative of the curve, as functions that hold from `from` to the next knot. */
const derivativesFrom = (curve: CubicCurve, from: number): ((x: number) => number)[] => {
  const { knots } = curve;
  const last = knots.length - 1;
  if (from < knots[0] || from >= knots[last]) {
    const slope = from < knots[0] ? curve.left : curve.right;
    return [() => slope, () => 0];
  }
  const i = knots.findIndex((knot) => knot > from) - 1;
  const { first, second, third } = pieceOf(curve, i);
  const start = knots[i];
  return [(x) => first + (x - start) * (second + ((x - start) * third) / 2), (x) => second + (x - start) * third];
};

/** Positions between which the difference of two curves is monotone, over the knots of the second. */
const monotoneBreaks = (one: CubicCurve, other: CubicCurve): number[] => {
  const [low, high] = [other.knots[0], other.knots[other.knots.length - 1]];
  const inner = [...one.knots, ...other.knots].filter((knot) => knot >= low && knot <= high);
  const knots = [...new Set(inner)].sort((a, b) => a - b);
  return knots.flatMap((knot, i) => {
    if (i + 1 === knots.length) return [knot];
    const [ours, theirs] = [derivativesFrom(one, knot), derivativesFrom(other, knot)];
    const slopes = ours.map((derivative, k) => (x: number) => derivative(x) - theirs[k](x));
    return [knot, ...rootsBetween(slopes, knot, knots[i + 1])];
  });
};

/** A fan and a system as curves over the flow at the speed of the fan's points, [m³/s] and [Pa] at their density. */
interface Pair {
  readonly curve: CubicCurve;
  readonly seen: CubicCurve;
  /** Positions between which their difference is monotone. */
  readonly breaks: readonly number[];
  difference(at: number): number;
}

const pairOf = ({ base, speed, density }: FanModel, system: readonly SystemPoint[]): Pair => {
  const curve = base.pressure;
  const seen = systemOf(system, speed, (density / base.density) * speed ** 2);
  const difference = (at: number): number => valueAt(curve, at) - valueAt(seen, at);
  return { curve, seen, breaks: monotoneBreaks(curve, seen), difference };
};

/** Flows inside the system's points where the difference of a fan and the system joined by a curve turns [m³/s]. */
export const turningFlows = (model: FanModel, system: readonly SystemPoint[]): number[] => {
  const { breaks, difference } = pairOf(model, system);
  const values = breaks.map(difference);
  const turns: number[] = [];
  let before = 0;
  // Where it turns in a point, two breaks may be one: steps without a difference are passed over.
  for (let i = 0; i + 1 < breaks.length; i++) {
    const after = Math.sign(values[i + 1] - values[i]);
    if (after === 0) continue;
    if (after === -before) turns.push(breaks[i] * model.speed);
    before = after;
  }
  return turns;
};

/** What is said of a flow at which a fan meets a system. */
export const intersectionAt = (model: FanModel, flow: number, stable: boolean): Intersection => {
  const { min, max } = model.range;
  const stall = stallRange(model);
  return {
    flow,
    pressure: model.pressure(flow),
    stable,
    withinCurve: flow >= min && flow <= max,
    ...(stall === undefined ? {} : { aboveStall: flow - stall.to }),
    toCurveEnd: max - flow,
  };
};

/**
 * All flows at which a fan's total pressure equals the pressure of a system given as points, with the distance to the stall
 * region and to the end of the fan curve.
 *
 * The system's points are joined by a curve that keeps their shape (PCHIP), as the fan's are. Between two neighbouring
 * points of either, their difference is a cubic; the roots of its derivative divide it into monotone pieces, each with
 * at most one root, so none is missed, however near to another. Beyond the system's points nothing is known, so nothing
 * is looked for; beyond the fan's points the curve is its extension (`withinCurve` false).
 *
 * @param fan - A curve [SI], or a model at any speed and density.
 * @param system - Two or more points of strictly rising flow [m³/s] with the total pressure that the system takes [Pa],
 *   at the density of `fan`.
 * @returns The points in rising order of flow: flow [m³/s], pressure [Pa], `stable` (the fan's slope is below the
 *   system's; false where they only touch), `withinCurve`, `aboveStall` [m³/s], `toCurveEnd` [m³/s].
 * @throws InputError with all that is wrong: `curve.points-few`, `curve.flow-not-rising`, `curve.too-steep`,
 *   `out-of-range`, `unknown-key`, `not-an-object`; the codes of `fanCurve` for a wrong curve.
 *
 * Source: definition; interpolation by Fritsch and Butland 1984, SIAM J. Sci. Stat. Comput. 5 (memory).
 * @example
 * const points = [{ flow: 0, pressure: 300 }, { flow: 0.2, pressure: 200 }];
 * const system = [{ flow: 0, pressure: 0 }, { flow: 0.2, pressure: 500 }];
 * intersections({ pressureKind: "total", points }, system);
 * // [{ flow: 0.1, pressure: 250, stable: true, withinCurve: true, toCurveEnd: 0.1 }]
 */
export function intersections(fan: FanCurve | FanModel, system: readonly SystemPoint[]): Intersection[] {
  const given = readData("system", system);
  const model = modelOf(fan, systemProblems(given));
  const { curve, seen, breaks, difference } = pairOf(model, given);
  const tolerance = touching * Math.max(...curve.values.map(Math.abs), ...seen.values.map(Math.abs));
  return crossings(difference, breaks, tolerance).map(({ at, before, after }) => {
    const stable = (before || 1) > 0 && (after || -1) < 0 && slopeAt(curve, at) < slopeAt(seen, at);
    return intersectionAt(model, at * model.speed, stable);
  });
}
