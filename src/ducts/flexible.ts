import { type Range, requireRange } from "../core/ranges.js";
import type { Source } from "../core/sources.js";

/** What the tests that were read of cover: compressions [-] and diameters [m]. */
export const compressionCovered: { readonly compression: Range; readonly diameter: Range } = {
  compression: { min: 0, max: 0.45 },
  diameter: { min: 0.15, max: 0.25 },
};

/** Where `compressionFactor` comes from. */
export const compressionSources: readonly Source[] = [
  {
    author: "ASHRAE",
    title: "Handbook: Fundamentals, duct design, pressure drop of compressed flexible duct",
    year: 2009,
    status: "memory",
  },
  {
    author: "Abushakra, Walker and Sherman",
    title: "Compression effects on pressure loss in flexible HVAC ducts, HVAC&R Research 10(3)",
    year: 2004,
    where: "abstract: about 4 times at moderate, close to 10 times at further compression; 150 to 250 mm",
    status: "read",
  },
  {
    author: "Weaver and Culp",
    title: "Static pressure losses in 6, 8 and 10-inch non-metallic flexible duct",
    where: "abstract: over 10 times in the worst case, at up to 45 % compression",
    status: "read",
  },
];

/**
 * By how much a flexible duct that is not pulled out to its full length loses more: its friction loss per installed
 * length, relative to the same duct fully extended. 1 + 0.58·r·exp(−0.00496·D), with r in per cent and D in mm.
 *
 * The tests that were read of are of straight ducts of 150, 200 and 250 mm (`compressionCovered`): others are computed all
 * the same, by continuing the formula, which its handbook gives up to some 400 mm (memory). Sagging between supports adds to it. Tests of one make and of several differ by 30 % and more
 * at strong compression.
 *
 * @param compression - Share of its full length by which the duct is shorter, 1 − L/L_full [-], 0 to 0.45.
 * @param diameter - Inner diameter [m], above 0.
 * @returns Factor [-], 1 or more.
 * @throws InputError `out-of-range` for a compression outside 0 to 0.45, a diameter of 0 or less, or NaN.
 *
 * Source: ASHRAE Fundamentals, duct design (memory); agrees with the abstracts of Abushakra, Walker and Sherman 2004 and
 * of Weaver and Culp (read).
 * @example compressionFactor(0.15, 0.2); // 4.226
 */
export function compressionFactor(compression: number, diameter: number): number {
  requireRange("compression", compression, compressionCovered.compression);
  requireRange("diameter", diameter, { above: 0 });
  return 1 + 58 * compression * Math.exp(-4.96 * diameter);
}
