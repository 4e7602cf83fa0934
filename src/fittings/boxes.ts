import { requireRange } from "../core/ranges.js";
import { narrowingCoefficient, wideningCoefficient } from "./area-change.js";

/** Smaller over larger area of a duct and the box that it meets. */
const ratioOf = (ductArea: number, boxArea: number): number => {
  requireRange("boxArea", boxArea, { above: 0 });
  requireRange("ductArea", ductArea, { above: 0, max: boxArea });
  return ductArea / boxArea;
};

/**
 * Loss coefficient where a duct flows into a distribution box: an abrupt widening, (1 − A/A_box)². It is an engineering
 * approximation: no table of small distribution boxes is known to us, and neighbouring spigots are left out.
 *
 * @param ductArea - A, of the duct [m²], above 0 and at most the box's.
 * @param boxArea - A_box, of the box across the flow from that duct [m²], above 0.
 * @returns The coefficient [-] on the velocity pressure in the duct: 0 in a box as wide as the duct, near 1 in a large one.
 * @throws InputError `out-of-range` when an area is not above 0, not finite or NaN, or the duct is larger than its box.
 *
 * Source: Borda and Carnot; Idelchik, diagram 4-1 (read).
 * @example boxInletLoss(0.0079, 0.06); // 0.754
 */
export function boxInletLoss(ductArea: number, boxArea: number): number {
  return wideningCoefficient(ratioOf(ductArea, boxArea));
}

/**
 * Loss coefficient where a duct takes its air from a distribution box: an abrupt narrowing, 0.5·(1 − A/A_box)^0.75. It is
 * an engineering approximation: no table of small distribution boxes is known to us, and neighbouring spigots are left out.
 *
 * @param ductArea - A, of the duct [m²], above 0 and at most the box's.
 * @param boxArea - A_box, of the box across the flow into that duct [m²], above 0.
 * @returns The coefficient [-] on the velocity pressure in the duct: 0 in a box as wide as the duct, near 0.5 in a large one.
 * @throws InputError `out-of-range` when an area is not above 0, not finite or NaN, or the duct is larger than its box.
 *
 * Source: Idelchik, diagram 4-9 (read).
 * @example boxOutletLoss(0.0044, 0.06); // 0.472
 */
export function boxOutletLoss(ductArea: number, boxArea: number): number {
  return narrowingCoefficient(ratioOf(ductArea, boxArea));
}
