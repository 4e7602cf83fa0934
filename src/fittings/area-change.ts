import type { Source } from "../core/sources.js";

/** The source of `wideningCoefficient`. */
export const wideningSource: Source = {
  author: "Borda and Carnot",
  title: "balance of momentum across an abrupt widening",
  where: "Idelchik, Handbook of Hydraulic Resistance, 3rd edition, 2006, diagram 4-1: (1 − b)²",
  status: "read",
};

/** The source of `narrowingCoefficient`. */
export const narrowingSource: Source = {
  author: "Idelchik",
  title: "Handbook of Hydraulic Resistance, 3rd edition",
  year: 2006,
  where: "abrupt narrowing, diagram 4-9: 0.5·(1 − b)^0.75",
  status: "read",
};

/**
 * Loss coefficient of an abrupt widening.
 *
 * @param ratio - Smaller over larger area [-], 0 to 1.
 * @returns On the velocity pressure in the smaller section [-].
 */
export const wideningCoefficient = (ratio: number): number => (1 - ratio) ** 2;

/**
 * Loss coefficient of an abrupt narrowing with a sharp edge.
 *
 * @param ratio - Smaller over larger area [-], 0 to 1.
 * @returns On the velocity pressure in the smaller section [-].
 */
export const narrowingCoefficient = (ratio: number): number => 0.5 * (1 - ratio) ** 0.75;
