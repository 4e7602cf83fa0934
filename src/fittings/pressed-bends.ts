import type { Range } from "../core/ranges.js";
import type { RoundSection, Section } from "../ducts/geometry.js";
import {
  angle,
  angleFactor,
  bendLaws,
  byDiameter,
  handbook,
  interaction,
  reference,
  spacing,
  turbulent,
} from "./bend-common.js";
import { degrees } from "./degrees.js";
import type { Fitting, Spread } from "./fitting.js";
import { outsideOf } from "./shape.js";
import { curveOf } from "./tables.js";

/** What describes a `pressedBend` or a `pleatedBend`. */
export interface PressedBendParameters {
  /** By which the air turns [rad] */
  readonly angle: number;
  /** Straight length to the next bend over the diameter [-] */
  readonly spacing: number;
}

/** Diameter [m] and coefficients of 45° and 90°; radius ratio 1.5. */
type Rows = readonly (readonly [diameter: number, at45: number, at90: number])[];

const pressed: Rows = [
  [0.075, 0.18, 0.3],
  [0.1, 0.13, 0.21],
  [0.125, 0.1, 0.16],
  [0.15, 0.08, 0.14],
  [0.18, 0.07, 0.12],
  [0.2, 0.07, 0.11],
  [0.23, 0.07, 0.11],
  [0.25, 0.07, 0.11],
];

const pleated: Rows = [
  [0.1, 0.34, 0.57],
  [0.15, 0.26, 0.43],
  [0.2, 0.21, 0.34],
  [0.25, 0.17, 0.28],
  [0.3, 0.16, 0.26],
  [0.35, 0.15, 0.25],
  [0.4, 0.15, 0.25],
];

/** The smooth bend's factor of 45°. */
const half: number = /* @__PURE__ */ angleFactor(/* @__PURE__ */ degrees(45));

const angles: Range = { min: /* @__PURE__ */ degrees(45), max: /* @__PURE__ */ degrees(90) };

/**
 * A bend with a table by diameter at two angles. Between them, and outside the table below 45° and past 90°, it uses
 * the printed angle factor of smooth bends. The diameter stands for the Reynolds number, so there is no other factor.
 */
/* @__NO_SIDE_EFFECTS__ */
const bendByDiameter = (
  kind: string,
  meaning: string,
  rows: Rows,
  where: string,
  spreadAt: (diameter: number) => Spread,
  note?: string,
): Fitting<PressedBendParameters> => ({
  kind,
  family: "bends",
  place: "duct",
  meaning,
  parameters: { angle: /* @__PURE__ */ angle(angles), spacing },
  shapes: ["round"],
  reference,
  sources: [
    /* @__PURE__ */ byDiameter(where),
    /* @__PURE__ */ handbook("angle multiplier of smooth bends, between and outside 45° and 90°", "read"),
    interaction,
  ],
  reynolds: turbulent,
  spread: spreadAt(0.15),
  laws: ({ angle, spacing }, section: Section) => {
    const { diameter } = section as RoundSection;
    const at45 = curveOf(rows.map(([d, k]) => [d, k]))(diameter);
    const at90 = curveOf(rows.map(([d, , k]) => [d, k]))(diameter);
    const share = Math.min(Math.max((angleFactor(angle) - half) / (1 - half), 0), 1);
    const printed = at45 + share * (at90 - at45);
    const beyond = Math.min(1, angleFactor(angle) / half) * Math.max(1, angleFactor(angle));
    return bendLaws({ coefficient: printed * beyond }, spacing, spreadAt(diameter), {
      model: `ASHRAE 2009, ${where}`,
      outside: outsideOf(
        ["angle", angle, angles],
        ["diameter", diameter, { min: rows[0][0], max: rows[rows.length - 1][0] }],
      ),
      ...(note === undefined ? {} : { note }),
    });
  },
});

/** A round bend pressed from sheet, radius ratio 1.5, by diameter. */
export const pressedBend: Fitting<PressedBendParameters> = /* @__PURE__ */ bendByDiameter(
  "pressedBend",
  "A round bend pressed from sheet, with a centre line of 1.5 diameters radius.",
  pressed,
  "pressed round bend by diameter",
  // From 125 mm on, the other handbook's smooth bend with its Reynolds factor at 5 m/s loses 1.4 to twice as much.
  (diameter) => ({
    family: "bends by diameter",
    shared: 0.2,
    own: 0.3 + 0.5 * Math.min(Math.max((diameter - 0.1) / 0.1, 0), 1),
  }),
  "printed without a Reynolds number: below some 5 m/s closed forms of smooth bends lose up to twice as much, and the kind bend is the safer value",
);

/** A round bend with pleats on the inside of its turn, radius ratio 1.5, by diameter. */
export const pleatedBend: Fitting<PressedBendParameters> = /* @__PURE__ */ bendByDiameter(
  "pleatedBend",
  "A round bend with pleats on the inside of its turn, with a centre line of 1.5 diameters radius.",
  pleated,
  "pleated round bend by diameter",
  () => ({ family: "bends by diameter", shared: 0.2, own: 0.3 }),
);
