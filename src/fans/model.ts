import { InputError, type Problem } from "../core/errors.js";
import { readData } from "../core/keys.js";
import { requireRange } from "../core/ranges.js";
import { type CubicCurve, pchip, slopeAt, valueAt } from "../numerics/interpolation.js";
import { curveProblems, type FanCurve, pressureSlopes, standardDensity, totalPressures } from "./curve.js";
import { pressureEnds } from "./knots.js";
import { electricalInput, ifFinite, type PowerData, totalEfficiency } from "./power.js";

/** A fan curve in total pressure, at the density and speed of its points, ready to evaluate. */
export interface BaseCurve extends PowerData {
  /** Density of the points [kg/m³]. */
  readonly density: number;
  /** Electrical input in addition to the points', independent of speed and density [W]. */
  readonly controlsPower: number;
}

/** The pressure of a fan at a speed, without all else. */
export interface PressureCurve {
  /** In total pressure [Pa] over flow [m³/s], at the density and at one speed of its points. */
  readonly curve: CubicCurve;
  /** The speed over that one [-] */
  readonly speed: number;
  /** Density of the points [kg/m³] */
  readonly density: number;
}

/**
 * How a pressure at its density changes with its relative speed, at a flow [Pa]: it is homogeneous of degree 2 in flow
 * and speed, so it follows from Euler's theorem.
 */
export const pressureByOwnSpeed = ({ curve, speed }: PressureCurve, flow: number): number => {
  const x = flow / speed;
  return speed * (2 * valueAt(curve, x) - x * slopeAt(curve, x));
};

/** A fan at one speed and one density: what `fanCurve`, `atSpeed` and `atDensity` return. Never changes. */
export interface FanModel {
  /**
   * Total pressure rise p_t,out − p_t,in [Pa] at a flow [m³/s]; negative where the fan is blown through.
   * Throws InputError `out-of-range` when the flow is not a finite number.
   */
  pressure(flow: number): number;
  /** Slope of `pressure` [Pa per m³/s]; throws as `pressure`. */
  slope(flow: number): number;
  /**
   * Electrical input [W] at a flow [m³/s], controls power included, never below 0; undefined where it is not known (from
   * efficiency: where flow or efficiency is not above 0). Absent where the curve has neither power nor efficiency.
   * Throws as `pressure`.
   */
  power?(flow: number): number | undefined;
  /**
   * Flow times total pressure over the electrical input without controls power [-]; undefined where it is not known.
   * Absent where the curve has neither power nor efficiency. Throws as `pressure`.
   */
  efficiency?(flow: number): number | undefined;
  /** Flows of the first and the last point at this speed [m³/s]; outside, the curve is an extension. */
  readonly range: { readonly min: number; readonly max: number };
  /** Density of the air [kg/m³]. */
  readonly density: number;
  /** Speed relative to the points' [-]. */
  readonly speed: number;
  /** Electrical input that depends on neither speed nor density [W]; contained in `power`. */
  readonly controlsPower: number;
  /** Whether the speed is more than 20 % from the points', where n³ no longer gives the electrical input well. */
  readonly powerEstimated: boolean;
  /** The curve at the density and speed of its points, which the fan laws scale. */
  readonly base: BaseCurve;
}

/** Change of speed beyond which a power scaled by n³ is only an estimate [-]. */
const trustedSpeedChange = 0.2;

/** A curve without problems in total pressure, ready to evaluate. */
export const baseOf = (curve: FanCurve): BaseCurve => {
  const { points, density = standardDensity, controlsPower = 0 } = curve;
  const flows = points.map((point) => point.flow);
  const pressures = totalPressures(curve);
  const slopes = pressureSlopes(flows, pressures);
  const [left, right] = pressureEnds(slopes);
  const [knots, values] = [Float64Array.from(flows), Float64Array.from(pressures)];
  const pressure = { knots, values, slopes, left, right };
  if (points[0].power !== undefined) {
    const powers = points.map((point) => point.power ?? 0);
    return { density, controlsPower, pressure, power: pchip(flows, powers) };
  }
  if (points[0].efficiency !== undefined) {
    const efficiencies = points.map((point) => point.efficiency ?? 0);
    return { density, controlsPower, pressure, efficiency: pchip(flows, efficiencies, 0, 0) };
  }
  return { density, controlsPower, pressure };
};

/** A base curve at a speed and a density, by the fan laws. */
export const modelAt = (base: BaseCurve, speed: number, density: number): FanModel => {
  const heavier = density / base.density;
  const { knots } = base.pressure;
  const baseFlow = (flow: number): number => {
    requireRange("flow", flow, {});
    return flow / speed;
  };
  const model: FanModel = {
    pressure: (flow) => heavier * speed ** 2 * valueAt(base.pressure, baseFlow(flow)),
    slope: (flow) => heavier * speed * slopeAt(base.pressure, baseFlow(flow)),
    range: { min: speed * knots[0], max: speed * knots[knots.length - 1] },
    density,
    speed,
    controlsPower: base.controlsPower,
    powerEstimated: Math.abs(speed - 1) > trustedSpeedChange,
    base,
  };
  if (base.power === undefined && base.efficiency === undefined) return model;
  return {
    ...model,
    power: (flow) => {
      const input = electricalInput(base, baseFlow(flow));
      return input === undefined ? undefined : ifFinite(heavier * speed ** 3 * input + base.controlsPower);
    },
    efficiency: (flow) => totalEfficiency(base, baseFlow(flow)),
  };
};

/**
 * A fan curve made ready to evaluate at the density and speed of its points.
 *
 * The points are converted to total pressure first, then joined by a curve that keeps their shape (PCHIP). Left of the
 * first point the pressure continues with the smaller of its slope there and 0. Right of the last point it continues
 * with its slope there, which is negative: if PCHIP would end level although the last points fall, it is the slope of
 * the line between them. Power points are joined in the same way and continue with their end slopes, never below 0;
 * efficiency is held at its end values.
 *
 * @param curve - Points: flow [m³/s], pressure [Pa], power [W] or efficiency [-]; density [kg/m³]; sections [m].
 * @returns The fan at speed 1: pressure [Pa], power [W] and efficiency [-] at a flow [m³/s]. Results outside `range` are
 *   extensions, not data.
 * @throws InputError with all problems of the curve at once: `curve.points-few`, `curve.flow-not-rising`,
 *   `curve.inlet-missing`, `curve.outlet-missing`, `curve.power-or-efficiency`, `curve.power-below-air-power` (an
 *   efficiency above 1: kW in place of W), `curve.rising-end`, `curve.too-steep`, `out-of-range`, `unknown-key`,
 *   `unknown-pressure-kind`, `unknown-of`, `not-an-object`, and the codes of a section.
 *
 * Source: interpolation by Fritsch and Butland 1984, SIAM J. Sci. Stat. Comput. 5 (memory).
 * @example
 * const fan = fanCurve({
 *   pressureKind: "total",
 *   points: [{ flow: 0, pressure: 300 }, { flow: 0.2, pressure: 200 }],
 * });
 * fan.pressure(0.1); // 250
 */
export function fanCurve(curve: FanCurve): FanModel {
  const given = readData("curve", curve);
  const problems = curveProblems(given);
  if (problems.length > 0) throw new InputError(problems);
  const base = baseOf(given);
  return modelAt(base, 1, base.density);
}

/**
 * The model of a curve, or the model itself.
 *
 * @param others - What is wrong beside the curve, which is then thrown with what is wrong with it.
 */
export const modelOf = (fan: FanCurve | FanModel, others: readonly Problem[] = []): FanModel => {
  const given = readData("fan", fan);
  const isModel = typeof given === "object" && given !== null && "base" in given;
  if (others.length > 0) throw new InputError([...others, ...(isModel ? [] : curveProblems(given))]);
  return isModel ? given : fanCurve(given);
};
