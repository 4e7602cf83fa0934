import type { Problem } from "../core/errors.js";
import { curveProblems, type FanCurve } from "./curve.js";
import { type FanFamily, membersOf } from "./family.js";
import { familyAtSpeeds, type SettingSpeed, settingSpeeds } from "./family-model.js";
import { familyProblems } from "./family-problems.js";
import { type FanModel, fanCurve, modelAt, type PressureCurve, pressureByOwnSpeed } from "./model.js";
import { type PolynomialCurve, polynomialFan, polynomialProblems } from "./polynomial.js";

/** A fan as its maker describes it: by points, by points at several speeds, or by coefficients. */
export type FanDescription = FanCurve | FanFamily | PolynomialCurve;

/** A fan made ready to run at any speed and in any air. */
export interface FanData {
  at(speed: number, density: number): FanModel;
  /** Its pressure at a speed, without all else */
  pressureAt(speed: number): PressureCurve;
  /** How that changes with its speed at a flow, in air of the density of its points [Pa per unit of speed] */
  pressureBySpeed(speed: number, flow: number): number;
  /** Density of its points [kg/m³] */
  readonly density: number;
  /** The lowest and the highest speed of its curves. */
  readonly speeds: { readonly min: number; readonly max: number };
  /** The speeds of its curves, the slowest first; none of a fan with one curve. */
  readonly steps: readonly SettingSpeed[];
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
    const family = familyAtSpeeds(membersOf(fan));
    const steps = settingSpeeds(fan);
    const settings = steps.flatMap(({ setting, speed }) => (setting === undefined ? [] : [[setting, speed] as const]));
    return { ...family, steps, settings: new Map(settings) };
  }
  const { base } = "coefficients" in fan ? polynomialFan(fan) : fanCurve(fan);
  const pressureAt = (speed: number): PressureCurve => ({ curve: base.pressure, speed, density: base.density });
  return {
    at: (speed, density) => modelAt(base, speed, density),
    pressureAt,
    pressureBySpeed: (speed, flow) => pressureByOwnSpeed(pressureAt(speed), flow),
    density: base.density,
    speeds: { min: 1, max: 1 },
    steps: [],
    settings: noSettings,
  };
};
