import { InputError, type Problem } from "../core/errors.js";
import { problemsBelow, problemsOf } from "../core/gather.js";
import { requireKeys } from "../core/keys.js";
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

const pointProblems = (points: readonly SystemPoint[]): Problem[] =>
  points.flatMap((point, i) => {
    const path = `system.${i}`;
    const wrong = problemsBelow(path, path, () => requireKeys(path, point, ["flow", "pressure"]));
    if (wrong.length > 0) return wrong;
    const problems = [
      ...problemsOf(() => requireRange(`${path}.flow`, point.flow, {})),
      ...problemsOf(() => requireRange(`${path}.pressure`, point.pressure, {})),
    ];
    const previous = points[i - 1]?.flow;
    if (Number.isFinite(point.flow) && Number.isFinite(previous) && point.flow <= previous) {
      const [expected, found] = [`above ${previous}, the flow of the point before`, String(point.flow)];
      const message = `${path}.flow: expected ${expected}, got ${found}`;
      problems.push({ code: "curve.flow-not-rising", path: `${path}.flow`, message, expected, found });
    }
    return problems;
  });

/** The system as a curve, with flows and pressures divided by these. */
const systemOf = (points: readonly SystemPoint[], flow: number, pressure: number): CubicCurve => {
  if (!Array.isArray(points) || points.length < 2) {
    const [expected, found] = ["two or more points", shown(points)];
    const message = `system: expected ${expected}, got ${found}`;
    throw new InputError([{ code: "curve.points-few", path: "system", message, expected, found }]);
  }
  const problems = pointProblems(points);
  if (problems.length > 0) throw new InputError(problems);
  const curve = pchip(
    points.map((point) => point.flow / flow),
    points.map((point) => point.pressure / pressure),
  );
  if (curve.slopes.every(Number.isFinite)) return curve;
  const [expected, found] = ["a finite slope between all points", "points too close together for that"];
  const message = `system: expected ${expected}, got ${found}`;
  throw new InputError([{ code: "curve.too-steep", path: "system", message, expected, found }]);
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

/**
 * All flows at which a fan's total pressure equals that of a system given as points, with the distance to the stall
 * region and to the end of the fan curve.
 *
 * The system's points are joined by a curve that keeps their shape (PCHIP), as the fan's are. Between two neighbouring
 * points of either, their difference is a cubic; the roots of its derivative part it into monotone pieces, each with at
 * most one root: none is missed, however near to another. Beyond the system's points nothing is known and nothing is
 * looked for; beyond the fan's the curve is its extension (`withinCurve` false).
 *
 * @param fan - A curve [SI], or a model at any speed and density.
 * @param system - Two or more points of strictly rising flow [m³/s] with the total pressure that the system takes [Pa],
 *   at the density of `fan`.
 * @returns The points in rising order of flow: flow [m³/s], pressure [Pa], `stable` (the fan's slope is below the
 *   system's; false where they only touch), `withinCurve`, `aboveStall` [m³/s], `toCurveEnd` [m³/s].
 * @throws InputError with all that is wrong: `curve.points-few`, `curve.flow-not-rising`, `curve.too-steep`,
 *   `out-of-range`, `unknown-key`, `not-an-object`; those of `fanCurve` for a wrong curve.
 *
 * Source: definition; interpolation by Fritsch and Butland 1984, SIAM J. Sci. Stat. Comput. 5 (memory).
 * @example
 * const points = [{ flow: 0, pressure: 300 }, { flow: 0.2, pressure: 200 }];
 * const system = [{ flow: 0, pressure: 0 }, { flow: 0.2, pressure: 500 }];
 * intersections({ pressureKind: "total", points }, system);
 * // [{ flow: 0.1, pressure: 250, stable: true, withinCurve: true, toCurveEnd: 0.1 }]
 */
export function intersections(fan: FanCurve | FanModel, system: readonly SystemPoint[]): Intersection[] {
  const model = modelOf(fan);
  const { base, speed, range } = model;
  const scale = (model.density / base.density) * speed ** 2;
  const curve = base.pressure;
  // The system as the curve sees it at the speed and density of its points.
  const seen = systemOf(system, speed, scale);
  const difference = (q: number): number => valueAt(curve, q) - valueAt(seen, q);
  const tolerance = touching * Math.max(...curve.values.map(Math.abs), ...seen.values.map(Math.abs));
  const stall = stallRange(model);
  return crossings(difference, monotoneBreaks(curve, seen), tolerance).map(({ at, before, after }) => {
    const flow = at * speed;
    return {
      flow,
      pressure: model.pressure(flow),
      stable: (before || 1) > 0 && (after || -1) < 0 && slopeAt(curve, at) < slopeAt(seen, at),
      withinCurve: at >= curve.knots[0] && at <= curve.knots[curve.knots.length - 1],
      ...(stall === undefined ? {} : { aboveStall: flow - stall.to }),
      toCurveEnd: range.max - flow,
    };
  });
}
