import { type FanReading, readFan } from "../../fans/data.js";
import type { CurvePart } from "../format/fan-curve.js";

/** Curves of documents as they were read: reading a family costs more than all the rest of its fan. */
const readings = new WeakMap<CurvePart, FanReading>();

/** A curve as it was read, once for each. */
export const fanReadingOf = (curve: CurvePart): FanReading => {
  const known = readings.get(curve);
  if (known !== undefined) return known;
  const reading = readFan(curve);
  readings.set(curve, reading);
  return reading;
};

/** Lets a copy of a curve be known as the curve is. */
export const shareFanReading = (curve: CurvePart, copy: CurvePart): void => {
  readings.set(copy, fanReadingOf(curve));
};

/** Forgets a curve after one of its numbers has changed. */
export const invalidateFanReading = (curve: CurvePart): void => {
  readings.delete(curve);
};
