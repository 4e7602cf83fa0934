import type { Problem } from "../core/errors.js";
import { curveProblems, type FanCurve } from "./curve.js";
import { type FamilyMember, type FanFamily, membersOf } from "./family.js";
import { familyModel } from "./family-model.js";
import { readFamily } from "./family-problems.js";
import { type BaseCurve, baseOf, type FanModel, modelAt } from "./model.js";
import { type PolynomialCurve, polynomialBase, polynomialProblems } from "./polynomial.js";

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

/** A description as it was read: what is wrong with it, or else the fan. */
export interface FanReading {
  readonly problems: readonly Problem[];
  /** Where there are no problems. */
  readonly data?: FanData;
}

const noSettings: ReadonlyMap<string, number> = new Map();

const ofFamily = ({ speeds }: FanFamily, members: readonly FamilyMember[]): FanData => {
  const family = familyModel(members);
  const named = speeds.flatMap(({ setting }, i) =>
    setting === undefined ? [] : [[setting, members[i].speed] as const],
  );
  return {
    at: family.at,
    pressureBySpeed: (speed, density, flow) => family.at(speed, density).pressureBySpeed(flow),
    speeds: family.speeds,
    settings: new Map(named),
  };
};

const ofBase = (base: BaseCurve): FanData => {
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

/** A description without problems, ready to run. */
export const fanData = (fan: FanDescription): FanData => {
  if ("speeds" in fan) return ofFamily(fan, membersOf(fan));
  return ofBase("coefficients" in fan ? polynomialBase(fan) : baseOf(fan));
};

/** Reads a description, of values that may be anything; never throws. */
export const readFan = (fan: FanDescription): FanReading => {
  if (typeof fan === "object" && fan !== null && "speeds" in fan) {
    const { members, problems } = readFamily(fan);
    return problems.length > 0 ? { problems } : { problems, data: ofFamily(fan, members) };
  }
  const isPolynomial = typeof fan === "object" && fan !== null && "coefficients" in fan;
  const problems = isPolynomial ? polynomialProblems(fan) : curveProblems(fan);
  return problems.length > 0 ? { problems } : { problems, data: fanData(fan) };
};
