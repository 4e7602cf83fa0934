import {
  type AnyField,
  about,
  anything,
  byKind,
  choice,
  count,
  type Defaulted,
  exactly,
  type Field,
  forms,
  list,
  named,
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
} from "../../input/fields.js";
import { type CataloguedFitting, catalogueFields } from "./catalogue.js";
import type { Form, Preset, Quantified } from "./forms.js";

/** The words that ids are made of; ids hold no dots, so that paths can. */
export const idPattern: RegExp = /^[A-Za-z0-9][A-Za-z0-9_-]*$/;

/** The id of a node, a duct or an opening. */
export const id = (): Field<string> =>
  textLike(idPattern, "id.form", "an id of letters, digits, '-' and '_', beginning with a letter or digit");

/** An id, or an id with a port or a stream. */
export const endPattern: RegExp = /^[A-Za-z0-9][A-Za-z0-9_-]*(\.[A-Za-z]+)?$/;

/** Where a duct may end. */
export const end = (): TextField => textLike(endPattern, "end.form", "a node's id, or its port such as 'unit.supply'");

/** `label` and `meta`. */
export const labels = (): { label: Optional<TextField>; meta: Optional<AnyField> } => ({
  label: about("A name for people; ignored.", optional(text())),
  meta: about("Any JSON; kept, but ignored.", optional(anything())),
});

/** `elevation`, 0 where it is not given. */
export const elevation = (): Defaulted<QuantityField> =>
  about("Height above the reference level of the building.", preset(quantity("length"), 0));

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
  named(
    "section",
    "The clear section of a duct or spigot: round, rectangular or flat-oval.",
    forms(
      object({ diameter: side() }),
      object({ width: side(), height: side() }),
      object({ shape: word("flatOval"), width: side(), height: side() }),
    ),
  ),
);

// ---- Air

/** Air by its density. */
export type AirByDensity<F extends Form = "parsed"> = {
  /** [kg/m³] */
  readonly density: Quantified<F>;
} & Preset<F, { /** [Pa·s] */ readonly viscosity: Quantified<F> }>;

/** Air by its temperature. If neither pressure nor altitude is given, the network's air gives them. */
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
  named(
    "air",
    "Air, given by its density or by its temperature. Pressure and altitude default to those in the network's `air`.",
    forms(
      object({
        density: quantity("density", positive),
        viscosity: about("Dynamic.", preset(quantity("viscosity", positive), 1.81e-5)),
      }),
      object({
        temperature: about("Dry-bulb.", quantity("temperature", { min: -60, max: 100 })),
        pressure: about(
          "Absolute; not together with `altitude`.",
          optional(quantity("pressure", { min: 30_000, max: 120_000 })),
        ),
        altitude: about(
          "Above sea level, for the pressure of the standard atmosphere; 0 if no pressure or altitude is given anywhere.",
          optional(quantity("length", { min: -1000, max: 9000 })),
        ),
        relativeHumidity: preset(quantity("fraction", { min: 0, max: 1 }), 0),
      }),
    ),
  ),
);

// ---- Ratings

type Rated<F extends Form, Kinds extends "total" | "static"> = {
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
    readonly pressureKind: Kinds;
  }
>;

/** A loss of total pressure at a flow, with the exponent by which it follows the flow. */
export type RatingPart<F extends Form = "parsed"> = Rated<F, "total">;
/** The same of a terminal, or the static pressure in its duct. */
export type TerminalRatingPart<F extends Form = "parsed"> = Rated<F, "total" | "static">;

const exponent = () =>
  about("Exponent of the flow in the loss: 1 laminar, 2 turbulent.", preset(number({ min: 1, max: 2 }), 2));

const ratedShape = () => ({
  pressure: about("Loss at `flow`.", quantity("pressure", notNegative)),
  flow: quantity("flow", positive),
  exponent: exponent(),
  density: about("Of the air at the rating.", preset(quantity("density", positive), 1.2)),
  viscosity: about("Of the air at the rating.", preset(quantity("viscosity", positive), 1.81e-5)),
});

const ratingShape = () => ({
  ...ratedShape(),
  pressureKind: about(
    "Always a loss of total pressure: the loss of static pressure depends on the sections upstream and downstream. Between equal sections both losses are equal.",
    preset(choice(["total"]), "total" as const),
  ),
});

const terminalRatingShape = () => ({
  ...ratedShape(),
  pressureKind: about(
    "Whether `pressure` is a loss of total pressure or the static pressure in its duct.",
    preset(choice(["total", "static"]), "total" as const),
  ),
});

/** A rating. */
export const rating: Field<RatingPart, RatingPart<"written">> = exactly<RatingPart, RatingPart<"written">>()(
  named("rating", "A pressure loss at a flow, and how it follows the flow.", object(ratingShape())),
);

/** A rated part of an air handler. */
export type ComponentPart<F extends Form = "parsed"> = RatingPart<F> & {
  readonly name: string;
  /** Loss when clean [Pa]; default `pressure`. */
  readonly clean?: Quantified<F>;
  /** Loss while the unit is in bypass [Pa]; default `pressure`. */
  readonly bypassed?: Quantified<F>;
};

/** A component of an air handler. */
export const component: Field<ComponentPart, ComponentPart<"written">> = exactly<
  ComponentPart,
  ComponentPart<"written">
>()(
  named(
    "component",
    "A rated part of an air handler: a filter, a heat exchanger, the casing.",
    object({
      name: about("Unique within the stream.", text()),
      clean: about(
        "Loss when clean, at most `pressure`. Default: `pressure`.",
        optional(quantity("pressure", notNegative)),
      ),
      bypassed: about(
        "Loss at `flow` while the unit is in bypass, for example of an exchanger that the air bypasses. Default: `pressure`.",
        optional(quantity("pressure", notNegative)),
      ),
      ...ratingShape(),
    }),
  ),
);

/** A loss coefficient on the velocity pressure in a section. */
export interface CoefficientLoss<F extends Form = "parsed"> {
  /** On ½ρv² [-] */
  readonly coefficient: number;
  /** Default: the sections of all its ducts together, with all their runs. */
  readonly section?: SectionPart<F>;
}
/** What a terminal loses, in one of two forms. */
export type LossPart<F extends Form = "parsed"> = TerminalRatingPart<F> | CoefficientLoss<F>;

/** A terminal's loss. */
export const loss: Field<LossPart, LossPart<"written">> = exactly<LossPart, LossPart<"written">>()(
  named(
    "loss",
    "What a terminal loses between its duct and the still room: a rating, or a coefficient.",
    forms(
      object(terminalRatingShape()),
      object({
        coefficient: about("On the velocity pressure of the terminal's whole flow in `section`.", number(notNegative)),
        section: about("Default: the sections of all its ducts together, with all their runs.", optional(section)),
      }),
    ),
  ),
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
  named(
    "frictionRating",
    "The friction of a duct as its maker gives it, for air of 1.2 kg/m³ and 1.81e-5 Pa·s.",
    object({
      pressure: about("Loss over `length` at `flow`.", quantity("pressure", notNegative)),
      length: quantity("length", positive),
      flow: about("Of one run.", quantity("flow", positive)),
      exponent: exponent(),
    }),
  ),
);

// ---- Fittings in a duct

/** A fitting with a known coefficient. */
export type FixedFitting<F extends Form = "parsed"> = {
  readonly kind: "fixed";
  /** On ½ρv² of the duct [-] */
  readonly coefficient: number;
} & Preset<F, { readonly count: number }>;
/** A fitting or piece of equipment with a rated loss. */
export type RatedFitting<F extends Form = "parsed"> = { readonly kind: "rating" } & RatingPart<F> &
  Preset<F, { readonly count: number }>;
/** What a constant-flow regulator holds, and between which pressures. */
export type RegulatorPart<F extends Form = "parsed"> = {
  /** That it holds; in a duct of several runs, in each [m³/s] */
  readonly flow: Quantified<F>;
  /** From which it holds its flow [Pa] */
  readonly minPressure: Quantified<F>;
  /** Up to which it holds its flow [Pa] */
  readonly maxPressure: Quantified<F>;
} & Preset<
  F,
  {
    /** Share of the flow by which it drifts from the middle of its band to either end [-] */
    readonly accuracy: Quantified<F>;
  }
>;
/** A constant-flow regulator in a duct. */
export type RegulatorFitting<F extends Form = "parsed"> = { readonly kind: "regulator" } & RegulatorPart<F> &
  Preset<F, { readonly count: number }>;
/** A fitting on each run of a duct: with a known coefficient, with a rating, or of the catalogue. */
export type FittingPart<F extends Form = "parsed"> =
  | FixedFitting<F>
  | RatedFitting<F>
  | RegulatorFitting<F>
  | (CataloguedFitting<F> & Preset<F, { readonly count: number }>);

const regulatorShape = () => ({
  flow: about("The flow that it holds; in a duct of several runs, in each.", quantity("flow", positive)),
  minPressure: about(
    "Pressure from which it holds its flow; below that it is fully open.",
    quantity("pressure", positive),
  ),
  maxPressure: about("Pressure up to which it holds its flow.", quantity("pressure", positive)),
  accuracy: about(
    "Share of its flow by which it drifts from the middle of its band to either end.",
    preset(quantity("fraction", { min: 0.005, max: 0.3 }), 0.05),
  ),
});

/** A constant-flow regulator at a terminal. */
export const regulator: Field<RegulatorPart, RegulatorPart<"written">> = exactly<
  RegulatorPart,
  RegulatorPart<"written">
>()(
  named(
    "regulator",
    "A constant-flow regulator: fully open below its pressure band, holding its flow within it, as far shut as it goes above it.",
    object(regulatorShape()),
  ),
);

const counted = () => ({ count: about("How many of them, one after another.", preset(count(), 1)) });

/** A fitting; the fields of the catalogue are made from its data, and their types stand in CataloguedFitting. */
export const fitting: Field<FittingPart, FittingPart<"written">> = named(
  "fitting",
  "A fitting on each run of a duct.",
  byKind(
    "a fitting",
    about(
      "A fitting with a known coefficient.",
      object({
        kind: word("fixed"),
        coefficient: about("On the velocity pressure in the duct.", number(notNegative)),
        ...counted(),
      }),
    ),
    about(
      "A fitting or a piece of equipment with a rated loss.",
      object({ kind: word("rating"), ...ratingShape(), ...counted() }),
    ),
    about(
      "A constant-flow regulator: fully open below its pressure band, holding its flow within it, as far shut as it goes above it.",
      object({ kind: word("regulator"), ...regulatorShape(), ...counted() }),
    ),
    ...catalogueFields("duct", counted),
  ),
) as unknown as Field<FittingPart, FittingPart<"written">>;

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
type CurveBasis<F extends Form> = {
  readonly pressureKind: "total" | "static" | "staticDifference";
  /** Needed for `staticDifference`. */
  readonly inlet?: SectionPart<F>;
  /** Needed for `static` and `staticDifference`. */
  readonly outlet?: SectionPart<F>;
} & Preset<
  F,
  {
    /** [kg/m³] */
    readonly density: Quantified<F>;
    /** Whether the curve is the fan's own or what a whole unit offers to its ducts. */
    readonly of: "fan" | "unit";
    /** Of the controls, at any speed [W] */
    readonly standbyPower: Quantified<F>;
  }
>;

/** The points of a fan curve at one of several speeds or settings. */
export interface CurveSpeed<F extends Form = "parsed"> {
  /** In the unit of the fan's `speed`; in all of them or, where each has a `setting`, in none. */
  readonly speed?: number;
  /** What the setting is called. */
  readonly setting?: string;
  readonly points: readonly CurvePoint<F>[];
}

/** A fan curve: points at its speed 1, points at several speeds, or a polynomial at its speed 1. */
export type CurvePart<F extends Form = "parsed"> = CurveBasis<F> &
  (
    | { readonly points: readonly CurvePoint<F>[] }
    | { readonly speeds: readonly CurveSpeed<F>[] }
    | {
        /** Of pressure, by rising powers of flow [Pa, Pa per m³/s, …] */
        readonly coefficients: readonly number[];
        /** Of electrical input [W, W per m³/s, …] */
        readonly powerCoefficients?: readonly number[];
        /** Lowest flow at which it holds [m³/s] */
        readonly from: Quantified<F>;
        /** Highest flow at which it holds [m³/s] */
        readonly to: Quantified<F>;
      }
  );

const curveProvenance = () => ({
  pressureKind: about(
    "Total: p_t,out − p_t,in; static: p_s,out − p_t,in; staticDifference: p_s,out − p_s,in.",
    choice(["total", "static", "staticDifference"]),
  ),
  density: about("Density of the air at the points.", preset(quantity("density", positive), 1.2)),
  inlet: about("Section in which p_s,in is measured; needed for staticDifference.", optional(section)),
  outlet: about("Section in which p_s,out is measured; needed for static and staticDifference.", optional(section)),
  of: about(
    "Whether the points are the fan's own or what a whole unit offers to its ducts.",
    preset(choice(["fan", "unit"]), "fan" as const),
  ),
  standbyPower: about("Electrical input at any speed.", preset(quantity("power", notNegative), 0)),
});

const curvePoints = () =>
  about(
    "Flows rise strictly; power or efficiency in all points or in none; the pressure falls at the last point.",
    list(
      object({
        flow: quantity("flow", notNegative),
        pressure: about("Of the kind given by `pressureKind`.", quantity("pressure")),
        power: about("Electrical input, without `standbyPower`.", optional(quantity("power", notNegative))),
        efficiency: about(
          "Flow times total pressure, divided by that electrical input.",
          optional(quantity("fraction", { min: 0, max: 1 })),
        ),
      }),
      2,
    ),
  );

/** A fan curve. */
export const curve: Field<CurvePart, CurvePart<"written">> = exactly<CurvePart, CurvePart<"written">>()(
  named(
    "curve",
    "A fan curve as its maker publishes it: points at one speed or at several, or a polynomial.",
    forms(
      object({ ...curveProvenance(), points: curvePoints() }),
      object({
        ...curveProvenance(),
        speeds: about(
          "Curves at several speeds, which rise strictly; the fan's `speed` is in their unit.",
          list(
            object({
              speed: about(
                "In any unit, the same for all. Leave it out of all curves if only settings are known: the speeds are then found from the curves, 1 for the last.",
                optional(number(positive)),
              ),
              setting: about("What the setting is called, for the fan's `setting`.", optional(text())),
              points: curvePoints(),
            }),
            2,
          ),
        ),
      }),
      object({
        ...curveProvenance(),
        coefficients: about("Of pressure [Pa], by rising powers of flow in m³/s.", list(number({}), 2, 9)),
        powerCoefficients: about("Of electrical input [W], likewise.", optional(list(number({}), 1, 9))),
        from: about("Lowest flow at which it holds.", quantity("flow", notNegative)),
        to: about("Highest flow at which it holds.", quantity("flow", positive)),
      }),
    ),
  ),
);
