import type { Range } from "../core/ranges.js";
import type { Source } from "../core/sources.js";
import type { Section } from "../ducts/geometry.js";
import type { ReynoldsFactor } from "./reynolds.js";

/** A number by which a fitting is described. */
export interface NumberParameter {
  /** What it measures, in the words of a document's quantities; `number` has no unit. */
  readonly quantity:
    | "length"
    | "angle"
    | "area"
    | "fraction"
    | "flow"
    | "pressure"
    | "density"
    | "viscosity"
    | "number";
  /** One sentence for people. */
  readonly meaning: string;
  /** Values that can be [SI]; others are an error. */
  readonly range: Range;
  /** Values that the source covers [SI]; others are computed all the same, flagged and warned. Default: `range`. */
  readonly covered?: Range;
  /** The value where none is given [SI]; without a preset, and unless optional, one must be given. */
  readonly preset?: number;
  readonly optional?: true;
}

/** One of a few words by which a fitting is described. */
export interface ChoiceParameter {
  readonly meaning: string;
  readonly choices: readonly string[];
  readonly preset: string;
}

/** A table of the user's own by which a fitting is described: two or more rows, the first column strictly rising. */
export interface TableParameter {
  readonly meaning: string;
  readonly columns: Readonly<Record<string, NumberParameter>>;
}

/** The description of each parameter of P. */
export type ParametersOf<P> = {
  readonly [K in keyof P]-?: NonNullable<P[K]> extends number
    ? NumberParameter
    : NonNullable<P[K]> extends string
      ? ChoiceParameter
      : TableParameter;
};

/** The form of a section. */
export type Shape = "round" | "rectangular" | "flatOval";

/** How far published models and measurements lie from a coefficient, as a fraction of it [-]. */
export interface Spread {
  /** The source that its values share: an error of it moves all of them together. */
  readonly family: string;
  /** Half width of the error that all fittings of the family share [-]. */
  readonly shared: number;
  /** Half width of the error that each fitting has for itself [-]. */
  readonly own: number;
}

/** A loss coefficient for one direction of the flow. */
export interface Law {
  /** At high Reynolds numbers, in excess of the friction of the length along centre lines to where axes meet [-] */
  readonly coefficient: number;
  /** By Reynolds number, of the true velocity and hydraulic diameter in the reference section; absent: none. */
  readonly factor?: ReynoldsFactor;
}

/** A value outside what a source covers. */
export interface Outside {
  /** The parameter, or what else: "aspect ratio", "diameter", "area ratio". */
  readonly what: string;
  /** [SI] */
  readonly value: number;
  /** [SI] */
  readonly range: Range;
}

/** The pressure drop of a fitting of a certain geometry. */
export interface Laws {
  /** Air that goes along: through the duct, into the duct at its end, from a to b of a transition. */
  readonly forward: Law;
  /** Air that goes the other way: the same in a duct, out of the duct at its end. */
  readonly backward: Law;
  /** The area of the reference velocity of the whole flow [m²], where it is not the duct's or the smaller section's. */
  readonly area?: number;
  /** The published model by name: author and year or diagram. */
  readonly model: string;
  /** What lies outside the source's range; empty where nothing does. */
  readonly outside: readonly Outside[];
  /** Reynolds numbers that are covered, where they are not the fitting's own. */
  readonly reynolds?: Range;
  /** Where it is not the fitting's own: wider for bends that follow closely, for instance. */
  readonly spread?: Spread;
  /** Something that the reader should know of this geometry. */
  readonly note?: string;
  /** The velocity on `area` above which the fitting does badly [m/s], and why. */
  readonly fastest?: { readonly velocity: number; readonly why: string };
}

/** A fault of a geometry that cannot be, which shows only between parameters and sections. */
export interface GeometryFault {
  /** The parameter at fault; the empty text for the section. */
  readonly key: string;
  readonly expected: string;
  readonly found: string;
}

/**
 * A fitting with a published loss coefficient: what it is, how it is described, where its values come from, and the
 * coefficient as a pure function of geometry.
 */
export interface Fitting<P extends object = Record<string, never>> {
  /** A plain trade word. */
  readonly kind: string;
  readonly family: "bends" | "transitions" | "ends" | "dampers";
  /** Where it stands: in a duct, at the end of one at the outdoors, or between two sections. */
  readonly place: "duct" | "end" | "transition";
  /** One sentence for people. */
  readonly meaning: string;
  readonly parameters: ParametersOf<P>;
  /** Sections for which there is a model. */
  readonly shapes: readonly Shape[];
  /** The velocity pressure to which coefficients refer, in words. */
  readonly reference: string;
  readonly sources: readonly Source[];
  /** Reynolds numbers that the source covers [-]; outside, the coefficient is held and flagged. */
  readonly reynolds?: Range;
  readonly spread: Spread;
  /** What a designer must be told where it can hurt someone. */
  readonly caution?: string;
  /** Faults that show only between parameters and sections. */
  faults?(parameters: P, section: Section, other?: Section): readonly GeometryFault[];
  /**
   * The coefficients of a geometry without faults.
   *
   * @param section - The duct's; of a transition that at its port a [m].
   * @param other - Of a transition, that at its port b [m].
   */
  laws(parameters: P, section: Section, other?: Section): Laws;
}

/** A loss pressure at a flow, by which it goes on with a power of the flow: Δp = pressure·(q/flow)^exponent. */
export interface EquipmentRating {
  /** Loss of total pressure at `flow` [Pa] */
  readonly pressure: number;
  /** [m³/s] */
  readonly flow: number;
  /** 1 laminar to 2 turbulent [-] */
  readonly exponent: number;
  /** Of the air at the rating [kg/m³] */
  readonly density: number;
  /** Of the air at the rating [Pa·s] */
  readonly viscosity: number;
}

/** A piece of equipment in a duct, whose loss is the maker's rating. */
export interface Equipment<P extends object = Record<string, never>> {
  readonly kind: string;
  readonly family: "equipment";
  readonly place: "duct" | "end";
  readonly meaning: string;
  readonly parameters: ParametersOf<P>;
  readonly sources: readonly Source[];
  readonly spread: Spread;
  readonly caution?: string;
  faults?(parameters: P): readonly GeometryFault[];
  rating(parameters: P): EquipmentRating;
}
