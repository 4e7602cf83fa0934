import type { Source } from "../core/sources.js";

/** The source of `thinPlateCoefficient`. */
export const thinPlateSource: Source = {
  author: "Idelchik",
  title: "Handbook of Hydraulic Resistance",
  year: 1986,
  where: "thin sharp-edged plate across a duct",
  status: "memory",
};

/**
 * Loss coefficient of a thin sharp-edged plate with openings across a duct, on the velocity pressure before it:
 * [0.707√(1 − φ) + 1 − φ]²/φ².
 *
 * @param freeArea - φ, the openings' share of the duct's section [-], above 0 up to 1.
 * @returns The coefficient [-]; 0 for no plate.
 */
export const thinPlateCoefficient = (freeArea: number): number =>
  // biome-ignore lint/suspicious/noApproximativeNumericConstant: the handbook prints three digits
  ((0.707 * Math.sqrt(1 - freeArea) + 1 - freeArea) / freeArea) ** 2;
