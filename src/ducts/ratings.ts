import type { AirState } from "../air/state.js";

/** How a rated loss follows the flow, and the air to which its rating refers. */
export interface RatingLaw {
  readonly exponent: number;
  /** [kg/m³] */
  readonly density: number;
  /** [Pa·s] */
  readonly viscosity: number;
}

/**
 * Coefficient c of a rating in terms of mass flow: Δp = c·mⁿ, from
 *
 *   Δp = Δp_r·(ρ/ρ_r)^(n−1)·(μ/μ_r)^(2−n)·(q/q_r)^n.
 *
 * n = 2 is a turbulent loss, which follows the density; n = 1 a laminar one, which follows the viscosity.
 *
 * @param pressure - Δp_r [Pa].
 * @param flow - q_r [m³/s].
 * @param air - The air that flows.
 * @returns c [Pa/(kg/s)ⁿ].
 */
export const ratingCoefficient = (
  { exponent, density, viscosity }: RatingLaw,
  pressure: number,
  flow: number,
  air: AirState,
): number =>
  (pressure * (air.density / density) ** (exponent - 1) * (air.viscosity / viscosity) ** (2 - exponent)) /
  (air.density * flow) ** exponent;

/**
 * ½ρv² in an area in terms of mass flow: 1/(2ρA²), times m².
 *
 * @param density - [kg/m³]
 * @param area - [m²]
 * @returns [Pa·s²/kg²]
 */
export const onVelocity = (density: number, area: number): number => 1 / (2 * density * area * area);
