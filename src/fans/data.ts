import type { Problem } from "../core/errors.js";
import { curveProblems, type FanCurve } from "./curve.js";
import type { FanFamily } from "./family.js";
import { fanFamily, settingSpeeds } from "./family-model.js";
import { familyProblems } from "./family-problems.js";
import { type FanModel, fanCurve, modelAt } from "./model.js";
import { type PolynomialCurve, polynomialFan, polynomialProblems } from "./polynomial.js";

/** A fan as its maker describes it: by points, by points at several speeds, or by coefficients. */
export type FanDescription = FanCurve | FanFamily | PolynomialCurve;

/** A fan made ready to run at any speed and in any air. */
export interface FanData {
  at(speed: number, density: number): FanModel;
  /** How its pressure changes with its speed at a flow [Pa per unit of speed] */
  pressureBySpeed(speed: number, density: number, flow: number): number;
  /** The lowest and the highest speed of its curves. */
  readonly speeds: { readonly min: number; readonly max: number };
  /** The speeds of named settings. */
  readonly settings: ReadonlyMap<string, number>;
}

const noSettings: ReadonlyMap<string, number> = new Map();

/** Everything that is wrong with a description by itself. */
export const descriptionProblems = (fan: FanDescription): Problem[] => {
  if (typeof fan !== "object" || fan === null) return curveProblems(fan);
  if ("speeds" in fan) return familyProblems(fan);
  return "coefficients" in fan ? polynomialProblems(fan) : curveProblems(fan);
};

/** A description without problems, ready to run. */
export const fanData = (fan: FanDescription): FanData => {
  if ("speeds" in fan) {
    const family = fanFamily(fan);
    return {
      at: family.at,
      pressureBySpeed: (speed, density, flow) => family.at(speed, density).pressureBySpeed(flow),
      speeds: family.speeds,
      settings: new Map(
        settingSpeeds(fan).flatMap(({ setting, speed }) => (setting === undefined ? [] : [[setting, speed] as const])),
      ),
    };
  }
  const { base } = "coefficients" in fan ? polynomialFan(fan) : fanCurve(fan);
  const at = (speed: number, density: number): FanModel => modelAt(base, speed, density);
  return {
    at,
    // Pressure is homogeneous of degree 2 in flow and speed: Euler's theorem.
    pressureBySpeed: (speed, density, flow) => {
      const model = at(speed, density);
      return (2 * model.pressure(flow) - flow * model.slope(flow)) / speed;
    },
    speeds: { min: 1, max: 1 },
    settings: noSettings,
  };
};
