import { InputError, problemOf } from "./errors.js";
import { shown } from "./show.js";

/** The limits of a number. A bound that is absent does not bind. */
export interface Range {
  /** Smallest value allowed [in the unit of the value] */
  readonly min?: number;
  /** Largest value allowed [in the unit of the value] */
  readonly max?: number;
  /** A value that must be exceeded [in the unit of the value] */
  readonly above?: number;
}

/** Above 0. */
export const positive: Range = { above: 0 };

/** 0 or more. */
export const notNegative: Range = { min: 0 };

/**
 * Whether a number is of a size that sums of physics can hold: 0, or 1e-30 to 1e30 either way. Beyond, products of a few
 * such numbers leave the range of double precision.
 */
export const isOfSize = (value: number): boolean =>
  value === 0 || (Math.abs(value) >= 1e-30 && Math.abs(value) <= 1e30);

/** The sizes of `isOfSize` in words. */
export const sizeText = "0, or in size from 1e-30 to 1e30";

/** Whether a value is finite and inside a range. */
export const isWithin = (value: number, range: Range): boolean =>
  Number.isFinite(value) &&
  (range.min === undefined || value >= range.min) &&
  (range.max === undefined || value <= range.max) &&
  (range.above === undefined || value > range.above);

/** A range in words: "above 0", "0 to 1", "2 m or more". */
export const rangeText = ({ min, max, above }: Range, unit = ""): string => {
  const after = unit === "" ? "" : ` ${unit}`;
  if (above !== undefined) {
    return max === undefined ? `above ${above}${after}` : `above ${above} and at most ${max}${after}`;
  }
  if (min !== undefined) return max === undefined ? `${min}${after} or more` : `${min} to ${max}${after}`;
  return max === undefined ? "a finite number" : `at most ${max}${after}`;
};

/**
 * Throws InputError `out-of-range` unless the value of an argument is a finite number inside the range.
 *
 * @param name - The argument's name, which becomes the problem's path.
 */
export const requireRange = (name: string, value: number, range: Range): void => {
  if (typeof value === "number" && isWithin(value, range)) return;
  throw new InputError([problemOf("out-of-range", name, rangeText(range), shown(value))]);
};

/** Throws InputError `out-of-range` unless the value of an argument is a whole number, 1 or more. */
export const requireWhole = (name: string, value: number): void => {
  if (Number.isInteger(value) && value >= 1) return;
  throw new InputError([problemOf("out-of-range", name, "a whole number, 1 or more", shown(value))]);
};
