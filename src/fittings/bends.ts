import type { Range } from "../core/ranges.js";
import type { Section } from "../ducts/geometry.js";
import {
  angle,
  angleFactor,
  bendLaws,
  handbook,
  idelchikBends,
  interaction,
  reference,
  sharpFactors,
  sidesOf,
  smoothRound,
  spacing,
  standInLaws,
  turbulent,
  turns,
} from "./bend-common.js";
import { degrees } from "./degrees.js";
import type { Fitting, Laws, Spread } from "./fitting.js";
import { type ReynoldsFactor, reynoldsFactor } from "./reynolds.js";
import { outsideOf, shapeOf } from "./shape.js";
import { tableOf } from "./tables.js";

/** What describes a `bend`. */
export interface BendParameters {
  /** By which the air turns [rad] */
  readonly angle: number;
  /** Radius of the centre line over the side, or diameter, in the plane of the bend [-] */
  readonly radiusRatio: number;
  /** The side in the plane of the bend. */
  readonly turns: "width" | "height";
  /** Straight length to the next bend over the hydraulic diameter [-] */
  readonly spacing: number;
}

const ratiosRound: Range = { min: 0.5, max: 2.5 };
const ratiosRectangular: Range = { min: 0.5, max: 2 };
const heightsOverWidth: Range = { min: 0.25, max: 8 };

/** 90°, at high Reynolds numbers: a row for each radius ratio, a column for each height over width. */
const smoothRectangular: (radiusRatio: number, heightOverWidth: number) => number = /* @__PURE__ */ tableOf(
  [0.5, 0.75, 1, 1.5, 2],
  [0.25, 0.5, 0.75, 1, 1.5, 2, 3, 4, 5, 6, 8],
  [
    [1.53, 1.38, 1.29, 1.18, 1.06, 1, 1, 1.06, 1.12, 1.16, 1.18],
    [0.57, 0.52, 0.48, 0.44, 0.4, 0.39, 0.39, 0.4, 0.42, 0.43, 0.44],
    [0.27, 0.25, 0.23, 0.21, 0.19, 0.18, 0.18, 0.19, 0.2, 0.21, 0.21],
    [0.22, 0.2, 0.19, 0.17, 0.15, 0.14, 0.14, 0.15, 0.16, 0.17, 0.17],
    [0.2, 0.18, 0.16, 0.15, 0.14, 0.13, 0.13, 0.14, 0.14, 0.15, 0.15],
  ],
);

/** Factors of radius ratios of 0.75 and more, at the Reynolds numbers of `sharpFactors`. */
const roundedFactors = [2, 1.77, 1.64, 1.56, 1.46, 1.38, 1.3, 1.15, 1];

/** The handbook's factor at radius ratio 0.5 and from 0.75 on; between them in proportion, since it gives none there. */
const factorOf = (radiusRatio: number): ReynoldsFactor => {
  const share = Math.min((radiusRatio - 0.5) / 0.25, 1);
  return reynoldsFactor(
    sharpFactors.map(([reynolds, factor], i) => [reynolds, factor + share * (roundedFactors[i] - factor)]),
  );
};

/** Widens where published models part: away from 90° and, in round ducts, where the inner edge turns sharp. */
const spreadOf = (angle: number, sharpness: number): Spread => ({
  family: "smooth bends",
  shared: 0.1,
  own: 0.2 + 0.4 * Math.abs(angle / degrees(90) - 1) + 0.4 * sharpness,
});

const smoothLaws = ({ angle, radiusRatio, turns, spacing }: BendParameters, section: Section): Laws => {
  const shape = shapeOf(section);
  const { w, h } = sidesOf(section, turns);
  const round = shape === "round";
  const law = {
    coefficient: (round ? smoothRound(radiusRatio) : smoothRectangular(radiusRatio, h / w)) * angleFactor(angle),
    factor: factorOf(radiusRatio),
  };
  const model = round
    ? "SMACNA, smooth round bend, with the Reynolds factor of rectangular bends"
    : "ASHRAE, smooth rectangular bend";
  const sharpness = round ? Math.max(0, (1 - radiusRatio) / 0.5) : 0;
  const spread = spreadOf(angle, sharpness);
  const outside = outsideOf(
    ["radiusRatio", radiusRatio, round ? ratiosRound : ratiosRectangular],
    ["height over width in the bend", h / w, heightsOverWidth],
  );
  return shape === "flatOval"
    ? standInLaws(law, spacing, spread, { model, outside, wider: 0.2, what: "bends" })
    : bendLaws(law, spacing, spread, { model, outside });
};

/**
 * A smooth bend with a constant radius, in any section. The printed table at 90°, times the printed factor of its angle
 * and the factor of the Reynolds number.
 *
 * That last factor is known for rectangular bends; round ones take it too, and their model says so. Idelchik's handbook
 * has a law for round ones, 11.5/Re^0.19 from radius ratio 0.7 on: within 3 % of it up to Re 100,000 and 13 % above it
 * at 200,000, where this one ends at 1. Rennels and Hudson's closed form grows less, from Re 200,000 down to 10,000 by 1.57
 * instead of 2 at radius ratio 1.5 and by 1.41 at 2.5; its values lie up to 28 % below at 10,000, within the spread.
 */
export const bend: Fitting<BendParameters> = {
  kind: "bend",
  family: "bends",
  place: "duct",
  meaning: "A smooth bend with a constant radius and no vanes.",
  parameters: {
    angle: /* @__PURE__ */ angle(),
    radiusRatio: {
      quantity: "number",
      meaning: "Radius of the centre line, divided by the side, or diameter, in the plane of the bend.",
      range: { min: 0.5 },
      covered: ratiosRound,
      preset: 1.5,
    },
    turns,
    spacing,
  },
  shapes: ["round", "rectangular", "flatOval"],
  reference,
  sources: [
    /* @__PURE__ */ handbook("elbows: smooth round bend by radius ratio; angle multiplier", "read"),
    {
      author: "ASHRAE",
      title: "Handbook: Fundamentals (SI), duct design",
      year: 2005,
      where: "smooth rectangular bend without vanes by radius ratio and height over width",
      status: "read",
    },
    /* @__PURE__ */ handbook(
      "elbows: Reynolds correction of smooth rectangular bends by radius ratio, here of round ones too",
      "memory",
    ),
    /* @__PURE__ */ idelchikBends(
      "diagram 6-1: Reynolds correction of round bends, 11.5/Re^0.19; it agrees within 3 % up to Re 100,000, at 200,000 it is 13 % above",
    ),
    interaction,
  ],
  reynolds: turbulent,
  spread: { family: "smooth bends", shared: 0.1, own: 0.2 },
  laws: smoothLaws,
};
