import type { Range } from "../core/ranges.js";
import type { Section } from "../ducts/geometry.js";
import {
  angle,
  bendLaws,
  handbook,
  idelchikBends,
  interaction,
  reference,
  sharpFactors,
  sidesOf,
  spacing,
  standInLaws,
  turbulent,
  turns,
} from "./bend-common.js";
import { degree, degrees } from "./degrees.js";
import type { Fitting, Laws, Spread } from "./fitting.js";
import { reynoldsFactor } from "./reynolds.js";
import { outsideOf, shapeOf } from "./shape.js";
import { curveOf, tableOf } from "./tables.js";

/** What describes a `mitredBend`. */
export interface MitredBendParameters {
  /** By which the air turns [rad] */
  readonly angle: number;
  readonly vanes: "none" | "single" | "double";
  /** The side in the plane of the bend. */
  readonly turns: "width" | "height";
  /** Straight length to the next bend over the hydraulic diameter [-] */
  readonly spacing: number;
}

const angles: Range = { above: 0, max: /* @__PURE__ */ degrees(90) };
const heightsOverWidth: Range = { min: 0.25, max: 8 };

/** By angle [°]. */
const roundMitre: (turn: number) => number = /* @__PURE__ */ curveOf([
  [0, 0],
  [20, 0.08],
  [30, 0.16],
  [45, 0.34],
  [60, 0.55],
  [75, 0.81],
  [90, 1.2],
]);

/** A row for each angle [°], a column for each height over width. */
const rectangularMitre: (turn: number, heightOverWidth: number) => number = /* @__PURE__ */ tableOf(
  [20, 30, 45, 60, 75, 90],
  [0.25, 0.5, 0.75, 1, 1.5, 2, 4, 6, 8],
  [
    [0.08, 0.08, 0.08, 0.07, 0.07, 0.07, 0.06, 0.05, 0.05],
    [0.18, 0.17, 0.17, 0.16, 0.15, 0.15, 0.13, 0.12, 0.11],
    [0.38, 0.37, 0.36, 0.34, 0.33, 0.31, 0.27, 0.25, 0.24],
    [0.6, 0.59, 0.57, 0.55, 0.52, 0.49, 0.43, 0.39, 0.38],
    [0.89, 0.87, 0.84, 0.81, 0.77, 0.73, 0.63, 0.58, 0.57],
    [1.3, 1.3, 1.2, 1.2, 1.1, 1.1, 0.92, 0.85, 0.83],
  ],
);

/** Below 20°, the first row, a rectangular bend loses in proportion to a round one. */
const below20 = (turn: number): number => roundMitre(Math.min(turn, 20)) / roundMitre(20);

/** Idelchik's closed form, by which the loss goes on past 90°, where the tables end. */
const idelchik = (turn: number): number => {
  const half = Math.sin((turn / 2) * degree) ** 2;
  return (0.95 + 33.5 / turn) * (0.95 * half + 2.05 * half ** 2);
};
const past90 = (turn: number): number => (turn > 90 ? idelchik(turn) / idelchik(90) : 1);

const spread: Spread = { family: "mitred bends", shared: 0.15, own: 0.4 };

/** Rows of vanes: the middle of what handbooks give for several sizes and spacings, and how far those lie from it. */
const vaned = {
  single: { coefficient: 0.2, spread: { family: "vaned bends", shared: 0.15, own: 0.5 }, given: "0.11 to 0.33" },
  double: { coefficient: 0.34, spread: { family: "vaned bends", shared: 0.15, own: 0.2 }, given: "0.25 to 0.43" },
} as const;

const vanedLaws = (vanes: "single" | "double", spacing: number): Laws => {
  const { coefficient, spread, given } = vaned[vanes];
  return bendLaws({ coefficient }, spacing, spread, {
    model: `SMACNA, mitred bend with ${vanes}-thickness vanes`,
    outside: [],
    note: `handbooks give ${given}, by size and spacing of the vanes`,
  });
};

const mitreLaws = ({ angle, vanes, turns, spacing }: MitredBendParameters, section: Section): Laws => {
  if (vanes !== "none") return vanedLaws(vanes, spacing);
  const shape = shapeOf(section);
  const { w, h } = sidesOf(section, turns);
  const turn = angle / degree;
  const table = shape === "round" ? roundMitre(turn) : rectangularMitre(turn, h / w) * below20(turn);
  const law = { coefficient: table * past90(turn), factor: reynoldsFactor(sharpFactors) };
  const model = `SMACNA, ${shape === "round" ? "round" : "rectangular"} mitred bend`;
  const outside = outsideOf(["angle", angle, angles], ["height over width in the bend", h / w, heightsOverWidth]);
  return shape === "flatOval"
    ? standInLaws(law, spacing, spread, { model, outside, wider: 0.1, what: "mitred bends" })
    : bendLaws(law, spacing, spread, { model, outside });
};

/**
 * A bend with one sharp corner, with or without a row of vanes. The printed tables by angle and, in rectangular ducts,
 * by height over width, times the printed factor of the Reynolds number; past 90° they go on as Idelchik's closed form.
 */
export const mitredBend: Fitting<MitredBendParameters> = {
  kind: "mitredBend",
  family: "bends",
  place: "duct",
  meaning: "A bend with one sharp corner, with or without turning vanes.",
  parameters: {
    angle: /* @__PURE__ */ angle(angles),
    vanes: {
      meaning: "A row of vanes in the corner, of single or double thickness; only in a rectangular duct and at 90°.",
      choices: ["none", "single", "double"],
      preset: "none",
    },
    turns,
    spacing,
  },
  shapes: ["round", "rectangular", "flatOval"],
  reference,
  sources: [
    /* @__PURE__ */ handbook(
      "elbows: round mitred bend by angle, rectangular one also by height over width; Reynolds correction of both",
      "read",
    ),
    /* @__PURE__ */ handbook("elbows: mitred bends with vanes", "memory"),
    /* @__PURE__ */ idelchikBends("diagram 6-7: growth past 90°"),
    interaction,
  ],
  reynolds: turbulent,
  spread,
  faults: ({ angle, vanes }, section) => {
    const square = Math.abs(angle - degrees(90)) <= 1e-6;
    if (vanes === "none" || (square && shapeOf(section) === "rectangular")) return [];
    const expected = "'none' unless the duct is rectangular and the angle 90°";
    return [{ key: "vanes", expected, found: `'${vanes}' in a ${shapeOf(section)} duct at ${angle / degree}°` }];
  },
  laws: mitreLaws,
};
