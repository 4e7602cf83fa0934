import { requireRange } from "../core/ranges.js";
import type { Source } from "../core/sources.js";
import type { FanCurve } from "./curve.js";
import { type FanModel, modelAt, modelOf } from "./model.js";

/** Where the fan laws come from. */
export const fanLawsSource: Source = {
  author: "textbooks of fans",
  title: "fan laws by speed and density",
  where: "similarity, no Reynolds effect; Abulencia and Theodore, example 17.2, Fox and McDonald, example 10.11",
  status: "read",
};

/** Speeds and densities, as `isOfSize` holds them of a document: the cube of a larger speed is no number any more. */
const size = { min: 1e-30, max: 1e30 };

/**
 * A fan at another speed: flow scales with n, pressure with n², power without standby with n³.
 *
 *   p(q, n) = n²·p₁(q/n),  P(q, n) = n³·P₁(q/n) + controls power
 *
 * @param fan - A curve [SI], or a model, which may already be at another speed or density.
 * @param n - New speed over the speed of `fan` [-], above 0. Beyond ±20 % of the points' speed the electrical input is
 *   an estimate (motor and drive losses follow another law), marked `powerEstimated`.
 * @returns The fan at that speed: pressure [Pa] and power [W] at a flow [m³/s]; its density stays.
 * @throws InputError `out-of-range` when the new speed is not from 1e-30 to 1e30, or NaN; the codes of `fanCurve` for a wrong curve.
 *
 * Source: fan laws (similarity, no Reynolds effect), as in textbooks (read).
 * @example atSpeed(fan, 0.5).pressure(0.05); // a quarter of fan.pressure(0.1)
 */
export function atSpeed(fan: FanCurve | FanModel, n: number): FanModel {
  const model = modelOf(fan);
  requireRange("n", n, { min: size.min / model.speed, max: size.max / model.speed });
  return modelAt(model.base, model.speed * n, model.density);
}

/**
 * A fan in air of another density: at the same flow, pressure and power without standby scale with density.
 *
 * @param fan - A curve [SI], or a model, which may already be at another speed or density.
 * @param rho - Density of the air [kg/m³], above 0.
 * @returns The fan in that air: pressure [Pa] and power [W] at a flow [m³/s]; its speed stays.
 * @throws InputError `out-of-range` when rho is not from 1e-30 to 1e30, or NaN; the codes of `fanCurve` for a wrong curve.
 *
 * Source: fan laws, as in textbooks (read).
 * @example atDensity(fan, 0.6).pressure(0.1); // half of fan.pressure(0.1) for a curve at 1.2 kg/m³
 */
export function atDensity(fan: FanCurve | FanModel, rho: number): FanModel {
  requireRange("rho", rho, size);
  const model = modelOf(fan);
  return modelAt(model.base, model.speed, rho);
}
