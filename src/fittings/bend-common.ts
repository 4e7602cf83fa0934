import type { Range } from "../core/ranges.js";
import type { Source } from "../core/sources.js";
import { isRound, type Section } from "../ducts/geometry.js";
import { degree } from "./degrees.js";
import type { ChoiceParameter, Law, Laws, NumberParameter, Spread } from "./fitting.js";
import { curveOf } from "./tables.js";

/** What coefficients of bends refer to, and what they hold. */
export const reference = "velocity pressure in the duct; in excess of friction along centre lines to where axes meet";

/** Reynolds numbers that the handbooks' corrections cover. */
export const turbulent: Range = { min: 1e4 };

/** Two handbooks which print the same tables of bends. */
export const handbook = (where: string, status: Source["status"]): Source => ({
  author: "SMACNA",
  title: "HVAC Systems Duct Design, 4th edition",
  where,
  status,
});

/** A handbook whose newer tables go by diameter. */
export const byDiameter = (where: string): Source => ({
  author: "ASHRAE",
  title: "Handbook: Fundamentals (SI), duct design",
  year: 2009,
  where,
  status: "read",
});

/** A handbook's bends, as an open library of pressure losses quotes them. */
export const idelchikBends = (where: string): Source => ({
  author: "Idelchik",
  title: "Handbook of Hydraulic Resistance, 3rd edition",
  year: 2006,
  where,
  status: "read",
});

/** The source for what `spacing` does. */
export const interaction: Source = {
  author: "common practice",
  title: "bends within some ten diameters of each other interact",
  where: "wider spread below spacing 10; no published value",
  status: "memory",
};

/** The angle parameter of bends. */
export const angle = (covered?: Range): NumberParameter => ({
  quantity: "angle",
  meaning: "Angle by which the air turns.",
  range: { above: 0, max: Math.PI },
  ...(covered === undefined ? {} : { covered }),
  preset: Math.PI / 2,
});

/** Length that lets the flow settle before the next bend, in hydraulic diameters. */
const settled = 10;

/** The parameter `spacing` of all bends. */
export const spacing: NumberParameter = {
  quantity: "number",
  meaning: "Straight length to the next bend, divided by the hydraulic diameter; below 10 the two bends interact.",
  range: { min: 0 },
  preset: settled,
};

/** The parameter `turns` of bends in ducts that are not round. */
export const turns: ChoiceParameter = {
  meaning: "The side of the duct that lies in the plane of the bend; it has no effect in a round duct.",
  choices: ["width", "height"],
  preset: "width",
};

/** Sides in the plane of the bend and parallel to its axis [m]. */
export const sidesOf = (section: Section, turning: "width" | "height"): { readonly w: number; readonly h: number } => {
  if (isRound(section)) return { w: section.diameter, h: section.diameter };
  const { width, height } = section;
  return turning === "width" ? { w: width, h: height } : { w: height, h: width };
};

/** The law of a bend, the same for both directions, with the doubt that a close neighbour adds. */
export const bendLaws = (
  law: Law,
  spacing: number,
  spread: Spread,
  rest: Pick<Laws, "model" | "outside" | "note">,
): Laws => {
  const both = { forward: law, backward: law };
  if (spacing >= settled) return { ...both, ...rest, spread };
  // The pair can lose less than twice one bend, or more, by how the second turns: no published form covers all ways.
  const close = "the next bend follows within ten diameters: the coefficient does not include their interaction";
  return {
    ...both,
    ...rest,
    spread: { ...spread, own: spread.own + 0.4 * (1 - spacing / settled) },
    note: rest.note === undefined ? close : `${rest.note}; ${close}`,
  };
};

/**
 * The law of a bend for which there is no table of flat-oval ducts: as of the rectangular bend of the same width and
 * height, which stands in, with a wider spread. Not the round one of the hydraulic diameter: it cannot tell the easy way
 * from the hard way.
 */
export const standInLaws = (
  law: Law,
  spacing: number,
  spread: Spread,
  { model, outside, wider, what }: Pick<Laws, "model" | "outside"> & { readonly wider: number; readonly what: string },
): Laws =>
  bendLaws(
    law,
    spacing,
    { ...spread, own: spread.own + wider },
    {
      model: `${model}, as a stand-in`,
      outside,
      note: `there is no table of flat-oval ${what}: the values of a rectangular one with the same width and height are used`,
    },
  );

/** Loss of a smooth bend of any angle [°] relative to 90°, as printed; 0 at 0. */
const byAngle: (degrees: number) => number = /* @__PURE__ */ curveOf([
  [0, 0],
  [20, 0.31],
  [30, 0.45],
  [45, 0.6],
  [60, 0.78],
  [75, 0.9],
  [90, 1],
  [110, 1.13],
  [130, 1.2],
  [150, 1.28],
  [180, 1.4],
]);

/** Loss of a smooth bend of an angle [rad] relative to 90° [-]. */
export const angleFactor = (angle: number): number => byAngle(angle / degree);

/** Loss of a smooth round bend of 90° by radius ratio, at high Reynolds numbers, as printed. */
export const smoothRound: (radiusRatio: number) => number = /* @__PURE__ */ curveOf([
  [0.5, 0.71],
  [0.75, 0.33],
  [1, 0.22],
  [1.5, 0.15],
  [2, 0.13],
  [2.5, 0.12],
]);

/** Reynolds numbers and factors of bends where the air parts from a sharp inner edge. */
export const sharpFactors: readonly (readonly [reynolds: number, factor: number])[] = [
  [1e4, 1.4],
  [2e4, 1.26],
  [3e4, 1.19],
  [4e4, 1.14],
  [6e4, 1.09],
  [8e4, 1.06],
  [1e5, 1.04],
  [1.4e5, 1],
  [2e5, 1],
];
