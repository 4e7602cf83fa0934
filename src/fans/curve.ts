import { type Problem, problemOf } from "../core/errors.js";
import { thrownBelow, thrownBy } from "../core/gather.js";
import { requireKeys } from "../core/keys.js";
import { unknownName } from "../core/nearest.js";
import { requireRange } from "../core/ranges.js";
import { rounded, shown } from "../core/show.js";
import { type Section, sectionArea } from "../ducts/section.js";
import { pchipSlopes } from "../numerics/interpolation.js";

/** One point of a fan curve. */
export interface FanPoint {
  /** Flow [m³/s], 0 or more. */
  readonly flow: number;
  /** Pressure [Pa] of the curve's kind. */
  readonly pressure: number;
  /** Electrical input [W], 0 or more, without the controls power. */
  readonly power?: number;
  /** Flow times total pressure over the electrical input without the controls power [-], 0 to 1. */
  readonly efficiency?: number;
}

/**
 * What the pressures of a curve are: `total` is p_t,out − p_t,in; `static` is p_s,out − p_t,in; `externalStatic` is
 * p_s,out − p_s,in.
 */
export type FanPressureKind = "total" | "static" | "externalStatic";

/** What a fan's figures are about, in any form of its curve. */
export interface FanCurveBasis {
  readonly pressureKind: FanPressureKind;
  /** Density of the air at which the points hold [kg/m³]; default 1.2. */
  readonly density?: number;
  /** Section in which p_s,in is measured; needed for `externalStatic`. */
  readonly inlet?: Section;
  /** Section in which p_s,out is measured; needed for `static` and `externalStatic`. */
  readonly outlet?: Section;
  /** Whether the points describe the bare fan or what a unit offers to its ducts; default `"fan"`. */
  readonly of?: "fan" | "unit";
  /** Electrical input that does not depend on speed [W], 0 or more, in addition to the points'; default 0. */
  readonly controlsPower?: number;
}

/** A fan curve as its maker publishes it: points at one density and one speed. */
export interface FanCurve extends FanCurveBasis {
  /** Two or more, with strictly rising flows; `power` or `efficiency` in all of them or in none. */
  readonly points: readonly FanPoint[];
}

/** Density at which a curve's points hold when it does not say so [kg/m³]. */
export const standardDensity = 1.2;

const pressureKinds = ["total", "static", "externalStatic"];
const basisKeys = ["pressureKind", "density", "inlet", "outlet", "of", "controlsPower"];
const pointKeys = ["flow", "pressure", "power", "efficiency"];

const pointsProblems = (points: readonly FanPoint[]): Problem[] => {
  const problems: Problem[] = [];
  points.forEach((point, i) => {
    const path = `points.${i}`;
    problems.push(...thrownBelow(path, path, () => requireKeys(path, point, pointKeys)));
    if (typeof point !== "object" || point === null) return;
    const { flow, pressure, power, efficiency } = point;
    problems.push(...thrownBy(() => requireRange(`${path}.flow`, flow, { min: 0 })));
    problems.push(...thrownBy(() => requireRange(`${path}.pressure`, pressure, {})));
    if (power !== undefined) problems.push(...thrownBy(() => requireRange(`${path}.power`, power, { min: 0 })));
    if (efficiency !== undefined)
      problems.push(...thrownBy(() => requireRange(`${path}.efficiency`, efficiency, { min: 0, max: 1 })));
    const previous = points[i - 1]?.flow;
    if (Number.isFinite(flow) && Number.isFinite(previous) && flow <= previous) {
      const expected = `above ${previous}, the flow of the point before`;
      problems.push(problemOf("curve.flow-not-rising", `${path}.flow`, expected, String(flow)));
    }
  });
  return problems;
};

const powerProblems = (points: readonly FanPoint[]): Problem[] => {
  const powers = points.filter((point) => point?.power !== undefined).length;
  const efficiencies = points.filter((point) => point?.efficiency !== undefined).length;
  const whole = (count: number): boolean => count === 0 || count === points.length;
  if (whole(powers) && whole(efficiencies) && (powers === 0 || efficiencies === 0)) return [];
  const expected = "either power or efficiency in all points, or neither in any";
  const found = `power in ${powers} and efficiency in ${efficiencies} of ${points.length} points`;
  return [problemOf("curve.power-or-efficiency", "points", expected, found)];
};

const sectionProblems = (curve: FanCurveBasis): Problem[] => {
  const problems: Problem[] = [];
  const needed = { inlet: ["externalStatic"], outlet: ["static", "externalStatic"] };
  for (const [end, code] of [
    ["inlet", "curve.inlet-missing"],
    ["outlet", "curve.outlet-missing"],
  ] as const) {
    const section = curve[end];
    if (section !== undefined) problems.push(...thrownBelow(end, "section", () => sectionArea(section)));
    else if (needed[end].includes(curve.pressureKind)) {
      const expected = `the ${end} section, which pressureKind '${curve.pressureKind}' refers to`;
      problems.push(problemOf(code, end, expected, "nothing"));
    }
  }
  return problems;
};

/** Slope of the line between a point and the one before. */
const secantTo = (i: number, flows: readonly number[], pressures: readonly number[]): number =>
  (pressures[i] - pressures[i - 1]) / (flows[i] - flows[i - 1]);

/**
 * Slopes of a total pressure at its points [Pa per m³/s], by `pchipSlopes`. Where these end level although the last
 * points fall, as they do where the curve ends less than half as steep as before, the last one is the slope of the line
 * between the last two points.
 *
 * A level end would continue level beyond the points, where only the fall determines where the curve ends. With that
 * line the last cubic falls throughout: its slope over its secant begins with at most 3, by the harmonic mean, and ends
 * with 1, so it is nowhere less steep than a third of its secant.
 */
export const pressureSlopes = (flows: readonly number[], pressures: readonly number[]): Float64Array => {
  const slopes = pchipSlopes(flows, pressures);
  const last = flows.length - 1;
  if (slopes[last] === 0) slopes[last] = Math.min(secantTo(last, flows, pressures), 0);
  return slopes;
};

/**
 * Efficiency that printed points may show at most [-], chosen: in Abulencia and Theodore, example 17.2 (read), rounded
 * figures come to 1.04.
 */
const roundedEfficiency = 1.1;
/** W in a kW, and how much more than what is given to the air a power in kW may be by a slip of units. */
const [kilowatt, likely] = [1000, 100];

/**
 * The problem of an electrical input below the power that it gives to the air, which is flow times pressure; none where
 * rounding may have made it so.
 *
 * @param path - Where the input stands.
 * @param airPower - What is certain to be given to the air [W].
 * @param power - The input, controls power included [W].
 */
export const inputProblems = (path: string, airPower: number, power: number): Problem[] => {
  if (!(airPower > roundedEfficiency * power)) return [];
  const isKilowatts = kilowatt * power >= airPower && kilowatt * power <= likely * airPower;
  const hint = isKilowatts ? `, such as ${rounded(kilowatt * power)} W if that was in kW` : "";
  const expected = `${rounded(airPower)} W or more, which is flow times pressure, since no efficiency is above 1${hint}`;
  return [problemOf("curve.power-below-air-power", path, expected, `${rounded(power)} W`)];
};

/**
 * Points that take less than they give to the air. Total pressure is judged, or the pressure as printed where that is less:
 * a section that is not quite the maker's must not refuse a curve of static pressure. The controls power counts as input,
 * since makers often print both together.
 */
const powersTooSmall = ({ points, controlsPower = 0 }: FanCurve, pressures: readonly number[]): Problem[] =>
  points.flatMap(({ flow, power, pressure }, i) =>
    power === undefined
      ? []
      : inputProblems(`points.${i}.power`, flow * Math.min(pressures[i], pressure), power + controlsPower),
  );

/** What can be asked of the interpolated curve once its points are in order. */
const shapeProblems = (curve: FanCurve): Problem[] => {
  const flows = curve.points.map((point) => point.flow);
  const pressures = totalPressures(curve);
  const slopes = pressureSlopes(flows, pressures);
  const end = slopes[slopes.length - 1];
  const secants = flows.slice(1).map((_, i) => secantTo(i + 1, flows, pressures));
  if (![...slopes, ...secants].every(Number.isFinite)) {
    const expected = "a finite slope between all points";
    const found = "points too close together, or too far apart in pressure, for that";
    return [problemOf("curve.too-steep", "points", expected, found)];
  }
  const problems = powersTooSmall(curve, pressures);
  if (end < 0) return problems;
  const path = `points.${flows.length - 1}.pressure`;
  const expected = "a total pressure that falls with flow at the last point";
  const found = `a slope of ${rounded(secants[secants.length - 1])} Pa per m³/s from the point before`;
  return [...problems, problemOf("curve.rising-end", path, expected, found)];
};

/** What is wrong with all but the curve itself, which stands under `keys`; only that when the curve is no object. */
export const basisProblems = (curve: FanCurveBasis, keys: readonly string[]): Problem[] => {
  const problems: Problem[] = [];
  problems.push(...thrownBy(() => requireKeys("curve", curve, [...basisKeys, ...keys])));
  if (isNoObject(problems)) return problems;
  const { pressureKind, density = standardDensity, of = "fan", controlsPower = 0 } = curve;
  problems.push(
    ...thrownBy(() => {
      if (!pressureKinds.includes(pressureKind))
        throw unknownName("pressure-kind", "pressureKind", pressureKind, pressureKinds);
    }),
  );
  problems.push(
    ...thrownBy(() => {
      if (of !== "fan" && of !== "unit") throw unknownName("of", "of", of, ["fan", "unit"]);
    }),
  );
  problems.push(...thrownBy(() => requireRange("density", density, { above: 0 })));
  problems.push(...thrownBy(() => requireRange("controlsPower", controlsPower, { min: 0 })));
  problems.push(...sectionProblems(curve));
  return problems;
};

/** Whether a check ended at once, because there is nothing to look into. */
export const isNoObject = (problems: readonly Problem[]): boolean =>
  problems.some((problem) => problem.code === "not-an-object" && problem.path === "curve");

/**
 * Everything that is wrong with a fan curve, as data; never throws. Paths are relative to the curve (`points.2.flow`).
 *
 * Codes: `curve.points-few`, `curve.flow-not-rising`, `curve.inlet-missing`, `curve.outlet-missing`,
 * `curve.power-or-efficiency`, `curve.power-below-air-power`, `curve.rising-end`, `curve.too-steep`, `out-of-range`, `unknown-key`,
 * `unknown-pressure-kind`, `unknown-of`, `not-an-object`, and the codes of `sectionArea`.
 */
export const curveProblems = (curve: FanCurve): Problem[] => {
  const problems = basisProblems(curve, ["points"]);
  if (isNoObject(problems)) return problems;
  const { points } = curve;
  if (!Array.isArray(points) || points.length < 2) {
    problems.push(problemOf("curve.points-few", "points", "two or more points", shown(points)));
  } else problems.push(...pointsProblems(points), ...powerProblems(points));
  return problems.length > 0 ? problems : shapeProblems(curve);
};

/**
 * Total pressure rise p_t,out − p_t,in [Pa] at each point of a curve without problems, at the curve's density.
 *
 * For `static`, the velocity pressure at the outlet is added. For `externalStatic`, the velocity pressure at the
 * outlet is added and the one at the inlet subtracted.
 *
 * Source: definitions of fan total and static pressure, as in ISO 5801 (memory).
 */
export const totalPressures = ({
  pressureKind,
  density = standardDensity,
  inlet,
  outlet,
  points,
}: FanCurve): number[] => {
  const velocityPressure = (flow: number, section: Section | undefined): number =>
    section === undefined ? 0 : (density / 2) * (flow / sectionArea(section)) ** 2;
  const before = pressureKind === "externalStatic" ? inlet : undefined;
  const after = pressureKind === "total" ? undefined : outlet;
  return points.map(({ flow, pressure }) => pressure + velocityPressure(flow, after) - velocityPressure(flow, before));
};
