import { type Problem, problemOf } from "../core/errors.js";
import { placedBelow, thrownBelow, thrownBy } from "../core/gather.js";
import { requireKeys } from "../core/keys.js";
import { requireRange } from "../core/ranges.js";
import { rounded, shown } from "../core/show.js";
import { pieceOf, slopeAt, valueAt } from "../numerics/interpolation.js";
import { rootsBetween } from "../numerics/roots.js";
import { basisProblems, curveProblems, type FanPoint, isNoObject } from "./curve.js";
import {
  commonRange,
  curveOf,
  type FamilyMember,
  type FanFamily,
  type FanSpeed,
  homologous,
  membersOf,
  neighbours,
} from "./family.js";
import { cubicsThrough, knotsBetween } from "./knots.js";

/** Whether no curve of a family has a speed, but each the name of a setting; of values that may be anything. */
const hasSettingsOnly = ({ speeds }: FanFamily): boolean =>
  speeds.every((one) => typeof one?.setting === "string" && one.speed === undefined);

const speedProblems = (family: FanFamily, basisFine: boolean): Problem[] => {
  const unknown = hasSettingsOnly(family);
  return family.speeds.flatMap((one: FanSpeed, i) => {
    const path = `speeds.${i}`;
    const problems = thrownBelow(path, path, () => requireKeys(path, one, ["speed", "setting", "points"]));
    if (typeof one !== "object" || one === null) return problems;
    if (!unknown && one.speed === undefined) {
      const expected = "a speed in all curves, or a setting in all and a speed in none";
      problems.push(problemOf("key.missing", `${path}.speed`, expected, "nothing"));
    } else if (!unknown) {
      problems.push(...thrownBy(() => requireRange(`${path}.speed`, one.speed as number, { above: 0 })));
      const before = family.speeds[i - 1]?.speed;
      if (before !== undefined && (one.speed as number) <= before) {
        const expected = `above ${before}, the speed before`;
        problems.push(problemOf("curve.speed-not-rising", `${path}.speed`, expected, String(one.speed)));
      }
    }
    const first = family.speeds.findIndex((other) => other?.setting === one.setting);
    if (one.setting !== undefined && first < i) {
      const found = `${shown(one.setting)}, which speeds.${first} has`;
      problems.push(problemOf("curve.setting-again", `${path}.setting`, "a unique name", found));
    }
    const curve = basisFine ? curveOf(family, one.points) : { pressureKind: "total" as const, points: one.points };
    const ofPoints = curveProblems(curve);
    problems.push(...ofPoints.map((problem) => placedBelow(path, "curve", problem)));
    if (ofPoints.length > 0) return problems;
    one.points.forEach(({ power }, j) => {
      // Between speeds power is scaled by an exponent, which a power of 0 does not have.
      if (power === 0) problems.push(problemOf("out-of-range", `${path}.points.${j}.power`, "above 0", "0"));
    });
    return problems;
  });
};

/** Settings whose own curves do not tell a speed, or not that each is faster than the one before. */
const settingProblems = (members: readonly FamilyMember[]): Problem[] => {
  const place = (i: number): string => `speeds.${i}.points`;
  const untold = members.flatMap(({ speed }, i) => {
    if (!Number.isNaN(speed)) return [];
    const expected = "pressures above 0 that the last curve, scaled by the fan laws, also has between its own points";
    return [problemOf("curve.family-apart", place(i), expected, "none, so its speed cannot be found")];
  });
  if (untold.length > 0) return untold;
  return members.slice(1).flatMap(({ speed }, i) => {
    const before = members[i].speed;
    if (speed > before) return [];
    const expected = "more pressure than the setting before, which is slower";
    const found = `points of the same fan at ${rounded(speed / before)} of its speed`;
    return [problemOf("curve.speed-not-rising", place(i + 1), expected, found)];
  });
};

const kindOfPower = ([{ power, efficiency }]: readonly FanPoint[]): string => {
  if (power !== undefined) return "power";
  return efficiency === undefined ? "neither power nor efficiency" : "efficiency";
};

const powerProblems = ({ speeds: [first, ...others] }: FanFamily): Problem[] => {
  const expected = `${kindOfPower(first.points)}, as at the first speed`;
  return others.flatMap(({ points }, i) => {
    const found = kindOfPower(points);
    if (found === kindOfPower(first.points)) return [];
    return [problemOf("curve.power-or-efficiency", `speeds.${i + 1}.points`, expected, found)];
  });
};

/** Smallest amount by which the upper of two curves lies above the lower where both have points, and at which flow. */
const leastGap = (lower: FamilyMember, upper: FamilyMember): [number, number] | undefined => {
  const [a, b] = [lower.base.pressure, upper.base.pressure];
  const from = Math.max(a.knots[0], b.knots[0]);
  const to = Math.min(a.knots[a.knots.length - 1], b.knots[b.knots.length - 1]);
  if (!(from < to)) return undefined;
  const knots = knotsBetween(from, to, [...a.knots, ...b.knots]);
  const gap = cubicsThrough(knots, (q) => [valueAt(b, q) - valueAt(a, q), slopeAt(b, q) - slopeAt(a, q)]);
  const places = knots.slice(1).flatMap((next, i) => {
    const { first, second, third } = pieceOf(gap, i);
    const chain = [(q: number) => first + (q - knots[i]) * (second + ((q - knots[i]) * third) / 2)];
    chain.push((q) => second + (q - knots[i]) * third);
    return [knots[i], ...rootsBetween(chain, knots[i], next), next];
  });
  return places
    .map((q): [number, number] => [valueAt(gap, q), q])
    .reduce((least, one) => (one[0] < least[0] ? one : least));
};

/** Part of the largest pressure by which curves may cross, and of a flow by which ends differ: what rounding does. */
const touching = 1e-12;

const pairProblems = ([lower, upper]: [FamilyMember, FamilyMember], i: number): Problem[] => {
  const path = `speeds.${i + 1}.points`;
  const [from, to] = commonRange(lower, upper);
  if (!(from < to)) {
    const expected = "flows over speed that overlap those on the curve before";
    const reach = (member: FamilyMember): string => {
      const all = homologous(member);
      return `${rounded(all[0])} to ${rounded(all[all.length - 1])}`;
    };
    const found = `${reach(upper)} where the curve before has ${reach(lower)}`;
    return [problemOf("curve.family-apart", path, expected, found)];
  }
  const problems: Problem[] = [];
  const [gap, flow] = leastGap(lower, upper) ?? [0, 0];
  if (!(gap >= -touching * Math.max(...upper.base.pressure.values.map(Math.abs)))) {
    const expected = `pressures no lower than on the curve at speed ${rounded(lower.speed)}`;
    problems.push(
      problemOf("curve.family-crosses", path, expected, `${rounded(-gap)} Pa lower at ${rounded(flow)} m³/s`),
    );
  }
  // Between the speeds the curve ends between the ends of both: there the longer one must fall already.
  for (const [member, index] of [
    [lower, i],
    [upper, i + 1],
  ] as const) {
    const { speed, base } = member;
    const beyond = [to, ...homologous(member).filter((x) => x > to * (1 + touching))];
    const pressures = beyond.map((x) => valueAt(base.pressure, x * speed));
    const rising = pressures.findIndex((pressure, j) => j > 0 && !(pressure < pressures[j - 1]));
    if (rising < 0) continue;
    const [a, b] = [to * speed, beyond[rising] * speed];
    const expected = `a pressure that falls from ${rounded(a)} m³/s on, where the neighbouring curve ends when scaled to this speed`;
    problems.push(
      problemOf("curve.rising-end", `speeds.${index}.points`, expected, `no falling pressure up to ${rounded(b)} m³/s`),
    );
  }
  return problems;
};

/** A family as it was read: what is wrong with it, or else its members. */
export interface FamilyReading {
  readonly problems: readonly Problem[];
  /** None where there are problems. */
  readonly members: readonly FamilyMember[];
}

/**
 * Reads a family, of values that may be anything: everything that is wrong with it as data, with paths relative to the
 * family, or its members; never throws.
 *
 * Codes: the codes of `curveProblems` below `speeds.0` and so on, and `curve.speeds-few`, `curve.speed-not-rising`,
 * `curve.setting-again`, `key.missing`, `curve.family-crosses`, `curve.family-apart`, `curve.rising-end`.
 */
export const readFamily = (family: FanFamily): FamilyReading => {
  const problems = ownProblems(family);
  if (problems.length > 0) return { problems, members: [] };
  const members = membersOf(family);
  const untold = settingProblems(members);
  const between = untold.length > 0 ? untold : neighbours(members).flatMap(pairProblems);
  return between.length > 0 ? { problems: between, members: [] } : { problems: [], members };
};

/** What is wrong before the curves are compared. */
const ownProblems = (family: FanFamily): Problem[] => {
  const problems = basisProblems(family, ["speeds"]);
  if (isNoObject(problems)) return problems;
  if (!Array.isArray(family.speeds) || family.speeds.length < 2) {
    problems.push(problemOf("curve.speeds-few", "speeds", "curves at two or more speeds", shown(family.speeds)));
    return problems;
  }
  problems.push(...speedProblems(family, problems.length === 0));
  return problems.length > 0 ? problems : powerProblems(family);
};
