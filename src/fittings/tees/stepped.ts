import { blend, blendSlope } from "./model.js";

/** A function of the flow share and its slope. */
export interface ShareCurve {
  value(share: number): number;
  slope(share: number): number;
}

type Line = readonly [atZero: number, slope: number];

/** Half the width of the flow shares over which two printed lines are blended; outside, they are as printed. */
const halfStep = 0.05;
/** The same of area ratios. */
const halfAreaStep = 0.01;

const weight = (x: number, at: number, half: number): number => blend((x - at + half) / (2 * half));

/** A printed straight line. */
export const line = (atZero: number, slope: number): ShareCurve => ({
  value: (q) => atZero + slope * q,
  slope: () => slope,
});

/** Two printed straight lines, one below and one above a flow share, blended over 0.05 on both sides of it. */
export const step = (at: number, below: Line, above: Line): ShareCurve => {
  const gap = (q: number): number => above[0] - below[0] + (above[1] - below[1]) * q;
  return {
    value: (q) => below[0] + below[1] * q + weight(q, at, halfStep) * gap(q),
    slope: (q) =>
      below[1] +
      weight(q, at, halfStep) * (above[1] - below[1]) +
      (blendSlope((q - at + halfStep) / (2 * halfStep)) / (2 * halfStep)) * gap(q),
  };
};

/** Two printed curves, one up to an area ratio and one above it, blended over 0.01 on both sides of it. */
export const byAreaRatio = (areaRatio: number, at: number, upTo: ShareCurve, above: ShareCurve): ShareCurve => {
  const w = weight(areaRatio, at, halfAreaStep);
  if (w === 0) return upTo;
  if (w === 1) return above;
  return {
    value: (q) => (1 - w) * upTo.value(q) + w * above.value(q),
    slope: (q) => (1 - w) * upTo.slope(q) + w * above.slope(q),
  };
};
