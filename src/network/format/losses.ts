import { notNegative, positive } from "../../core/ranges.js";
import {
  about,
  byKind,
  choice,
  count,
  exactly,
  type Field,
  forms,
  named,
  number,
  object,
  optional,
  preset,
  quantity,
  text,
  word,
} from "../../input/fields.js";
import { type CataloguedFitting, catalogueFields } from "./catalogue.js";
import type { Form, Preset, Quantified } from "./forms.js";
import { type SectionPart, section } from "./section.js";

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
    /** Whether `pressure` is the loss of total pressure or the static pressure in the duct at a terminal. */
    readonly pressureKind: Kinds;
  }
>;

/** A loss of total pressure at a flow, with the exponent by which it follows the flow. */
export type RatingPart<F extends Form = "parsed"> = Rated<F, "total">;
/** The same of a terminal, or the static pressure in its duct. */
export type TerminalRatingPart<F extends Form = "parsed"> = Rated<F, "total" | "static"> & {
  /** In which it was measured; default: the sections of all its ducts together, with all their runs. */
  readonly section?: SectionPart<F>;
};

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
  section: about(
    "Section in which it was measured. Default: the sections of all its ducts together, with all their runs.",
    optional(section),
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
/** Pressure drop of a terminal, in one of two forms. */
export type LossPart<F extends Form = "parsed"> = TerminalRatingPart<F> | CoefficientLoss<F>;

/** A terminal's loss. */
export const loss: Field<LossPart, LossPart<"written">> = exactly<LossPart, LossPart<"written">>()(
  named(
    "loss",
    "Pressure drop of a terminal between its duct and the still room: a rating, or a coefficient.",
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
