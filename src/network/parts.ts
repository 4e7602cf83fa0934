import {
  type AnyField,
  anything,
  byKind,
  choice,
  count,
  type Defaulted,
  exactly,
  type Field,
  forms,
  list,
  number,
  type Optional,
  object,
  optional,
  preset,
  type QuantityField,
  quantity,
  type TextField,
  text,
  textLike,
  word,
} from "../input/fields.js";
import type { Form, Preset, Quantified } from "./forms.js";

/** Words of which ids are made; ids hold no dots, so that paths can. */
export const idPattern: RegExp = /^[A-Za-z0-9][A-Za-z0-9_-]*$/;

/** The id of a node, a duct or an opening. */
export const id = (): Field<string> =>
  textLike(idPattern, "id.form", "an id of letters, digits, '-' and '_', beginning with a letter or digit");

/** `label` and `meta`. */
export const labels = (): { label: Optional<TextField>; meta: Optional<AnyField> } => ({
  label: optional(text()),
  meta: optional(anything()),
});

/** `elevation`, 0 where it is not given. */
export const elevation = (): Defaulted<QuantityField> => preset(quantity("length"), 0);

const positive = { above: 0 };
const notNegative = { min: 0 };

// ---- Sections

/** A round section. */
export interface RoundSection<F extends Form = "parsed"> {
  /** [m] */
  readonly diameter: Quantified<F>;
}
/** A rectangular section. */
export interface RectangularSection<F extends Form = "parsed"> {
  /** [m] */
  readonly width: Quantified<F>;
  /** [m] */
  readonly height: Quantified<F>;
}
/** A flat-oval section: two half circles joined by straight sides. */
export interface FlatOvalSection<F extends Form = "parsed"> extends RectangularSection<F> {
  readonly shape: "flatOval";
}
/** The clear section of a duct or spigot. */
export type SectionPart<F extends Form = "parsed"> = RoundSection<F> | RectangularSection<F> | FlatOvalSection<F>;

const side = () => quantity("length", positive);

/** A section. */
export const section: Field<SectionPart, SectionPart<"written">> = exactly<SectionPart, SectionPart<"written">>()(
  forms(
    object({ diameter: side() }),
    object({ width: side(), height: side() }),
    object({ shape: word("flatOval"), width: side(), height: side() }),
  ),
);

// ---- Air

/** Air by its density. */
export type AirByDensity<F extends Form = "parsed"> = {
  /** [kg/m³] */
  readonly density: Quantified<F>;
} & Preset<F, { /** [Pa·s] */ readonly viscosity: Quantified<F> }>;

/** Air by its temperature. Pressure or altitude, where neither is given, are those of the network's air. */
export type AirByTemperature<F extends Form = "parsed"> = {
  /** Dry-bulb [°C] */
  readonly temperature: Quantified<F>;
  /** Absolute [Pa] */
  readonly pressure?: Quantified<F>;
  /** Above sea level [m] */
  readonly altitude?: Quantified<F>;
} & Preset<F, { /** [-] */ readonly relativeHumidity: Quantified<F> }>;

/** Air, in one of two forms. */
export type AirPart<F extends Form = "parsed"> = AirByDensity<F> | AirByTemperature<F>;

/** Air. */
export const air: Field<AirPart, AirPart<"written">> = exactly<AirPart, AirPart<"written">>()(
  forms(
    object({
      density: quantity("density", positive),
      viscosity: preset(quantity("viscosity", positive), 1.81e-5),
    }),
    object({
      temperature: quantity("temperature", { min: -60, max: 100 }),
      pressure: optional(quantity("pressure", { min: 30_000, max: 120_000 })),
      altitude: optional(quantity("length", { min: -1000, max: 9000 })),
      relativeHumidity: preset(quantity("fraction", { min: 0, max: 1 }), 0),
    }),
  ),
);

// ---- Ratings

/** A pressure loss at a flow, with the exponent by which it follows the flow. */
export type RatingPart<F extends Form = "parsed"> = {
  /** Loss at `flow` [Pa] */
  readonly pressure: Quantified<F>;
  /** [m³/s] */
  readonly flow: Quantified<F>;
} & Preset<
  F,
  {
    /** 1 (laminar) to 2 (turbulent) [-] */
    readonly exponent: number;
    /** Density at which it was measured [kg/m³] */
    readonly density: Quantified<F>;
    /** Viscosity at which it was measured [Pa·s] */
    readonly viscosity: Quantified<F>;
    /** Whether `pressure` is the loss of total pressure or the static pressure in the duct before (behind) a terminal. */
    readonly pressureKind: "total" | "static";
  }
>;

const exponent = () => preset(number({ min: 1, max: 2 }), 2);

const ratingShape = () => ({
  pressure: quantity("pressure", notNegative),
  flow: quantity("flow", positive),
  exponent: exponent(),
  density: preset(quantity("density", positive), 1.2),
  viscosity: preset(quantity("viscosity", positive), 1.81e-5),
  pressureKind: preset(choice(["total", "static"]), "total" as const),
});

/** A rating. */
export const rating: Field<RatingPart, RatingPart<"written">> = exactly<RatingPart, RatingPart<"written">>()(
  object(ratingShape()),
);

/** A rated part of an air handler. */
export type ComponentPart<F extends Form = "parsed"> = RatingPart<F> & {
  readonly name: string;
  /** Loss when clean [Pa]; default `pressure`. */
  readonly clean?: Quantified<F>;
};

/** A component of an air handler. */
export const component: Field<ComponentPart, ComponentPart<"written">> = exactly<
  ComponentPart,
  ComponentPart<"written">
>()(object({ name: text(), clean: optional(quantity("pressure", notNegative)), ...ratingShape() }));

/** A loss coefficient on the velocity pressure in a section. */
export interface CoefficientLoss<F extends Form = "parsed"> {
  /** On ½ρv² [-] */
  readonly coefficient: number;
  /** Default: the section of the duct, all runs together. */
  readonly section?: SectionPart<F>;
}
/** What a terminal loses, in one of two forms. */
export type LossPart<F extends Form = "parsed"> = RatingPart<F> | CoefficientLoss<F>;

/** A terminal's loss. */
export const loss: Field<LossPart, LossPart<"written">> = exactly<LossPart, LossPart<"written">>()(
  forms(object(ratingShape()), object({ coefficient: number(notNegative), section: optional(section) })),
);

/** The friction of a duct as its maker gives it: a loss over a length at a flow. */
export type FrictionRatingPart<F extends Form = "parsed"> = {
  /** Loss over `length` at `flow` [Pa] */
  readonly pressure: Quantified<F>;
  /** [m] */
  readonly length: Quantified<F>;
  /** Of one run [m³/s] */
  readonly flow: Quantified<F>;
} & Preset<F, { /** [-] */ readonly exponent: number }>;

/** A friction rating. */
export const frictionRating: Field<FrictionRatingPart, FrictionRatingPart<"written">> = exactly<
  FrictionRatingPart,
  FrictionRatingPart<"written">
>()(
  object({
    pressure: quantity("pressure", notNegative),
    length: quantity("length", positive),
    flow: quantity("flow", positive),
    exponent: exponent(),
  }),
);

// ---- Fittings in a duct

/** A fitting of which the coefficient is known. */
export type FixedFitting<F extends Form = "parsed"> = {
  readonly kind: "fixed";
  /** On ½ρv² of the duct [-] */
  readonly coefficient: number;
} & Preset<F, { readonly count: number }>;
/** A fitting or piece of equipment with a rated loss. */
export type RatedFitting<F extends Form = "parsed"> = { readonly kind: "rating" } & RatingPart<F> &
  Preset<F, { readonly count: number }>;
/** A fitting on each run of a duct. */
export type FittingPart<F extends Form = "parsed"> = FixedFitting<F> | RatedFitting<F>;

const counted = () => ({ count: preset(count(), 1) });

/** A fitting. */
export const fitting: Field<FittingPart, FittingPart<"written">> = exactly<FittingPart, FittingPart<"written">>()(
  byKind(
    "a fitting",
    ["bend"],
    object({ kind: word("fixed"), coefficient: number(notNegative), ...counted() }),
    object({ kind: word("rating"), ...ratingShape(), ...counted() }),
  ),
);

// ---- Fan curves

/** One point of a fan curve. */
export interface CurvePoint<F extends Form = "parsed"> {
  /** [m³/s] */
  readonly flow: Quantified<F>;
  /** [Pa] */
  readonly pressure: Quantified<F>;
  /** Electrical input [W] */
  readonly power?: Quantified<F>;
  /** Air power over electrical input, of the total pressure [-] */
  readonly efficiency?: Quantified<F>;
}
/** A fan curve at its speed 1. */
export type CurvePart<F extends Form = "parsed"> = {
  readonly pressureKind: "total" | "static" | "staticDifference";
  /** Needed for `staticDifference`. */
  readonly inlet?: SectionPart<F>;
  /** Needed for `static` and `staticDifference`. */
  readonly outlet?: SectionPart<F>;
  readonly points: readonly CurvePoint<F>[];
} & Preset<
  F,
  {
    /** [kg/m³] */
    readonly density: Quantified<F>;
    /** Whether the curve is the fan's own or what a whole unit offers to its ducts. */
    readonly of: "fan" | "unit";
    /** Of the controls, whatever the speed [W] */
    readonly standbyPower: Quantified<F>;
  }
>;

/** A fan curve. */
export const curve: Field<CurvePart, CurvePart<"written">> = exactly<CurvePart, CurvePart<"written">>()(
  object({
    pressureKind: choice(["total", "static", "staticDifference"]),
    density: preset(quantity("density", positive), 1.2),
    inlet: optional(section),
    outlet: optional(section),
    of: preset(choice(["fan", "unit"]), "fan" as const),
    points: list(
      object({
        flow: quantity("flow", notNegative),
        pressure: quantity("pressure"),
        power: optional(quantity("power", notNegative)),
        efficiency: optional(quantity("fraction", { min: 0, max: 1 })),
      }),
      2,
    ),
    standbyPower: preset(quantity("power", notNegative), 0),
  }),
);
