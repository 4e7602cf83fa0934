import type { Problem } from "../core/errors.js";
import { curveProblems } from "../fans/curve.js";
import { fanFamily } from "../fans/family-model.js";
import { familyProblems } from "../fans/family-problems.js";
import { type FanModel, fanCurve, modelAt } from "../fans/model.js";
import { polynomialFan, polynomialProblems } from "../fans/polynomial.js";
import type { FanTerm } from "./equations.js";
import type { CurvePart } from "./parts.js";

/** A fan made ready to run at any speed and in any air. */
export interface FanData {
  at(speed: number, density: number): FanModel;
  /** How its pressure changes with its speed at a flow [Pa per unit of speed] */
  pressureBySpeed(speed: number, density: number, flow: number): number;
  /** The lowest and the highest speed of its curves. */
  readonly speeds: { readonly min: number; readonly max: number };
}

/** Everything that is wrong with a curve by itself. */
export const faultsOf = (curve: CurvePart): Problem[] => {
  if ("speeds" in curve) return familyProblems(curve);
  return "points" in curve ? curveProblems(curve) : polynomialProblems(curve);
};

/** A curve of any form, ready to run. */
export const fanData = (curve: CurvePart): FanData => {
  if ("speeds" in curve) {
    const family = fanFamily(curve);
    return {
      at: family.at,
      pressureBySpeed: (speed, density, flow) => family.at(speed, density).pressureBySpeed(flow),
      speeds: family.speeds,
    };
  }
  const { base } = "points" in curve ? fanCurve(curve) : polynomialFan(curve);
  const at = (speed: number, density: number): FanModel => modelAt(base, speed, density);
  return {
    at,
    // Pressure is homogeneous of degree 2 in flow and speed: Euler's theorem.
    pressureBySpeed: (speed, density, flow) => {
      const model = at(speed, density);
      return (2 * model.pressure(flow) - flow * model.slope(flow)) / speed;
    },
    speeds: { min: 1, max: 1 },
  };
};

/** A fan at one speed as a term of the equations. */
export const termOf = ({ base, density, speed }: FanModel): FanTerm => ({
  curve: base.pressure,
  flow: 1 / (density * speed),
  scale: (density / base.density) * speed ** 2,
});
