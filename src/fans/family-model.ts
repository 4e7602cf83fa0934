import { InputError } from "../core/errors.js";
import { readData } from "../core/keys.js";
import { requireRange } from "../core/ranges.js";
import { valueAt } from "../numerics/interpolation.js";
import { BetweenSpeeds, powerExponent } from "./between-speeds.js";
import { commonRange, type FamilyMember, type FanFamily, homologous, neighbours } from "./family.js";
import { readFamily } from "./family-problems.js";
import { type FanModel, modelAt, type PressureCurve, pressureByOwnSpeed } from "./model.js";
import { speedWithin } from "./settings.js";

/** A fan of a family at one speed. Its `speed` is relative to the curve it is found from: 1 within the family. */
export interface FamilyFan extends FanModel {
  /**
   * Derivative of `pressure` by speed at a fixed flow [Pa per unit of the family's speed], exact; at a given speed that
   * towards higher speeds. Throws as `pressure`.
   */
  pressureBySpeed(flow: number): number;
}

/** A family made ready to evaluate. Never changes. */
export interface FanFamilyModel {
  /**
   * The fan at a speed [the family's unit], above 0, in air of a density [kg/m³], by default the curves'.
   * Throws InputError `out-of-range`.
   */
  at(speed: number, density?: number): FamilyFan;
  /** The lowest and the highest given speed [the family's unit]. */
  readonly speeds: { readonly min: number; readonly max: number };
}

const checkedMembers = (family: FanFamily): readonly FamilyMember[] => {
  const { members, problems } = readFamily(readData("family", family));
  if (problems.length > 0) throw new InputError(problems);
  return members;
};

/**
 * A fan with curves at several speeds, made ready to evaluate at any speed.
 *
 * At a given speed the curve is the given one. Between two speeds both neighbours are scaled by the fan laws, p·(n/nᵢ)²
 * at q·n/nᵢ, and blended linearly in speed; efficiency likewise, at equal flow over speed. Power does not follow n³ in
 * small motors: between two speeds it follows, at each flow over speed, the exponent that leads from one given power to
 * the other, so it lies between them. Beyond the lowest and the highest speed, the nearest curve is scaled by the fan
 * laws (power by n³, `powerEstimated` beyond ±20 %).
 *
 * If only the names of settings are known, their speeds follow from the curves themselves, as given by `settingSpeeds`:
 * the last one's is 1.
 *
 * @param family - Speeds [1/min, or any one unit] with points: flow [m³/s], pressure [Pa], power [W] or efficiency [-];
 *   density [kg/m³]; sections [m].
 * @returns The family: `at(speed)` gives the fan, pressure [Pa] and power [W] at a flow [m³/s], continuous in flow and
 *   speed.
 * @throws InputError with all problems at once: `curve.speeds-few`, `curve.speed-not-rising`, `curve.setting-again`,
 *   `key.missing`, `curve.family-crosses` (a lower speed above a higher one at the same flow), `curve.family-apart` (no
 *   flow over speed in common), `curve.rising-end` also where one neighbour's points end while the other's still rise,
 *   and the codes of `fanCurve`.
 *
 * Source: fan laws, as in textbooks (read); the blend and the local exponent are this library's own.
 * @example
 * const family = fanFamily({
 *   pressureKind: "total",
 *   speeds: [
 *     { speed: 1000, points: [{ flow: 0, pressure: 100, power: 12 }, { flow: 0.1, pressure: 20, power: 15 }] },
 *     { speed: 2000, points: [{ flow: 0, pressure: 400, power: 60 }, { flow: 0.2, pressure: 80, power: 90 }] },
 *   ],
 * });
 * family.at(1500).pressure(0); // 225
 */
export function fanFamily(family: FanFamily): FanFamilyModel {
  const { at, speeds } = familyAtSpeeds(checkedMembers(family));
  return { at, speeds };
}

/** A family's members at any speed. */
export interface FamilyAtSpeeds extends FanFamilyModel {
  /** The pressure alone, which is found in a fraction of the time: see `FanModel`. */
  pressureAt(speed: number): PressureCurve;
  /** Density of the points [kg/m³] */
  readonly density: number;
  /** Its derivative by speed at a flow, in the air of the curves [Pa per unit of the family's speed] */
  pressureBySpeed(speed: number, flow: number): number;
}

/** The members of a family made ready to run at any speed. */
export const familyAtSpeeds = (members: readonly FamilyMember[]): FamilyAtSpeeds => {
  const [first, last] = [members[0], members[members.length - 1]];
  const ownDensity = first.base.density;
  const pairs = neighbours(members).map((pair) => new BetweenSpeeds(...pair));
  const pairAt = (speed: number): BetweenSpeeds | undefined =>
    pairs.find(({ lower, upper }) => speed >= lower.speed && speed < upper.speed);
  /** The member that alone tells of a speed: the one that has it, or the nearest to one beyond them all. */
  const memberAt = (speed: number): FamilyMember | undefined => {
    if (speed <= first.speed) return first;
    return speed >= last.speed ? last : members.find((member) => member.speed === speed);
  };

  const pressureAt = (speed: number): PressureCurve => {
    const member = memberAt(speed);
    const curve = member?.base.pressure ?? (pairAt(speed) as BetweenSpeeds).pressureAt(speed);
    return { curve, density: ownDensity, speed: member === undefined ? 1 : speed / member.speed };
  };
  const pressureBySpeed = (speed: number, flow: number): number =>
    pairAt(speed)?.pressureBySpeed(speed, flow) ??
    pressureByOwnSpeed(pressureAt(speed), flow) / (memberAt(speed) as FamilyMember).speed;
  const at = (speed: number, density: number = ownDensity): FamilyFan => {
    requireRange("speed", speed, { above: 0 });
    requireRange("density", density, { above: 0 });
    const member = memberAt(speed);
    const model =
      member === undefined
        ? modelAt((pairAt(speed) as BetweenSpeeds).baseAt(speed), 1, density)
        : modelAt(member.base, speed / member.speed, density);
    return {
      ...model,
      pressureBySpeed: (flow) => {
        requireRange("flow", flow, {});
        return (density / ownDensity) * pressureBySpeed(speed, flow);
      },
    };
  };
  return { at, density: ownDensity, pressureAt, pressureBySpeed, speeds: { min: first.speed, max: last.speed } };
};

/** The speed of a setting, as found from its curve. */
export interface SettingSpeed {
  /** What it is called; absent where only its speed is given. */
  readonly setting?: string;
  /** As given [the family's unit], or relative to the last setting's [-]: the mean over its points. */
  readonly speed: number;
  /** If it is not given, the lowest speed found from one of its points [-] */
  readonly least?: number;
  /** The highest one [-] */
  readonly most?: number;
}

/**
 * The speeds of a fan's settings, for a data sheet that gives a curve for each setting but no speeds. For each point of
 * a curve there is a speed at which the last curve would pass through it by the fan laws; at no flow it is the square
 * root of the ratio of pressures. Only points that the last curve passes through between its own points count, not on
 * its extensions.
 *
 * @param family - As for `fanFamily`: flow [m³/s], pressure [Pa]; from the slowest to the fastest setting.
 * @returns One entry a setting: the mean speed relative to the last one's [-], with the lowest and highest from a single
 *   point. If these are far apart, the curves do not obey the laws, like curves of a motor at reduced voltage.
 * @throws InputError the codes of `fanFamily`.
 *
 * Source: fan laws, as in textbooks (read).
 * @example settingSpeeds(family).map(({ setting, speed }) => [setting, speed]); // [["low", 0.52], ["high", 1]]
 */
export function settingSpeeds(family: FanFamily): SettingSpeed[] {
  const given = readData("family", family);
  const members = checkedMembers(given);
  const fastest = members[members.length - 1].base;
  return given.speeds.map(({ setting, speed: own }, i) => {
    const { speed, base } = members[i];
    const named = setting === undefined ? { speed } : { setting, speed };
    if (own !== undefined) return named;
    const { least, most } = speedWithin(base, fastest);
    return { ...named, least, most };
  });
}

/** How far two neighbouring curves of a family are from the fan laws. */
export interface FamilyDeviation {
  /** The speed that is scaled up [the family's unit]. */
  readonly from: number;
  /** The speed whose curve it is compared with [the family's unit]. */
  readonly to: number;
  /** The scaled pressure less the given one where they differ most, over the largest given one [-]. */
  readonly pressure: number;
  /** Where that is, at the speed `to` [m³/s]. */
  readonly flow: number;
  /** Smallest and largest exponent of power over speed [-], 3 by the laws; absent without power points. */
  readonly powerExponent?: { readonly min: number; readonly max: number };
}

/**
 * How far the curves of a family lie from one another's law-scaled versions: a measure to judge the data by, not a
 * fault.
 *
 * Compared at all points of both neighbours, where both have data. Large fans keep within a few hundredths; small ones
 * at low speeds do not (Reynolds number, slip of the motor). More than a tenth in pressure points to curves at equal
 * voltage, whose speed changes along the curve, or to a slip in reading. In a network, a fan that runs between curves
 * more than 15 % of pressure apart warns (`fan.off-laws`).
 *
 * @param family - As for `fanFamily`: speeds [1/min, or any one unit], flow [m³/s], pressure [Pa], power [W].
 * @returns One entry for each speed but the first: deviation of pressure [-] at a flow [m³/s], exponents of power [-].
 * @throws InputError the codes of `fanFamily`.
 *
 * Source: fan laws, as in textbooks (read); what is usual is from memory.
 * @example familyDeviation(family)[0].pressure; // −0.03: the lower curve, scaled up, is 3 % below the upper one
 */
export function familyDeviation(family: FanFamily): FamilyDeviation[] {
  return deviationsOf(checkedMembers(family));
}

/** `familyDeviation` of members without problems. */
export const deviationsOf = (members: readonly FamilyMember[]): FamilyDeviation[] =>
  neighbours(members).map(([lower, upper]) => {
    const [from, to] = commonRange(lower, upper);
    const shared = [...homologous(lower), ...homologous(upper)].filter((x) => x >= from && x <= to);
    const ratio = upper.speed / lower.speed;
    const differences = shared.map((x) => ({
      by: ratio ** 2 * valueAt(lower.base.pressure, x * lower.speed) - valueAt(upper.base.pressure, x * upper.speed),
      flow: x * upper.speed,
    }));
    const { by, flow } = differences.reduce((most, one) => (Math.abs(one.by) > Math.abs(most.by) ? one : most));
    const largest = Math.max(...upper.base.pressure.values.map(Math.abs));
    const deviation = { from: lower.speed, to: upper.speed, pressure: by / largest, flow };
    if (lower.base.power === undefined) return deviation;
    const exponents = shared.map((x) => powerExponent(lower, upper, x)[0]);
    return { ...deviation, powerExponent: { min: Math.min(...exponents), max: Math.max(...exponents) } };
  });
