import type { AirState } from "../../air/state.js";
import { type Range, rangeText } from "../../core/ranges.js";
import type { OutsideResult } from "../results/solution.js";

/** A number to three digits, without an exponent where it can be. */
const short = (value: number): string =>
  Math.abs(value) >= 1000 ? value.toFixed(0) : `${Number(value.toPrecision(3))}`;

/** Quantities that are angles [rad], which people read in degrees. */
const angles: readonly string[] = ["angle", "turn of the branch air"];
const inDegrees = (radians: number | undefined): number | undefined =>
  radians === undefined ? undefined : Number(((radians * 180) / Math.PI).toPrecision(6));
const rangeInDegrees = ({ min, max, above }: Range): string =>
  rangeText({ min: inDegrees(min), max: inDegrees(max), above: inDegrees(above) }, "degrees");

/** A value outside what a source covers in one sentence, with how far it is outside. */
export const outsideText = (what: string, { what: quantity, value, range }: OutsideResult): string => {
  const angle = angles.includes(quantity);
  const written = (one: number): string => (angle ? `${short(inDegrees(one) as number)}°` : short(one));
  const { min, max, above } = range;
  const bound = value < (min ?? above ?? Number.NEGATIVE_INFINITY) ? (min ?? above) : max;
  const by = bound === undefined ? "" : `, ${written(Math.abs(value - bound))} beyond`;
  const article = /^[aeiou]/.test(quantity) ? "an" : "a";
  const covers = angle ? rangeInDegrees(range) : rangeText(range);
  return `${what} has ${article} ${quantity} of ${written(value)}${by} what its source covers (${covers})`;
};

/** Air as a message names it. */
export const airText = ({ density, temperature }: AirState): string => {
  const weight = `${density.toFixed(3)} kg/m³`;
  return temperature === undefined ? `air of ${weight}` : `air of ${temperature.toFixed(1)} °C (${weight})`;
};
