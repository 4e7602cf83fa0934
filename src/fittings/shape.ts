import type { Range } from "../core/ranges.js";
import { isWithin } from "../core/ranges.js";
import { isRound, type Section } from "../ducts/geometry.js";
import type { Outside, Shape } from "./fitting.js";

/** The form of a section. */
export const shapeOf = (section: Section): Shape => {
  if (isRound(section)) return "round";
  return "shape" in section ? "flatOval" : "rectangular";
};

/** What lies outside of what a source covers, of values each with its range. */
export const outsideOf = (...values: readonly (readonly [what: string, value: number, range: Range])[]): Outside[] =>
  values.filter(([, value, range]) => !isWithin(value, range)).map(([what, value, range]) => ({ what, value, range }));
