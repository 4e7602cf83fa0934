import { InputError, type Problem, problemOf } from "../core/errors.js";
import { thrownBy } from "../core/gather.js";
import { readData } from "../core/keys.js";
import { requireRange } from "../core/ranges.js";
import { rounded, shown } from "../core/show.js";
import { derivativeOf, polynomialAt, turningPoints } from "../numerics/polynomials.js";
import {
  basisProblems,
  type FanCurveBasis,
  inputProblems,
  isNoObject,
  standardDensity,
  totalPressures,
} from "./curve.js";
import { cubicsThrough, knotsBetween, pressureEnds } from "./knots.js";
import { type BaseCurve, type FanModel, modelAt } from "./model.js";

/** Pressure, and perhaps power, as polynomials of flow. */
export interface FanPolynomial {
  /** Coefficients of the pressure in rising powers of flow [Pa, Pa/(m³/s), Pa/(m³/s)², …]; two to nine. */
  readonly coefficients: readonly number[];
  /** Smallest flow for which they hold [m³/s], 0 or more. */
  readonly from: number;
  /** Largest flow for which they hold [m³/s], above `from`. */
  readonly to: number;
  /** Coefficients of the electrical input without controls power [W, W/(m³/s), …]; one to nine, nowhere below 0. */
  readonly powerCoefficients?: readonly number[];
}

/** A fan curve by polynomial coefficients, at one density and one speed. */
export interface PolynomialCurve extends FanCurveBasis, FanPolynomial {}

/** Largest difference of the cubics from a polynomial of a degree above 3, over its largest value. */
const accuracy = 1e-10;
/** Pieces enough for that, in every curve that a fan has. */
const mostPieces = 1000;
const size = { min: -1e30, max: 1e30 };

const listProblems = (path: string, list: readonly number[], fewest: number): Problem[] => {
  if (!Array.isArray(list) || list.length < fewest || list.length > 9) {
    return [problemOf("curve.coefficients", path, `a list of ${fewest} to 9 coefficients`, shown(list))];
  }
  return list.flatMap((one, i) => thrownBy(() => requireRange(`${path}.${i}`, one, size)));
};

/** The polynomial of total pressure: a velocity pressure is a multiple of the square of flow. */
const totalCoefficients = ({
  coefficients,
  pressureKind,
  density = standardDensity,
  ...ends
}: PolynomialCurve): number[] => {
  const points = [{ flow: 1, pressure: 0 }];
  const [square] = totalPressures({ pressureKind, density, inlet: ends.inlet, outlet: ends.outlet, points });
  const all = [0, 1, 2].map((i) => coefficients[i] ?? 0);
  return square === 0 ? [...coefficients] : [all[0], all[1], all[2] + square, ...coefficients.slice(3)];
};

const extremes = (coefficients: readonly number[], from: number, to: number): number[] =>
  [from, ...turningPoints(coefficients, from, to), to].map((flow) => polynomialAt(coefficients, flow));

/** The worst place at which less is taken than is given to the air, as by points. */
const powerTooSmall = (curve: PolynomialCurve, power: readonly number[]): Problem[] => {
  const { coefficients, from, to, controlsPower = 0 } = curve;
  const both = [totalCoefficients(curve), coefficients];
  const airPowerAt = (flow: number): number => flow * Math.min(...both.map((one) => polynomialAt(one, flow)));
  const inputAt = (flow: number): number => polynomialAt(power, flow) + controlsPower;
  const turning = both.flatMap((one) => {
    const length = Math.max(one.length + 1, power.length);
    const missing = Array.from({ length }, (_, i) => (one[i - 1] ?? 0) - (power[i] ?? 0));
    return turningPoints(missing, from, to);
  });
  const worst = [from, ...turning, to].reduce((a, b) =>
    airPowerAt(b) - inputAt(b) > airPowerAt(a) - inputAt(a) ? b : a,
  );
  return inputProblems("powerCoefficients", airPowerAt(worst), inputAt(worst));
};

const shapeProblems = (curve: PolynomialCurve): Problem[] => {
  const { from, to, powerCoefficients } = curve;
  const problems: Problem[] = [];
  const end = polynomialAt(derivativeOf(totalCoefficients(curve)), to);
  if (!(end < 0)) {
    const expected = `a total pressure that falls with flow at ${to} m³/s, the end of the curve`;
    const found = `a slope of ${rounded(end)} Pa per m³/s there`;
    problems.push(problemOf("curve.rising-end", "coefficients", expected, found));
  }
  if (powerCoefficients !== undefined) {
    const least = Math.min(...extremes(powerCoefficients, from, to));
    if (!(least >= 0)) {
      const [expected, found] = ["a power of 0 or more all along the curve", `${rounded(least)} W`];
      problems.push(problemOf("out-of-range", "powerCoefficients", expected, found));
    } else problems.push(...powerTooSmall(curve, powerCoefficients));
  }
  return problems;
};

/**
 * Everything that is wrong with a curve by coefficients, as data; never throws. Paths are relative to the curve.
 *
 * Codes: `curve.coefficients`, `curve.power-below-air-power`, `curve.rising-end`, `curve.inlet-missing`, `curve.outlet-missing`, `out-of-range`,
 * `unknown-key`, `unknown-pressure-kind`, `unknown-of`, `not-an-object`, and the codes of `sectionArea`.
 */
export const polynomialProblems = (curve: PolynomialCurve): Problem[] => {
  const problems = basisProblems(curve, ["coefficients", "from", "to", "powerCoefficients"]);
  if (isNoObject(problems)) return problems;
  const { coefficients, from, to, powerCoefficients } = curve;
  problems.push(
    ...listProblems("coefficients", coefficients, 2),
    ...(powerCoefficients === undefined ? [] : listProblems("powerCoefficients", powerCoefficients, 1)),
    ...thrownBy(() => requireRange("from", from, { min: 0, max: size.max })),
    ...thrownBy(() => requireRange("to", to, { above: Number.isFinite(from) ? from : 0, max: size.max })),
  );
  return problems.length > 0 ? problems : shapeProblems(curve);
};

/** Pieces of equal width on which cubics come near enough to a polynomial: their error is at most h⁴/384·|p⁗|. */
const piecesFor = (coefficients: readonly number[], from: number, to: number): number => {
  const fourth = [1, 2, 3, 4].reduce<readonly number[]>(derivativeOf, coefficients).map(Math.abs);
  const largest = Math.max(...extremes(coefficients, from, to).map(Math.abs));
  const width = (polynomialAt(fourth, to) / (384 * accuracy * largest)) ** 0.25;
  return Math.max(1, Math.min(mostPieces, Math.ceil((to - from) * width) || 1));
};

/**
 * A fan whose curve is given by polynomial coefficients, made ready to evaluate at the density and speed of the data.
 *
 * The polynomial is kept as cubics with its own values and slopes: exactly up to the third power, to 1e-10 of the
 * largest pressure above it (with at most 1000 pieces). Beyond `from` and `to`, where a polynomial means nothing, the
 * curve continues like a curve by points: straight, and to the left never falling towards reversed flow.
 *
 * @param curve - Coefficients [Pa, Pa/(m³/s), …] and perhaps power coefficients [W, W/(m³/s), …] between two flows
 *   [m³/s]; kind of pressure, density [kg/m³], sections [m].
 * @returns The fan at speed 1: pressure [Pa] and power [W] at a flow [m³/s]; takes the fan laws as any other.
 * @throws InputError with all problems at once: `curve.coefficients`, `curve.power-below-air-power`, `curve.rising-end`,
 *   `curve.inlet-missing`, `curve.outlet-missing`, `out-of-range`, `unknown-key`, `unknown-pressure-kind`, `unknown-of`, `not-an-object`, and
 *   the codes of a section.
 *
 * Source: definition; error of cubic Hermite interpolation h⁴/384·max|p⁗|, as in textbooks (memory).
 * @example
 * const fan = polynomialFan({ pressureKind: "total", coefficients: [300, 0, -2500], from: 0, to: 0.3 });
 * fan.pressure(0.2); // 200
 */
export function polynomialFan(curve: PolynomialCurve): FanModel {
  const given = readData("curve", curve);
  const problems = polynomialProblems(given);
  if (problems.length > 0) throw new InputError(problems);
  const base = polynomialBase(given);
  return modelAt(base, 1, base.density);
}

/** The cubics of a curve without problems. */
export const polynomialBase = (curve: PolynomialCurve): BaseCurve => {
  const { from, to, powerCoefficients, density = standardDensity, controlsPower = 0 } = curve;
  const total = totalCoefficients(curve);
  const all = powerCoefficients === undefined ? [total] : [total, powerCoefficients];
  const pieces = Math.max(...all.map((one) => piecesFor(one, from, to)));
  const even = Array.from({ length: pieces - 1 }, (_, i) => from + ((i + 1) / pieces) * (to - from));
  // A fan's curve turns only at its knots: that is what tells its stall region.
  const knots = knotsBetween(from, to, [...even, ...turningPoints(total, from, to)]);
  const lawOf = (coefficients: readonly number[]) => {
    const derivative = derivativeOf(coefficients);
    return (flow: number): [number, number] => [polynomialAt(coefficients, flow), polynomialAt(derivative, flow)];
  };
  const pressure = cubicsThrough(knots, lawOf(total), pressureEnds);
  const base = { density, controlsPower, pressure };
  return powerCoefficients === undefined ? base : { ...base, power: cubicsThrough(knots, lawOf(powerCoefficients)) };
};
