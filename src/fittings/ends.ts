import type { Source } from "../core/sources.js";
import { asGiven, practice, ratingParameters, ratingSpread } from "./equipment.js";
import type { Equipment, EquipmentRating, Fitting, Law, Laws } from "./fitting.js";
import { curveOf, tableOf } from "./tables.js";

const reference = "velocity pressure in the duct";
const turbulent = { min: 1e4 };

/* @__NO_SIDE_EFFECTS__ */
const idelchik = (where: string): Source => ({
  author: "Idelchik",
  title: "Handbook of Hydraulic Resistance",
  where,
  status: "library",
});

/** Of a jet into still air nothing is recovered. */
const exit: Law = { coefficient: 1 };
const exitSource: Source = {
  author: "Borda and Carnot",
  title: "exit into still air",
  where: "the whole velocity pressure",
  status: "library",
};

const entryLaws = (coefficient: number, model: string): Laws => ({
  forward: { coefficient },
  backward: exit,
  model,
  outside: [],
});

/** A duct that ends flush with a wall, with a sharp edge. */
export const flushEnd: Fitting = {
  kind: "flush",
  family: "ends",
  place: "end",
  meaning: "A duct that ends flush with a wall, with a sharp edge.",
  parameters: {},
  shapes: ["round", "rectangular", "flatOval"],
  reference,
  sources: [idelchik("flush entry with a sharp edge: 0.5"), exitSource],
  reynolds: turbulent,
  spread: { family: "entries", shared: 0.05, own: 0.1 },
  laws: () => entryLaws(0.5, "flush entry, 0.5"),
};

/** What describes a `projectingEnd`. */
export interface ProjectingEndParameters {
  /** Thickness of the duct's rim over its hydraulic diameter [-] */
  readonly wallThickness: number;
  /** How far the duct stands out of the wall, over its hydraulic diameter [-] */
  readonly projection: number;
}

/** Entry by thickness of the rim (rows) and projection (columns), as printed; from 0.5 on the wall is felt no more. */
const projecting: (wallThickness: number, projection: number) => number = /* @__PURE__ */ tableOf(
  [0, 0.004, 0.008, 0.012, 0.016, 0.02, 0.024, 0.03, 0.04, 0.05],
  [0, 0.002, 0.005, 0.01, 0.02, 0.05, 0.1, 0.2, 0.3, 0.5],
  [
    [0.5, 0.57, 0.63, 0.68, 0.73, 0.8, 0.86, 0.92, 0.97, 1],
    [0.5, 0.54, 0.58, 0.63, 0.67, 0.74, 0.8, 0.86, 0.9, 0.94],
    [0.5, 0.53, 0.55, 0.58, 0.62, 0.68, 0.74, 0.81, 0.85, 0.88],
    [0.5, 0.52, 0.53, 0.55, 0.58, 0.63, 0.68, 0.75, 0.79, 0.83],
    [0.5, 0.51, 0.51, 0.53, 0.55, 0.58, 0.64, 0.7, 0.74, 0.77],
    [0.5, 0.51, 0.51, 0.52, 0.53, 0.55, 0.6, 0.66, 0.69, 0.72],
    [0.5, 0.5, 0.5, 0.51, 0.52, 0.53, 0.58, 0.62, 0.65, 0.68],
    [0.5, 0.5, 0.5, 0.51, 0.52, 0.52, 0.54, 0.57, 0.59, 0.61],
    [0.5, 0.5, 0.5, 0.51, 0.51, 0.51, 0.51, 0.52, 0.52, 0.54],
    [0.5, 0.5, 0.5, 0.5, 0.5, 0.5, 0.5, 0.5, 0.5, 0.5],
  ],
);

/** A duct that stands out of a wall, or ends in the open. */
export const projectingEnd: Fitting<ProjectingEndParameters> = {
  kind: "projecting",
  family: "ends",
  place: "end",
  meaning: "A duct that projects from a wall, or ends in the open, with a sharp edge.",
  parameters: {
    wallThickness: {
      quantity: "number",
      meaning: "Thickness of the duct's rim, divided by its hydraulic diameter.",
      range: { min: 0 },
      preset: 0,
    },
    projection: {
      quantity: "number",
      meaning:
        "How far the duct projects from the wall, divided by its hydraulic diameter; 0.5 or more counts as ending in the open.",
      range: { min: 0 },
      preset: 0.5,
    },
  },
  shapes: ["round", "rectangular", "flatOval"],
  reference,
  sources: [idelchik("projecting entry by thickness of the rim and projection"), exitSource],
  reynolds: turbulent,
  spread: { family: "entries", shared: 0.05, own: 0.2 },
  laws: ({ wallThickness, projection }) =>
    entryLaws(projecting(wallThickness, projection), "Idelchik, projecting entry"),
};

/** What describes a `bellmouthEnd`. */
export interface BellmouthEndParameters {
  /** Of the rounding over the hydraulic diameter of the duct [-] */
  readonly radiusRatio: number;
}

/** Entry by radius ratio, as printed. */
const bellmouth: (radiusRatio: number) => number = /* @__PURE__ */ curveOf([
  [0, 0.5],
  [0.01, 0.44],
  [0.02, 0.37],
  [0.03, 0.31],
  [0.04, 0.26],
  [0.05, 0.22],
  [0.06, 0.2],
  [0.08, 0.15],
  [0.12, 0.09],
  [0.16, 0.06],
  [0.2, 0.03],
]);

/** A rounded mouth in a wall. What flows out leaves as a jet all the same. */
export const bellmouthEnd: Fitting<BellmouthEndParameters> = {
  kind: "bellmouth",
  family: "ends",
  place: "end",
  meaning: "A duct that ends flush with a wall in a rounded mouth.",
  parameters: {
    radiusRatio: {
      quantity: "number",
      meaning: "Radius of the rounding, divided by the duct's hydraulic diameter; above 0.2 the loss falls no further.",
      range: { min: 0 },
      preset: 0.2,
    },
  },
  shapes: ["round", "rectangular", "flatOval"],
  reference,
  sources: [idelchik("rounded entry in a wall by radius ratio"), exitSource],
  reynolds: turbulent,
  spread: { family: "entries", shared: 0.05, own: 0.35 },
  // Wide roundings lose next to nothing, by other tables up to 0.1 of the velocity pressure.
  laws: ({ radiusRatio }) => ({
    ...entryLaws(bellmouth(radiusRatio), "Idelchik, rounded entry"),
    spread: { family: "entries", shared: 0.05, own: 0.35 + 0.5 * Math.min(radiusRatio / 0.2, 1) },
  }),
};

/** A cowl by its maker's rating: all that is lost between the duct and the outdoors. */
export const cowl: Equipment<EquipmentRating> = {
  kind: "cowl",
  family: "equipment",
  place: "end",
  meaning: "A cowl, roof terminal or similar end, by its maker's rating.",
  parameters: /* @__PURE__ */ ratingParameters(
    "Loss of total pressure between the duct and the still outdoors at its flow; for an exhaust it includes the jet's velocity pressure.",
    2,
  ),
  sources: [
    { author: "the maker of the cowl", title: "rating, as given", status: "read" },
    /* @__PURE__ */ practice("exponent 2: jets and sharp edges"),
  ],
  spread: ratingSpread,
  caution:
    "A rating for one direction does not hold for the other, and wind adds its own pressure: give that at the outdoors node, not in the cowl's rating.",
  rating: asGiven,
};
