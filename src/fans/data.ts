import type { Problem } from "../core/errors.js";
import { BetweenSpeeds, turningSpeeds } from "./between-speeds.js";
import { curveProblems, type FanCurve } from "./curve.js";
import { type FamilyMember, type FanFamily, membersOf, neighbours } from "./family.js";
import { deviationsOf, type FamilyDeviation, familyAtSpeeds, type SettingSpeed } from "./family-model.js";
import { readFamily } from "./family-problems.js";
import { type BaseCurve, baseOf, type FanModel, modelAt, type PressureCurve, pressureByOwnSpeed } from "./model.js";
import { type PolynomialCurve, polynomialBase, polynomialProblems } from "./polynomial.js";

/** A fan as its maker describes it: by points, by points at several speeds, or by coefficients. */
export type FanDescription = FanCurve | FanFamily | PolynomialCurve;

/** A fan made ready to run at any speed and in any air. */
export interface FanData {
  at(speed: number, density: number): FanModel;
  /** Its pressure at a speed, without all else */
  pressureAt(speed: number): PressureCurve;
  /** How that changes with its speed at a flow, in air of the density of its points [Pa per unit of speed] */
  pressureBySpeed(speed: number, flow: number): number;
  /** Speeds at which the pressure between two points begins to rise with flow or ceases to; none of a fan with one curve. */
  turningSpeeds(): number[];
  /** Density of its points [kg/m³] */
  readonly density: number;
  /** The lowest and the highest speed of its curves. */
  readonly speeds: { readonly min: number; readonly max: number };
  /** The speeds of its curves, the slowest first; none of a fan with one curve. */
  readonly steps: readonly SettingSpeed[];
  /** The speeds of named settings. */
  readonly settings: ReadonlyMap<string, number>;
  /** How far the two curves on which a speed rests lie from the fan laws; nothing at the speed of a curve. */
  offLaws(speed: number): FamilyDeviation | undefined;
}

/** A description as it was read: what is wrong with it, or else the fan. */
export interface FanReading {
  readonly problems: readonly Problem[];
  /** Where there are no problems. */
  readonly data?: FanData;
}

const noSettings: ReadonlyMap<string, number> = new Map();

const ofFamily = ({ speeds }: FanFamily, members: readonly FamilyMember[]): FanData => {
  const steps = speeds.map(({ setting }, i) => {
    const { speed } = members[i];
    return setting === undefined ? { speed } : { setting, speed };
  });
  const named = steps.flatMap(({ setting, speed }) => (setting === undefined ? [] : [[setting, speed] as const]));
  let deviations: readonly FamilyDeviation[] | undefined;
  return {
    ...familyAtSpeeds(members),
    steps,
    settings: new Map(named),
    turningSpeeds: () => neighbours(members).flatMap((pair) => turningSpeeds(new BetweenSpeeds(...pair))),
    offLaws: (speed) => {
      if (members.some((member) => member.speed === speed)) return undefined;
      deviations ??= deviationsOf(members);
      return deviations.find(({ to }) => speed < to) ?? deviations[deviations.length - 1];
    },
  };
};

const ofBase = (base: BaseCurve): FanData => {
  const pressureAt = (speed: number): PressureCurve => ({ curve: base.pressure, speed, density: base.density });
  return {
    at: (speed, density) => modelAt(base, speed, density),
    pressureAt,
    pressureBySpeed: (speed, flow) => pressureByOwnSpeed(pressureAt(speed), flow),
    turningSpeeds: () => [],
    density: base.density,
    speeds: { min: 1, max: 1 },
    steps: [],
    settings: noSettings,
    offLaws: () => undefined,
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
