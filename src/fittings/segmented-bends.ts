import type { RoundSection } from "../ducts/geometry.js";
import {
  bendLaws,
  byDiameter,
  handbook,
  interaction,
  reference,
  smoothRound,
  spacing,
  turbulent,
} from "./bend-common.js";
import type { Fitting, Spread } from "./fitting.js";
import { outsideOf } from "./shape.js";
import { curveOf } from "./tables.js";

/** What describes a `segmentedBend`. */
export interface SegmentedBendParameters {
  /** Pieces, those at both ends counted: 3, 4, 5 or 7 [-] */
  readonly pieces: number;
  /** Radius of the centre line over the diameter [-] */
  readonly radiusRatio: number;
  /** Straight length to the next bend over the diameter [-] */
  readonly spacing: number;
}

type Curve = (x: number) => number;

/** By radius ratio. */
const threePieces: Curve = /* @__PURE__ */ curveOf([
  [0.5, 0.98],
  [0.75, 0.54],
  [1, 0.42],
  [1.5, 0.34],
  [2, 0.33],
]);
const fourPieces: Curve = /* @__PURE__ */ curveOf([
  [0.75, 0.5],
  [1, 0.37],
  [1.5, 0.27],
  [2, 0.24],
]);
const fivePieces: Curve = /* @__PURE__ */ curveOf([
  [0.75, 0.46],
  [1, 0.33],
  [1.5, 0.24],
  [2, 0.19],
]);

/** By diameter [m]: five pieces at radius ratio 1.5. */
const fiveByDiameter: Curve = /* @__PURE__ */ curveOf([
  [0.075, 0.51],
  [0.15, 0.28],
  [0.23, 0.21],
  [0.3, 0.18],
  [0.38, 0.16],
  [0.45, 0.15],
  [0.53, 0.14],
  [0.6, 0.13],
  [0.69, 0.12],
]);

/** By diameter [m]: seven pieces at radius ratio 2.5. */
const sevenByDiameter: Curve = /* @__PURE__ */ curveOf([
  [0.075, 0.16],
  [0.15, 0.12],
  [0.23, 0.1],
  [0.3, 0.08],
  [0.38, 0.07],
  [0.45, 0.06],
  [0.69, 0.05],
  [1.5, 0.03],
]);

/** Tighter than the tables of four and five pieces, the loss grows as for three. */
const tighter = (radiusRatio: number): number => threePieces(Math.min(radiusRatio, 0.75)) / threePieces(0.75);

/** Both tables of five pieces: by radius ratio, with the dependence on diameter that is printed for 1.5. */
const five = (radiusRatio: number, diameter: number): number =>
  (fivePieces(radiusRatio) * tighter(radiusRatio) * fiveByDiameter(diameter)) / fivePieces(1.5);

/** No diameter is printed for fewer pieces, but in small ducts too they lose no less than five. */
const coefficientOf = (pieces: number, radiusRatio: number, diameter: number): number => {
  if (pieces === 7) return (sevenByDiameter(diameter) * smoothRound(radiusRatio)) / smoothRound(2.5);
  if (pieces === 5) return five(radiusRatio, diameter);
  const row = pieces === 4 ? fourPieces(radiusRatio) * tighter(radiusRatio) : threePieces(radiusRatio);
  return Math.max(row, five(radiusRatio, diameter));
};

const ratios = {
  3: { min: 0.5, max: 2 },
  4: { min: 0.75, max: 2 },
  5: { min: 0.75, max: 2 },
  7: { min: 2.5, max: 2.5 },
} as const;

const diameters = { 3: { min: 0.075 }, 4: { min: 0.075 }, 5: { min: 0.075 }, 7: { min: 0.075, max: 1.5 } } as const;

/** The row of five pieces loses half of what the table by diameter says at 75 mm, 1.5 times at 380 and twice at 690 mm. */
const spreadAt = (diameter: number): Spread => ({
  family: "segmented bends",
  shared: 0.2,
  own: 0.35 + 0.5 * Math.min(Math.max((diameter - 0.3) / 0.4, 0), 1),
});

const isPrinted = (pieces: number): pieces is keyof typeof ratios => pieces in ratios;

/**
 * A round bend of 90° from straight pieces. Two printed tables take part: by number of pieces and radius ratio, and by
 * diameter (five pieces at ratio 1.5, seven at 2.5). Five pieces: the first, times the dependence on diameter of the
 * second; the two meet at a diameter of some 190 mm. Three and four: the first, in small ducts at least as many as five.
 * Seven: the second, at other ratios as a smooth bend grows. The diameter stands for the Reynolds number: no factor.
 */
export const segmentedBend: Fitting<SegmentedBendParameters> = {
  kind: "segmentedBend",
  family: "bends",
  place: "duct",
  meaning: "A round bend of 90° made of straight pieces.",
  parameters: {
    pieces: {
      quantity: "number",
      meaning: "Number of pieces, including both end pieces: 3, 4, 5 or 7.",
      range: { min: 3, max: 7 },
      preset: 5,
    },
    radiusRatio: {
      quantity: "number",
      meaning: "Radius of the centre line, divided by the diameter.",
      range: { min: 0.5 },
      covered: { min: 0.5, max: 2.5 },
      preset: 1.5,
    },
    spacing,
  },
  shapes: ["round"],
  reference,
  sources: [
    /* @__PURE__ */ handbook("elbows: round bend of 3, 4 and 5 pieces by radius ratio", "read"),
    /* @__PURE__ */ byDiameter("round bends of 5 and 7 pieces by diameter"),
    interaction,
  ],
  reynolds: turbulent,
  spread: /* @__PURE__ */ spreadAt(0.3),
  faults: ({ pieces }) =>
    isPrinted(pieces) ? [] : [{ key: "pieces", expected: "3, 4, 5 or 7 pieces", found: String(pieces) }],
  laws: ({ pieces, radiusRatio, spacing }, section) => {
    const { diameter } = section as RoundSection;
    const known = pieces as keyof typeof ratios;
    return bendLaws({ coefficient: coefficientOf(pieces, radiusRatio, diameter) }, spacing, spreadAt(diameter), {
      model: `${pieces === 7 ? "ASHRAE 2009" : pieces === 5 ? "SMACNA and ASHRAE 2009" : "SMACNA"}, bend of ${pieces} pieces`,
      outside: outsideOf(["radiusRatio", radiusRatio, ratios[known]], ["diameter", diameter, diameters[known]]),
    });
  },
};
