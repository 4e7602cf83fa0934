import type { Problem } from "../core/errors.js";
import { thrownBy } from "../core/gather.js";
import { readData, requireKeys } from "../core/keys.js";
import { requireRange } from "../core/ranges.js";
import { type CubicCurve, pieceOf, slopeAt, valueAt } from "../numerics/interpolation.js";
import { crossings, rootsBetween } from "../numerics/roots.js";
import type { FanCurve } from "./curve.js";
import { type FanModel, modelOf } from "./model.js";

/** The total pressure that a system takes: Δp = a + b·sign(q)·|q|ⁿ. */
export interface SystemCurve {
  /** Part that does not depend on flow [Pa]: a fixed pressure difference, or buoyancy. */
  readonly a: number;
  /** Coefficient [Pa/(m³/s)ⁿ], 0 or more. */
  readonly b: number;
  /** Exponent [-], 0.5 to 3: 1 laminar, 2 fully turbulent. */
  readonly n: number;
}

/** Where a fan and a system meet. */
export interface OperatingPoint {
  /** Flow [m³/s]; negative where the system drives air backwards through the fan. */
  readonly flow: number;
  /** Total pressure [Pa]. */
  readonly pressure: number;
  /** Whether the fan's slope is below the system's, so that a small disturbance dies out. */
  readonly stable: boolean;
  /** Whether the flow is within the curve's points. */
  readonly withinCurve: boolean;
}

/** Largest difference of pressures, over the largest pressure, at which a curve that touches the system meets it. */
const touching = 1e-12;

/** The factor times q to the exponent, q ≥ 0; 0 where the factor is, also at q = 0. */
const power = (factor: number, q: number, exponent: number): number => (factor === 0 ? 0 : factor * q ** exponent);

/** Flows where the curve is parallel to the system, so that between two neighbours their difference is monotone. */
const parallelFlows = (curve: CubicCurve, { b, n }: SystemCurve): number[] => {
  const { knots } = curve;
  const flows: number[] = [];
  for (let i = 0; i + 1 < knots.length; i++) {
    const { first, second, third } = pieceOf(curve, i);
    const start = knots[i];
    // The third derivative is a constant less a power of q, and q ≥ 0 here: monotone, as the chain needs.
    const derivatives = [
      (q: number) => first + (q - start) * (second + ((q - start) * third) / 2) - power(b * n, q, n - 1),
      (q: number) => second + (q - start) * third - power(b * n * (n - 1), q, n - 2),
      (q: number) => third - power(b * n * (n - 1) * (n - 2), q, n - 3),
    ];
    flows.push(start, ...rootsBetween(derivatives, start, knots[i + 1]));
  }
  return flows;
};

/** What is wrong with a system, which may be anything. */
const systemProblems = (system: SystemCurve): Problem[] => {
  const ofKeys = thrownBy(() => requireKeys("system", system, ["a", "b", "n"]));
  if (typeof system !== "object" || system === null) return ofKeys;
  return [
    ...ofKeys,
    ...thrownBy(() => requireRange("a", system.a, {})),
    ...thrownBy(() => requireRange("b", system.b, { min: 0 })),
    ...thrownBy(() => requireRange("n", system.n, { min: 0.5, max: 3 })),
  ];
};

/** The flow at which a system takes a pressure; infinite where its pressure does not change. */
const systemFlow = ({ a, b, n }: SystemCurve, pressure: number): number =>
  Math.sign(pressure - a) * (Math.abs(pressure - a) / b) ** (1 / n);

/**
 * All flows at which a fan's total pressure equals a system's, within the curve's points and on its extensions.
 *
 * A fan curve with a hump can meet a system three times; the middle one is unstable. Where curve and system only touch
 * (to 1e-12 of the largest pressure) the point is given once, with `stable` false.
 *
 * @param fan - A curve [SI], or a model at any speed and density.
 * @param system - `a` [Pa]; `b` [Pa/(m³/s)ⁿ], 0 or more; `n` [-], 0.5 to 3. At the density of `fan`.
 * @returns The points in rising order of flow: flow [m³/s], pressure [Pa], `stable`, `withinCurve`.
 * @throws InputError with all that is wrong: `out-of-range` when a, b or n is outside its range or NaN, `unknown-key`,
 *   `not-an-object`; the codes of `fanCurve` for a wrong curve.
 *
 * Source: definition; roots by the chain of derivatives of a cubic less a power.
 * @example
 * const points = [{ flow: 0, pressure: 300 }, { flow: 0.2, pressure: 200 }];
 * operatingPoints({ pressureKind: "total", points }, { a: 0, b: 2500, n: 1 });
 * // [{ flow: 0.1, pressure: 250, stable: true, withinCurve: true }]
 */
export function operatingPoints(fan: FanCurve | FanModel, system: SystemCurve): OperatingPoint[] {
  const given = readData("system", system);
  const model = modelOf(fan, systemProblems(given));
  const { base, speed } = model;
  const curve = base.pressure;
  // The system as the curve sees it at the speed and density of its points.
  const scale = (model.density / base.density) * speed ** 2;
  const { n } = given;
  const seen = { a: given.a / scale, b: (given.b * speed ** n) / scale, n };
  const { a, b } = seen;
  const difference = (q: number): number => valueAt(curve, q) - a - Math.sign(q) * power(b, Math.abs(q), n);

  const end = curve.knots.length - 1;
  const [first, last] = [curve.knots[0], curve.knots[end]];
  const flows = [...parallelFlows(curve, seen), last];
  const [atFirst, atLast] = [difference(first), difference(last)];
  // Beyond an end, fan and system both close the difference that they have there; so they meet no further out than where
  // one of them alone would have closed it. Along the fan's line twice as far and a rounding more, so that the
  // difference has changed its sign even on the steepest line.
  if (atFirst < 0) {
    const alongFan = first * (1 - 2 * Number.EPSILON) - 2 * Math.abs(atFirst / curve.left);
    const low = Math.max(alongFan, systemFlow(seen, curve.values[0]));
    if (Number.isFinite(low)) flows.unshift(low);
  }
  if (atLast > 0) {
    const alongFan = last * (1 + 2 * Number.EPSILON) + 2 * Math.abs(atLast / curve.right);
    const high = Math.min(alongFan, systemFlow(seen, curve.values[end]));
    if (Number.isFinite(high)) flows.push(high);
  }

  // Far left the fan is above the system, unless neither of them changes there; far right it is below.
  const farLeft = curve.left < 0 || b > 0 ? 1 : Math.sign(atFirst);
  const tolerance = touching * Math.max(Math.abs(a), ...curve.values.map(Math.abs));
  return crossings(difference, flows, tolerance).map(({ at, before, after }) => ({
    flow: at * speed,
    pressure: model.pressure(at * speed),
    stable: (before || farLeft) > 0 && (after || -1) < 0 && slopeAt(curve, at) < power(b * n, Math.abs(at), n - 1),
    withinCurve: at >= first && at <= last,
  }));
}
