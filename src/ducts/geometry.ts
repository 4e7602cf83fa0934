import type { Source } from "../core/sources.js";

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

// Geometry of sections that are known to be sections: no checks, no allocation, for the inside of a solve. The public
// functions of section.ts check first and then call these.

/** Whether a section is round. */
export const isRound = (section: Section): section is RoundSection => "diameter" in section;

const isFlatOval = (section: Section): section is FlatOvalSection => "shape" in section && section.shape === "flatOval";

/** Larger over smaller side or axis [-]. */
export const aspectOf = (section: Section): number =>
  isRound(section) ? 1 : Math.max(section.width, section.height) / Math.min(section.width, section.height);

/** Area [m²]: πd²/4; ab; πb²/4 + b(a − b). */
export const areaOf = (section: Section): number => {
  if (isRound(section)) return (Math.PI * section.diameter * section.diameter) / 4;
  if (!isFlatOval(section)) return section.width * section.height;
  const minor = Math.min(section.width, section.height);
  return (Math.PI * minor * minor) / 4 + minor * (Math.max(section.width, section.height) - minor);
};

/** Perimeter [m]: πd; 2(a + b); πb + 2(a − b). */
export const perimeterOf = (section: Section): number => {
  if (isRound(section)) return Math.PI * section.diameter;
  if (!isFlatOval(section)) return 2 * (section.width + section.height);
  const minor = Math.min(section.width, section.height);
  return Math.PI * minor + 2 * (Math.max(section.width, section.height) - minor);
};

/** 4A/P [m]. */
export const hydraulicDiameterOf = (section: Section): number =>
  isRound(section) ? section.diameter : (4 * areaOf(section)) / perimeterOf(section);

/** Diameter of the round duct with the same loss at the same flow [m]: Huebscher; Heyt and Diaz. */
export const circularDiameterOf = (section: Section): number => {
  if (isRound(section)) return section.diameter;
  if (isFlatOval(section)) return (1.55 * areaOf(section) ** 0.625) / perimeterOf(section) ** 0.25;
  return (1.3 * (section.width * section.height) ** 0.625) / (section.width + section.height) ** 0.25;
};

/** Where `circularDiameterOf` comes from. */
export const circularSources: Readonly<Record<"rectangular" | "flatOval", Source>> = {
  rectangular: {
    author: "Huebscher",
    title: "Friction equivalents for round, square and rectangular ducts, ASHVE Transactions 54",
    year: 1948,
    status: "read",
  },
  flatOval: {
    author: "Heyt and Diaz",
    title: "Pressure drop in flat-oval spiral air duct, ASHRAE Transactions 81(2)",
    year: 1975,
    where: "as two pages quote it, one with the exponent 0.325 of the area, which no length can have",
    status: "read",
  },
};

/** Where the hydraulic diameter comes from. */
export const hydraulicSource: Source = {
  author: "any text of fluid mechanics",
  title: "hydraulic diameter 4A/P at the true velocity",
  status: "read",
};

/** 1.265[(ab)³/(a + b)]^0.2 [m], of a rectangle. */
export const constantFrictionDiameterOf = ({ width, height }: RectangularSection): number =>
  1.265 * ((width * height) ** 3 / (width + height)) ** 0.2;
