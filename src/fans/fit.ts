import { InputError, type Problem, problemOf } from "../core/errors.js";
import { readData } from "../core/keys.js";
import { requireRange } from "../core/ranges.js";
import { shown } from "../core/show.js";
import { fittedPolynomial, polynomialAt } from "../numerics/polynomials.js";
import { curveProblems, type FanPoint } from "./curve.js";
import type { FanPolynomial } from "./polynomial.js";

/** How far a fit lies from its points: the values of the points minus the fit's. */
export interface FitResiduals {
  /** At each point, in order [Pa] or [W]. */
  readonly points: readonly number[];
  /** The largest of their sizes [Pa] or [W]. */
  readonly largest: number;
  /** Root of the mean of their squares [Pa] or [W]. */
  readonly rms: number;
}

/** Polynomials through the points of a fan. */
export interface FanFit {
  /** To be given to `polynomialFan` with the kind of pressure. */
  readonly polynomial: FanPolynomial;
  /** Of the pressures. */
  readonly pressure: FitResiduals;
  /** Of the powers; absent where the points have none. */
  readonly power?: FitResiduals;
}

const highestDegree = 6;

const fitted = (
  points: readonly FanPoint[],
  value: (point: FanPoint) => number,
  degree: number,
): [number[], FitResiduals] => {
  const coefficients = fittedPolynomial(
    points.map(({ flow }) => flow),
    points.map(value),
    degree,
  );
  const rests = points.map((point) => value(point) - polynomialAt(coefficients, point.flow));
  const rms = Math.hypot(...rests) / Math.sqrt(rests.length);
  return [coefficients, { points: rests, largest: Math.max(...rests.map(Math.abs)), rms }];
};

/** All but the shape: a fit may well end falling where the curve through the points does not, and the reverse. */
const pointsOnly = (points: readonly FanPoint[]): Problem[] =>
  curveProblems({ pressureKind: "total", points }).filter(({ code }) => code !== "curve.rising-end");

/**
 * Least-squares polynomials through the points of a fan, with their residuals.
 *
 * A fit smooths readings from a graph; it does not know where the fan stalls. Look at the residuals before using it,
 * and keep the points themselves if they were measured: the curve of `fanCurve` passes through all of them.
 * `polynomialFan` checks whether the fit ends falling.
 *
 * @param points - Flow [m³/s], strictly rising; pressure [Pa]; perhaps power [W] in all of them. At least degree + 1.
 *   Efficiency takes no part.
 * @param degree - Highest power of flow [-], a whole number from 1 to 6; default 3, or one less than there are points.
 * @returns Coefficients [Pa, Pa/(m³/s), …], [W, W/(m³/s), …] and residuals [Pa], [W].
 * @throws InputError with all problems at once: `out-of-range` for the degree, `curve.points-few`,
 *   `curve.flow-not-rising`, `curve.power-or-efficiency`, `curve.too-steep`, `unknown-key`, `not-an-object`.
 *
 * Source: least squares by orthogonal polynomials, Forsythe 1957, J. SIAM 5 (memory); agrees with NumPy's `polyfit`.
 * @example
 * const fit = fitFanCurve(points, 2);
 * const fan = polynomialFan({ pressureKind: "static", outlet: { diameter: 0.2 }, ...fit.polynomial });
 */
export function fitFanCurve(points: readonly FanPoint[], degree?: number): FanFit {
  const given = readData("points", points);
  const problems = pointsOnly(given);
  if (problems.length > 0) throw new InputError(problems);
  const highest = degree ?? Math.min(3, given.length - 1);
  requireRange("degree", highest, { min: 1, max: Math.min(highestDegree, given.length - 1) });
  if (!Number.isInteger(highest)) {
    throw new InputError([problemOf("out-of-range", "degree", "a whole number", shown(highest))]);
  }
  const [coefficients, pressure] = fitted(given, (point) => point.pressure, highest);
  const { 0: first, [given.length - 1]: last } = given;
  const polynomial = { coefficients, from: first.flow, to: last.flow };
  if (first.power === undefined) return { polynomial, pressure };
  const [powerCoefficients, power] = fitted(given, (point) => point.power ?? 0, highest);
  return { polynomial: { ...polynomial, powerCoefficients }, pressure, power };
}
