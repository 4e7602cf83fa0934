import type { Range } from "../core/ranges.js";
import type { Section } from "../ducts/geometry.js";
import { type Blades, type BladeTable, bladeAngle, bladeFaults, bladeLaws, bladeLeakage } from "./blades.js";
import type { Fitting, Laws, NumberParameter, Outside } from "./fitting.js";
import { thinPlateCoefficient, thinPlateSource } from "./plate.js";
import { outsideOf, shapeOf } from "./shape.js";
import { curveOf, tableOf } from "./tables.js";

const reference = "velocity pressure in the duct, before the damper";
/** Blades and plates have sharp edges, where the flow separates at any turbulent Reynolds number. */
const turbulent: Range = { min: 1e4 };

/**
 * Coefficients of dampers span three powers of ten, so it is their logarithms that are interpolated: between two points
 * a coefficient stays within their values, outside it is held.
 */
const logarithms = (coefficients: readonly number[]): number[] => coefficients.map((one) => Math.log(one));

/** A coefficient between points, by its logarithm. */
const logarithmicAt = (positions: readonly number[], coefficients: readonly number[], position: number): number => {
  const values = logarithms(coefficients);
  return Math.exp(curveOf(positions.map((at, i) => [at, values[i]] as const))(position));
};

/** A loss that is the same for both directions of the flow. */
const bothWays = (coefficient: number, model: string, outside: readonly Outside[]): Laws => ({
  forward: { coefficient },
  backward: { coefficient },
  model,
  outside,
});

const steps = (step: number, count: number): number[] => Array.from({ length: count }, (_, i) => i * step);

/** Every 5° from 0°. Weisbach begins at 5°; the values at 0° are from the handbooks. */
const singleBlade = {
  round: [0.2, 0.24, 0.52, 0.9, 1.54, 2.51, 3.91, 6.22, 10.8, 18.7, 32.6, 58.8, 118, 256, 751],
  rectangular: [0.08, 0.28, 0.45, 0.77, 1.34, 2.16, 3.54, 5.72, 9.27, 15.07, 24.9, 42.7, 77.4, 158, 368],
};

/** What describes a `singleBladeDamper`. */
export interface SingleBladeDamperParameters extends Blades {}

const singleBladeIn = (section: Section): BladeTable => {
  const values = shapeOf(section) === "round" ? singleBlade.round : singleBlade.rectangular;
  const angles = steps(5, values.length);
  return { last: 70, at: (degrees) => logarithmicAt(angles, values, degrees), model: "Weisbach 1855" };
};

/** A single flat blade that turns about its middle and fills the duct when shut. */
export const singleBladeDamper: Fitting<SingleBladeDamperParameters> = {
  kind: "singleBladeDamper",
  family: "dampers",
  place: "duct",
  meaning: "A damper with one thin blade that turns about its middle and fills the duct when shut.",
  parameters: { angle: /* @__PURE__ */ bladeAngle(70), leakage: /* @__PURE__ */ bladeLeakage(70) },
  shapes: ["round", "rectangular"],
  reference,
  sources: [
    {
      author: "Weisbach",
      title: "Experimental-Hydraulik: throttle valves in round and rectangular pipes",
      year: 1855,
      where: "round at 5°, 10°, 20°, 40° and 60°; also in Perry's Chemical Engineers' Handbook, table 6-4",
      status: "memory",
    },
    {
      author: "Weisbach",
      title: "Experimental-Hydraulik: throttle valves in round and rectangular pipes",
      year: 1855,
      where: "all other angles from 5° to 70°, and rectangular; by way of Idelchik",
      status: "memory",
    },
    {
      author: "SMACNA and ASHRAE",
      title: "Tables of fitting loss coefficients",
      where: "single-blade damper, thin plate, at 0°",
      status: "memory",
    },
  ],
  reynolds: turbulent,
  // Two tables differ by up to 15 % in round and 27 % in rectangular ducts; one degree of angle makes some 10 %.
  spread: { family: "single-blade dampers", shared: 0.2, own: 0.3 },
  caution:
    "Near shut, the loss depends on leakage past the blade's rim, which differs from damper to damper: set such a damper by measured flow.",
  faults: (blade, section) => bladeFaults(blade, singleBladeIn(section), section),
  laws: (blade, section) => bladeLaws(blade, singleBladeIn(section), section),
};

/** What describes a `multiBladeDamper`. */
export interface MultiBladeDamperParameters extends Blades {
  readonly blades: "parallel" | "opposed";
  /** Length of all blades together over the inner perimeter of the frame [-] */
  readonly bladeRatio: number;
}

/** Blade ratios of the rows below. */
const bladeRatios = [0.3, 0.5, 1, 1.5];
/** Every 10° from 0°, a row for each blade ratio. */
const multiBlade = {
  parallel: [
    [0.52, 0.79, 1.4, 2.3, 5, 9, 14, 32, 116],
    [0.52, 0.92, 1.5, 2.4, 5, 9, 18, 45, 188],
    [0.52, 1, 1.6, 2.6, 5.4, 10, 24, 65, 361],
    [0.52, 1, 1.6, 2.7, 5.4, 10, 28, 102, 576],
  ],
  opposed: [
    [0.52, 0.85, 2.1, 4.1, 9, 21, 73, 284, 807],
    [0.52, 1, 2.3, 5.4, 13, 33, 122, 377, 1045],
    [0.52, 1.2, 2.7, 7.3, 21, 65, 245, 547, 1521],
    [0.52, 1.4, 3.2, 9, 28, 107, 361, 677, 1654],
  ],
};
const bladeRatiosCovered: Range = { min: 0.3, max: 1.5 };

const multiBladeOf = ({ blades, bladeRatio }: MultiBladeDamperParameters): BladeTable => {
  const rows = multiBlade[blades];
  const table = tableOf(bladeRatios, steps(10, rows[0].length), rows.map(logarithms));
  return {
    last: 80,
    at: (degrees) => Math.exp(table(bladeRatio, degrees)),
    model: `table of ${blades} blades by angle and blade ratio`,
  };
};

/** Several blades in a frame, which turn together: all one way, or neighbours against each other. */
export const multiBladeDamper: Fitting<MultiBladeDamperParameters> = {
  kind: "multiBladeDamper",
  family: "dampers",
  place: "duct",
  meaning: "A damper with several blades in a rectangular frame, which turn one way (parallel) or in turns (opposed).",
  parameters: {
    angle: /* @__PURE__ */ bladeAngle(80),
    leakage: /* @__PURE__ */ bladeLeakage(80),
    blades: {
      meaning: "Whether all blades turn the same way, or neighbours against each other.",
      choices: ["parallel", "opposed"],
      preset: "opposed",
    },
    bladeRatio: {
      quantity: "number",
      meaning:
        "Length of all blades together, divided by the inner perimeter of the frame: number of blades × width / (2 × (width + height)).",
      range: { above: 0, max: 10 },
      covered: bladeRatiosCovered,
      preset: 0.5,
    },
  },
  shapes: ["rectangular"],
  reference,
  sources: [
    {
      author: "SMACNA and ASHRAE",
      title: "Tables of fitting loss coefficients",
      where: "rectangular dampers with parallel and with opposed blades",
      status: "memory",
    },
  ],
  reynolds: turbulent,
  // Not seen in print, and blades' profiles, seals and linkages differ.
  spread: { family: "multi-blade dampers", shared: 0.3, own: 0.4 },
  caution:
    "Near shut, the loss depends on leakage past the blades, which differs from damper to damper: use the maker's curve where there is one.",
  faults: (blades, section) => bladeFaults(blades, multiBladeOf(blades), section),
  laws: (blades, section) => {
    const { outside, ...laws } = bladeLaws(blades, multiBladeOf(blades), section);
    return { ...laws, outside: [...outside, ...outsideOf(["bladeRatio", blades.bladeRatio, bladeRatiosCovered])] };
  },
};

/** One setting of an iris damper with its coefficient. */
export interface IrisSetting {
  /** As on its scale [-] */
  readonly setting: number;
  /** On the velocity pressure in the duct [-] */
  readonly coefficient: number;
}

/** What describes an `irisDamper`. */
export interface IrisDamperParameters {
  /** As on its scale [-] */
  readonly setting: number;
  readonly table: readonly IrisSetting[];
}

const settings: NumberParameter = { quantity: "number", meaning: "Setting as on the damper's scale.", range: {} };

/** A damper that narrows the duct evenly from its rim, by its maker's table. */
export const irisDamper: Fitting<IrisDamperParameters> = {
  kind: "irisDamper",
  family: "dampers",
  place: "duct",
  meaning: "A damper that closes like an iris, by its maker's table of settings.",
  parameters: {
    setting: settings,
    table: {
      meaning: "The damper's own table for this size of duct, between whose settings the coefficient is interpolated.",
      columns: {
        setting: settings,
        coefficient: {
          quantity: "number",
          meaning: "Loss coefficient on the velocity pressure in the duct.",
          range: { above: 0, max: 1e10 },
        },
      },
    },
  },
  shapes: ["round"],
  reference,
  sources: [{ author: "the maker of the damper", title: "table of settings, as given", status: "read" }],
  spread: { family: "iris dampers", shared: 0, own: 0.1 },
  laws: ({ setting, table }) => {
    const given = table.map((row) => row.setting);
    const coefficients = table.map((row) => row.coefficient);
    const range = { min: given[0], max: given[given.length - 1] };
    return bothWays(
      logarithmicAt(given, coefficients, setting),
      "table of the damper's settings, as given",
      outsideOf(["setting", setting, range]),
    );
  },
};

/** What describes a damper that stands open until it is needed. */
export interface OpenDamperParameters {
  /** Of the open damper, of the duct's section [-] */
  readonly freeArea: number;
}

const freeAreaCovered: Range = { min: 0.5, max: 1 };

/** A damper that stands open, as the plate that its frame and blade make of it. */
/* @__NO_SIDE_EFFECTS__ */
const openDamper = (kind: string, meaning: string, caution: string): Fitting<OpenDamperParameters> => ({
  kind,
  family: "dampers",
  place: "duct",
  meaning,
  parameters: {
    freeArea: {
      quantity: "fraction",
      meaning: "Free area when open, as a share of the duct's section.",
      range: { min: 0.05, max: 1 },
      covered: freeAreaCovered,
    },
  },
  shapes: ["round", "rectangular", "flatOval"],
  reference,
  sources: [thinPlateSource],
  reynolds: turbulent,
  // Sharp and rounded edges of one free area differ by a factor of two and more; frames and blades lie between.
  spread: { family: "thin plates", shared: 0.2, own: 0.6 },
  caution,
  laws: ({ freeArea }) => ({
    ...bothWays(
      thinPlateCoefficient(freeArea),
      "thin sharp-edged plate by free area, as a stand-in",
      outsideOf(["freeArea", freeArea, freeAreaCovered]),
    ),
    note: "a thin sharp-edged plate of the same free area stands in for the open damper; the maker's value is better",
  }),
});

/** A fire damper, open: the loss only. */
export const fireDamper: Fitting<OpenDamperParameters> = openDamper(
  "fireDamper",
  "A fire damper, open.",
  "This is the pressure loss of an open damper and nothing else: the library knows no fire rating. The fire strategy and the local codes say where fire dampers and fire-stopping belong, which are certified for their wall or floor, and how they are fitted, reached and tested.",
);

/** A shut-off damper, open: the loss only. */
export const shutOffDamper: Fitting<OpenDamperParameters> = openDamper(
  "shutOffDamper",
  "A shut-off damper, open.",
  "This is the loss of the open damper; how tightly it shuts is its leakage class, which the maker states. The loss of a `singleBladeDamper` at 90° follows from its leakage.",
);
