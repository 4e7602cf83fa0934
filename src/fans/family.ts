import type { FanCurve, FanCurveBasis, FanPoint } from "./curve.js";
import { type BaseCurve, baseOf } from "./model.js";
import { speedWithin } from "./settings.js";

/** One curve of a family. */
export interface FanSpeed {
  /**
   * Its speed [1/min, or any one unit in the whole family], above 0: only ratios of speeds count. Left out in all curves
   * of a family whose settings are named, but whose speeds are not known: see `settingSpeeds`.
   */
  readonly speed?: number;
  /** What the setting is called, such as "2" or "boost". */
  readonly setting?: string;
  /** As in a single curve; power, where given, above 0. */
  readonly points: readonly FanPoint[];
}

/** A fan whose maker gives curves at several speeds or settings, all at one density and of one kind of pressure. */
export interface FanFamily extends FanCurveBasis {
  /** Two or more, from the slowest to the fastest; `power` or `efficiency` in all of their points or in none. */
  readonly speeds: readonly FanSpeed[];
}

/** A curve of a family, ready to evaluate. */
export interface FamilyMember {
  readonly speed: number;
  readonly base: BaseCurve;
}

/** The curve of a family at one of its speeds, on its own. */
export const curveOf = ({ speeds: _, ...basis }: FanFamily, points: readonly FanPoint[]): FanCurve => ({
  ...basis,
  points,
});

/** The members of a family without problems. */
export const membersOf = (family: FanFamily): FamilyMember[] => {
  const bases = family.speeds.map(({ points }) => baseOf(curveOf(family, points)));
  const fastest = bases[bases.length - 1];
  return family.speeds.map(({ speed }, i) => ({ speed: speed ?? speedWithin(bases[i], fastest).mean, base: bases[i] }));
};

/** Flow over speed, which the fan laws hold constant, at each point of a member. */
export const homologous = ({ speed, base }: FamilyMember): number[] => [...base.pressure.knots].map((q) => q / speed);

/** Flow over speed from where to where both members have points; empty where the first is not below the second. */
export const commonRange = (lower: FamilyMember, upper: FamilyMember): [number, number] => {
  const [a, b] = [homologous(lower), homologous(upper)];
  return [Math.max(a[0], b[0]), Math.min(a[a.length - 1], b[b.length - 1])];
};

/** Each member with the next. */
export const neighbours = (members: readonly FamilyMember[]): [FamilyMember, FamilyMember][] =>
  members.slice(1).map((upper, i) => [members[i], upper]);
