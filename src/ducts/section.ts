import { InputError, problemOf } from "../core/errors.js";
import { requireAll, thrownBy } from "../core/gather.js";
import { readObject, requireKeys } from "../core/keys.js";
import { unknownName } from "../core/nearest.js";
import { positive, requireRange } from "../core/ranges.js";
import {
  areaOf,
  aspectOf,
  circularDiameterOf,
  constantFrictionDiameterOf,
  type FlatOvalSection,
  hydraulicDiameterOf,
  perimeterOf,
  type RectangularSection,
  type Section,
} from "./geometry.js";

export type { FlatOvalSection, RectangularSection, RoundSection, Section } from "./geometry.js";

/** The section itself, once it is known to be one. */
const checked = (written: Section): Section => {
  const section = readObject("section", written);
  if ("diameter" in section && section.diameter !== undefined) {
    const { diameter } = section;
    requireAll(
      () => requireKeys("section", section, ["diameter"]),
      () => requireRange("diameter", diameter, positive),
    );
    return { diameter };
  }
  const { width, height, shape } = section as RectangularSection & Partial<FlatOvalSection>;
  const ofKeys = thrownBy(() => requireKeys("section", section, ["diameter", "width", "height", "shape"]));
  // It is not known which form a misspelt key was meant for: the other one's measures are not missing.
  if (ofKeys.length > 0 && width === undefined && height === undefined) throw new InputError(ofKeys);
  requireAll(
    () => requireKeys("section", section, ["diameter", "width", "height", "shape"]),
    () => {
      if (shape !== undefined && shape !== "flatOval") throw unknownName("shape", "shape", shape, ["flatOval"]);
    },
    () => requireRange("width", width, positive),
    () => requireRange("height", height, positive),
  );
  return shape === undefined ? { width, height } : { width, height, shape };
};

/**
 * Cross-sectional area: πd²/4; ab; or πb²/4 + b(a − b) of a flat oval with the major axis a and the minor axis b.
 *
 * @param section - Inner measures [m], each above 0.
 * @returns Area [m²].
 * @throws InputError `out-of-range` when a measure is not above 0, not finite or NaN; `unknown-shape`, `unknown-key` or
 *   `not-an-object` when it is no section.
 *
 * Source: geometry.
 * @example sectionArea({ width: 0.4, height: 0.2 }); // 0.08
 */
export const sectionArea = (section: Section): number => areaOf(checked(section));

/**
 * Inner perimeter: πd; 2(a + b); or πb + 2(a − b) of a flat oval with the major axis a and the minor axis b.
 *
 * @param section - Inner measures [m], each above 0.
 * @returns Perimeter [m].
 * @throws InputError as `sectionArea`.
 *
 * Source: geometry.
 * @example sectionPerimeter({ width: 0.4, height: 0.2 }); // 1.2
 */
export const sectionPerimeter = (section: Section): number => perimeterOf(checked(section));

/**
 * Hydraulic diameter: four times the area over the perimeter. It goes with the true velocity.
 *
 * @param section - Inner measures [m], each above 0.
 * @returns D_h [m].
 * @throws InputError as `sectionArea`.
 *
 * Source: definition.
 * @example hydraulicDiameter({ width: 0.3, height: 0.15 }); // 0.2
 */
export const hydraulicDiameter = (section: Section): number => hydraulicDiameterOf(checked(section));

/**
 * Aspect ratio: the larger side or axis over the smaller; 1 for a round duct.
 *
 * @param section - Inner measures [m], each above 0.
 * @returns Aspect ratio [-], 1 or more. The equivalent diameters hold up to 8.
 * @throws InputError as `sectionArea`.
 *
 * Source: definition.
 * @example aspectRatio({ width: 0.15, height: 0.3 }); // 2
 */
export const aspectRatio = (section: Section): number => aspectOf(checked(section));

/** What a section and its equivalent round duct have in common; see `equivalentDiameter`. */
export type EquivalentBy = "circular" | "constantFriction" | "hydraulic";

/**
 * Diameter of the round duct that stands for a section in friction calculations.
 *
 * - `"circular"` (default): the same pressure loss per length at the same **flow**; so velocity, Reynolds number and
 *   relative roughness refer to that round duct. Rectangular: 1.30(ab)^0.625/(a + b)^0.25; flat oval:
 *   1.55A^0.625/P^0.25.
 * - `"constantFriction"`: the same, had both ducts one friction factor: 1.265[(ab)³/(a + b)]^0.2. Rectangular only.
 * - `"hydraulic"`: 4A/P, which goes with the true **velocity**. The two do not mix: the circular equivalent with the true
 *   velocity makes the loss 10 % too low in a square duct, and lower still in flatter ones.
 *
 * A round duct is its own equivalent.
 *
 * @param section - Inner measures [m], each above 0; aspect ratios up to 8 and turbulent flow.
 * @param by - What the two ducts share.
 * @returns Diameter [m].
 * @throws InputError as `sectionArea`; `unknown-equivalent` when `by` is none of the three; `not-applicable` for a flat
 *   oval by `"constantFriction"`.
 *
 * Source: Huebscher 1948, ASHVE Transactions 54 (rectangular); Heyt and Diaz 1975, ASHRAE Transactions 81(2) (flat
 * oval); `"constantFriction"` as in the CIBSE tables of equivalent diameters.
 * @example equivalentDiameter({ width: 0.4, height: 0.2 }); // 0.30467
 */
export function equivalentDiameter(section: Section, by: EquivalentBy = "circular"): number {
  if (by !== "circular" && by !== "constantFriction" && by !== "hydraulic")
    throw unknownName("equivalent", "by", by, ["circular", "constantFriction", "hydraulic"]);
  const known = checked(section);
  if (by === "hydraulic") return hydraulicDiameterOf(known);
  if (by === "circular" || "diameter" in known) return circularDiameterOf(known);
  if (!("shape" in known)) return constantFrictionDiameterOf(known);
  const expected = "a round or rectangular section for 'constantFriction'";
  throw new InputError([problemOf("not-applicable", "section", expected, "a flat oval")]);
}
