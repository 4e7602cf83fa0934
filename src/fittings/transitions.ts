import { requireRange } from "../core/ranges.js";
import type { Source } from "../core/sources.js";
import { areaOf, isRound, type Section } from "../ducts/geometry.js";
import { narrowingCoefficient, narrowingSource, wideningCoefficient, wideningSource } from "./area-change.js";
import { degree, degrees } from "./degrees.js";
import type { Fitting, GeometryFault, Laws, NumberParameter, Spread } from "./fitting.js";
import { shapeOf } from "./shape.js";

const reference =
  "velocity pressure in the smaller section; friction along the transition is left out: it belongs to the lengths of the neighbouring ducts";
const turbulent = { min: 1e4 };

/** Smaller over larger area of two sections [-] */
const ratioOf = (section: Section, other: Section): number => {
  const [a, b] = [areaOf(section), areaOf(other)];
  return Math.min(a, b) / Math.max(a, b);
};

/** Both directions: air from the smaller to the larger section meets the widening, wherever port a is. */
const directed = (
  section: Section,
  other: Section,
  widening: number,
  narrowing: number,
): Pick<Laws, "forward" | "backward"> =>
  areaOf(section) < areaOf(other)
    ? { forward: { coefficient: widening }, backward: { coefficient: narrowing } }
    : { forward: { coefficient: narrowing }, backward: { coefficient: widening } };

const abruptSpread: Spread = { family: "abrupt changes of section", shared: 0.05, own: 0.3 };

/** An abrupt change of section, from any shape to any other, by their areas alone. */
export const abruptTransition: Fitting = {
  kind: "abrupt",
  family: "transitions",
  place: "transition",
  meaning: "An abrupt change of section with a sharp edge.",
  parameters: {},
  shapes: ["round", "rectangular", "flatOval"],
  reference,
  sources: [wideningSource, narrowingSource],
  reynolds: turbulent,
  spread: abruptSpread,
  laws: (_, section, other = section) => {
    const ratio = ratioOf(section, other);
    return {
      ...directed(section, other, wideningCoefficient(ratio), narrowingCoefficient(ratio)),
      model: "Borda–Carnot where it widens, Idelchik diagram 4-9 where it narrows",
      outside: [],
      ...(shapeOf(section) === shapeOf(other)
        ? {}
        : {
            spread: { ...abruptSpread, own: 0.5 },
            note: "the shape changes too: the coefficient follows the areas alone and leaves out the loss at corners, which is the only loss between equal areas",
          }),
    };
  },
};

/**
 * An expander: an open library's fit to Idelchik's equation 5-7 and diagram 5-4. Of the published forms it is the
 * one without friction that rises with the angle all along and is not too low at small ones, where flow in real ducts
 * seldom arrives undisturbed. It is not the handbook's own table for undisturbed flow, which lies at a third of it at 8° and at a fifth at 3°.
 */
const coneWidening = (angle: number, ratio: number): number =>
  0.9455 * (1 - Math.exp((-0.0541 * angle) / degree)) * (1 - ratio) ** 1.92;

/**
 * A reducer, by the jet that forms after it. Other forms without friction agree with it; Crane's, made for
 * pipe reducers, lies up to 0.2 above.
 */
const coneNarrowing = (angle: number, ratio: number): number => {
  const fifth = 1 - ratio ** 2.5;
  // By how much the jet is faster than the duct; written so that it is exactly 0 between equal areas.
  const jet = 0.622 * (angle / Math.PI) ** 0.8 * (0.215 * (1 - ratio) + 0.785 * fifth);
  return 0.0696 * Math.sin(angle / 2) * fifth * (1 + jet) ** 2 + jet ** 2;
};

const coneWideningSource: Source = {
  author: "FluidDissipation, an open Modelica library",
  title:
    "fit without friction to Idelchik, Handbook of Hydraulic Resistance, 3rd edition, 2006, equation 5-7 and diagram 5-4",
  where:
    "conical widening, 0.9455·(1 − e^(−0.0541·α°))·(1 − b)^1.92; the handbook's own table for undisturbed flow has at b 0.5 and 8°, 16°, 30°, 60° the coefficients 0.03, 0.07, 0.16, 0.29, where the fit has 0.088, 0.145, 0.20, 0.24; at 3° it is a fifth of the fit",
  status: "read",
};

const coneNarrowingSource: Source = {
  author: "Rennels and Hudson",
  title: "Pipe Flow: A Practical and Comprehensive Guide",
  year: 2012,
  where: "conical narrowing, its term of friction left out",
  status: "library",
};

/** Published expanders go down to a seventh of the fit at 5° and half at 20°, and up to 1.3 times it at 60°. */
const coneSpread = (angle: number): Spread => ({
  family: "conical changes of section",
  shared: 0.1,
  own: 0.25 + 0.7 * Math.max(0, 1 - angle / degrees(30)),
});

const coneModel = "a library's fit to Idelchik diagram 5-4 where it widens, Rennels and Hudson 2012 where it narrows";

const coneLaws = (angle: number, section: Section, other: Section): Laws => {
  const ratio = ratioOf(section, other);
  return {
    ...directed(section, other, coneWidening(angle, ratio), coneNarrowing(angle, ratio)),
    model: coneModel,
    outside: [],
    spread: coneSpread(angle),
  };
};

/** A cone that stands in for another form, at the spread of a stand-in. */
const standIn = (angle: number, section: Section, other: Section, note: string): Laws => {
  const laws = coneLaws(angle, section, other);
  const { own, ...rest } = coneSpread(angle);
  return {
    ...laws,
    model: `${coneModel}, as a stand-in`,
    spread: { ...rest, own: Math.min(own + 0.25, 0.9) },
    note,
  };
};

/** Included angle at which two lines part by a difference of widths over a length [rad] */
const includedAngle = (difference: number, length: number): number =>
  2 * Math.atan(Math.abs(difference) / (2 * length));

const length: NumberParameter = {
  quantity: "length",
  meaning: "Length along the axis between both sections.",
  range: { above: 0 },
};

/** What describes a `conicalTransition`: one of both. */
export interface ConicalTransitionParameters {
  /** Included angle, from wall to wall [rad] */
  readonly angle?: number;
  /** Along the axis [m] */
  readonly length?: number;
}

const conicalFaults = ({ angle, length }: ConicalTransitionParameters): readonly GeometryFault[] => {
  if (angle === undefined && length === undefined)
    return [{ key: "angle", expected: "the included angle, or a length", found: "neither" }];
  if (angle === undefined || length === undefined) return [];
  return [{ key: "length", expected: "either an angle or a length", found: `both, a length of ${length}` }];
};

/** A cone between two round sections. */
export const conicalTransition: Fitting<ConicalTransitionParameters> = {
  kind: "conical",
  family: "transitions",
  place: "transition",
  meaning: "A cone between two round sections, by its included angle or its length.",
  parameters: {
    angle: {
      quantity: "angle",
      meaning: "Included angle of the cone, from wall to wall; instead of a length.",
      range: { above: 0, max: Math.PI },
      optional: true,
    },
    length: {
      quantity: "length",
      meaning: "Length along the axis between both sections; instead of an angle.",
      range: { above: 0 },
      optional: true,
    },
  },
  shapes: ["round"],
  reference,
  sources: [coneWideningSource, coneNarrowingSource],
  reynolds: turbulent,
  spread: { family: "conical changes of section", shared: 0.1, own: 0.25 },
  faults: conicalFaults,
  laws: ({ angle, length }, section, other = section) => {
    const difference = isRound(section) && isRound(other) ? section.diameter - other.diameter : Number.NaN;
    return coneLaws(angle ?? includedAngle(difference, length ?? Number.NaN), section, other);
  },
};

/** What describes a transition that is known by its length alone. */
export interface TransitionLengthParameters {
  /** Along the axis [m] */
  readonly length: number;
}

/** By how much a side grows from a section to the other [m] */
const growth = (section: Section, other: Section, side: "width" | "height"): number =>
  isRound(section) || isRound(other) ? Number.NaN : other[side] - section[side];

/** Flat walls between two rectangular sections. */
export const rectangularTransition: Fitting<TransitionLengthParameters> = {
  kind: "tapered",
  family: "transitions",
  place: "transition",
  meaning: "Flat tapering walls between two rectangular sections.",
  parameters: { length },
  shapes: ["rectangular"],
  reference,
  sources: [
    coneWideningSource,
    coneNarrowingSource,
    {
      author: "common practice",
      title: "tapered transitions by the included angle of the side that changes most",
      where: "a cone of that angle stands in; pyramids that widen are published at up to 1.4 times its loss",
      status: "memory",
    },
  ],
  reynolds: turbulent,
  spread: { family: "conical changes of section", shared: 0.1, own: 0.5 },
  laws: ({ length }, section, other = section) => {
    const [wider, higher] = [growth(section, other, "width"), growth(section, other, "height")];
    const angle = includedAngle(Math.max(Math.abs(wider), Math.abs(higher)), length);
    const note = "a cone of the same areas and of the included angle of the side that changes most stands in";
    const against = "; one side widens while the other narrows, which may lose more";
    return standIn(angle, section, other, wider * higher < 0 ? note + against : note);
  },
};

/** Diameter of the circle of a section's area [m] */
const areaDiameter = (section: Section): number => Math.sqrt((4 * areaOf(section)) / Math.PI);

const onlyOneRound = (section: Section, other: Section): readonly GeometryFault[] => {
  if (isRound(section) !== isRound(other)) return [];
  return [
    {
      key: "",
      expected: "one round section and one that is not",
      found: `${shapeOf(section)} and ${shapeOf(other)}`,
    },
  ];
};

/** A transition between a round section and a rectangular or flat-oval one. */
export const roundToRectangular: Fitting<TransitionLengthParameters> = {
  kind: "roundToRectangular",
  family: "transitions",
  place: "transition",
  meaning: "A smooth transition between a round section and a rectangular or flat-oval one.",
  parameters: { length },
  shapes: ["round", "rectangular", "flatOval"],
  reference,
  sources: [
    coneWideningSource,
    coneNarrowingSource,
    {
      author: "common practice",
      title: "transitions from round to rectangular by the equivalent cone",
      where: "a cone of the same length between circles of the same areas",
      status: "memory",
    },
  ],
  reynolds: turbulent,
  spread: { family: "conical changes of section", shared: 0.1, own: 0.5 },
  faults: (_, section, other = section) => onlyOneRound(section, other),
  laws: ({ length }, section, other = section) =>
    standIn(
      includedAngle(areaDiameter(section) - areaDiameter(other), length),
      section,
      other,
      "a cone of the same length between circles of the same areas stands in; the loss of the change of shape is left out",
    ),
};

/** Loss coefficients of a cone, both on the velocity pressure in its smaller section. */
export interface TeeLegTransition {
  /** From the smaller to the larger section [-] */
  readonly widening: number;
  /** From the larger to the smaller section [-] */
  readonly narrowing: number;
}

/**
 * The cone of 30° included angle by which a smaller straight leg joins the main of a tee. With b = A_small/A_main:
 * 2.6·sin 15°·(1 − b)² where the air widens, 0.8·sin 15°·(1 − b) where it narrows.
 *
 * @param smallArea - Of the leg [m²], above 0 and at most the main's.
 * @param mainArea - Of the main [m²], above 0.
 * @returns Both coefficients [-] on the velocity pressure in the leg; 0 for equal areas.
 * @throws InputError `out-of-range` when an area is not above 0, not finite or NaN, or the leg is larger than the main.
 *
 * Source: Crane, Flow of Fluids Through Valves, Fittings and Pipe, gradual enlargement and contraction below 45° (library).
 * @example teeLegTransition(0.01, 0.02); // { widening: 0.1682…, narrowing: 0.1035… }
 */
export const teeLegTransition = (smallArea: number, mainArea: number): TeeLegTransition => {
  requireRange("mainArea", mainArea, { above: 0 });
  requireRange("smallArea", smallArea, { above: 0, max: mainArea });
  const ratio = smallArea / mainArea;
  const sine = Math.sin(degrees(15));
  return { widening: 2.6 * sine * (1 - ratio) ** 2, narrowing: 0.8 * sine * (1 - ratio) };
};
