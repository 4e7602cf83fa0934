import { InputError } from "../core/errors.js";
import { requireKeys } from "../core/keys.js";
import { unknownName } from "../core/nearest.js";
import { requireRange } from "../core/ranges.js";

/** A round duct. */
export interface RoundSection {
  /** Inner diameter [m]. */
  readonly diameter: number;
}

/** A rectangular duct. */
export interface RectangularSection {
  /** Inner width [m]. */
  readonly width: number;
  /** Inner height [m]. */
  readonly height: number;
}

/** A flat-oval duct: two half circles joined by straight sides. The larger of width and height is the major axis. */
export interface FlatOvalSection {
  readonly shape: "flatOval";
  /** Inner width over all [m]. */
  readonly width: number;
  /** Inner height over all [m]. */
  readonly height: number;
}

/** The inner cross-section of a duct. */
export type Section = RoundSection | RectangularSection | FlatOvalSection;

/** The measures of a checked section: `major` is the larger side or axis, of a round duct both are the diameter. */
interface Shape {
  readonly kind: "round" | "rectangular" | "flatOval";
  readonly major: number;
  readonly minor: number;
}

const positive = { above: 0 };

const shapeOf = (section: Section): Shape => {
  requireKeys("section", section, ["diameter", "width", "height", "shape"]);
  if ("diameter" in section && section.diameter !== undefined) {
    requireKeys("section", section, ["diameter"]);
    requireRange("diameter", section.diameter, positive);
    return { kind: "round", major: section.diameter, minor: section.diameter };
  }
  const { width, height, shape } = section as RectangularSection & Partial<FlatOvalSection>;
  if (shape !== undefined && shape !== "flatOval") throw unknownName("shape", "shape", shape, ["flatOval"]);
  requireRange("width", width, positive);
  requireRange("height", height, positive);
  return { kind: shape ?? "rectangular", major: Math.max(width, height), minor: Math.min(width, height) };
};

const areaOf = ({ kind, major, minor }: Shape): number => {
  if (kind === "rectangular") return major * minor;
  return (Math.PI * minor ** 2) / 4 + minor * (major - minor);
};

const perimeterOf = ({ kind, major, minor }: Shape): number => {
  if (kind === "rectangular") return 2 * (major + minor);
  return Math.PI * minor + 2 * (major - minor);
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
export const sectionArea = (section: Section): number => areaOf(shapeOf(section));

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
export const sectionPerimeter = (section: Section): number => perimeterOf(shapeOf(section));

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
export const hydraulicDiameter = (section: Section): number => {
  const shape = shapeOf(section);
  if (shape.kind === "round") return shape.major;
  return (4 * areaOf(shape)) / perimeterOf(shape);
};

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
export const aspectRatio = (section: Section): number => {
  const { major, minor } = shapeOf(section);
  return major / minor;
};

/** What a section and its equivalent round duct have in common; see `equivalentDiameter`. */
export type EquivalentBy = "circular" | "constantFriction" | "hydraulic";

const circularEquivalent = (shape: Shape): number => {
  const { kind, major: a, minor: b } = shape;
  if (kind === "rectangular") return (1.3 * (a * b) ** 0.625) / (a + b) ** 0.25;
  return (1.55 * areaOf(shape) ** 0.625) / perimeterOf(shape) ** 0.25;
};

const constantFrictionEquivalent = ({ kind, major: a, minor: b }: Shape): number => {
  if (kind === "rectangular") return 1.265 * ((a * b) ** 3 / (a + b)) ** 0.2;
  const [expected, found] = ["a round or rectangular section", "a flat oval"];
  const message = `section: expected ${expected} for "constantFriction", got ${found}`;
  throw new InputError([{ code: "not-applicable", path: "section", message, expected, found }]);
};

/**
 * Diameter of the round duct that stands for a section in friction calculations.
 *
 * - `"circular"` (default): the same pressure loss per length at the same **flow**; so velocity, Reynolds number and
 *   relative roughness are those of that round duct. Rectangular: 1.30(ab)^0.625/(a + b)^0.25; flat oval:
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
 * oval, from memory); `"constantFriction"` as in the CIBSE tables of equivalent diameters.
 * @example equivalentDiameter({ width: 0.4, height: 0.2 }); // 0.30467
 */
export const equivalentDiameter = (section: Section, by: EquivalentBy = "circular"): number => {
  if (by === "hydraulic") return hydraulicDiameter(section);
  if (by !== "circular" && by !== "constantFriction")
    throw unknownName("equivalent", "by", by, ["circular", "constantFriction", "hydraulic"]);
  const shape = shapeOf(section);
  if (shape.kind === "round") return shape.major;
  return by === "circular" ? circularEquivalent(shape) : constantFrictionEquivalent(shape);
};
