import { rangeText } from "../core/ranges.js";
import type { OutsideResult } from "./results.js";

/** A number to three digits, without an exponent where it can be. */
const short = (value: number): string =>
  Math.abs(value) >= 1000 ? value.toFixed(0) : `${Number(value.toPrecision(3))}`;

/** A value outside what a source covers in one sentence, with how far it is outside. */
export const outsideText = (what: string, { what: quantity, value, range }: OutsideResult): string => {
  const { min, max, above } = range;
  const bound = value < (min ?? above ?? Number.NEGATIVE_INFINITY) ? (min ?? above) : max;
  const by = bound === undefined ? "" : `, ${short(Math.abs(value - bound))} beyond`;
  return `${what} has a ${quantity} of ${short(value)}${by} what its source covers (${rangeText(range)})`;
};
