/*
 * A document as the evaluator reads it: numbers in SI, with the defaults filled in or left out. The types are wider than
 * those of the library, so that a parsed network fits them as well as a document written by hand.
 */

export interface PlainAir {
  readonly density?: number;
  readonly viscosity?: number;
  readonly temperature?: number;
  readonly pressure?: number;
  readonly altitude?: number;
  readonly relativeHumidity?: number;
}

export interface PlainSection {
  readonly diameter?: number;
  readonly width?: number;
  readonly height?: number;
  readonly shape?: string;
}

export interface PlainRating {
  readonly pressure: number;
  readonly flow: number;
  readonly exponent?: number;
  readonly density?: number;
  readonly viscosity?: number;
}

export interface PlainComponent extends PlainRating {
  readonly name: string;
  readonly clean?: number;
}

/** A rating, or a coefficient on a section. */
export interface PlainLoss extends Partial<PlainRating> {
  readonly pressureKind?: string;
  readonly coefficient?: number;
  readonly section?: PlainSection;
}

export interface PlainFitting extends Partial<PlainRating> {
  readonly kind: string;
  readonly coefficient?: number;
  readonly count?: number;
}

/** What a constant-flow regulator holds. */
export interface PlainRegulator {
  readonly flow: number;
  readonly minPressure: number;
  readonly maxPressure: number;
  readonly accuracy?: number;
}

/** A kind of the catalogue with its parameters. */
export interface PlainForm {
  readonly kind: string;
}

export interface PlainDuct {
  readonly id: string;
  readonly from: string;
  readonly to: string;
  readonly length: number;
  readonly section: PlainSection;
  readonly roughness?: number;
  readonly equivalent?: string;
  readonly frictionFactor?: number;
  readonly frictionRating?: PlainRating & { readonly length: number };
  readonly parallel?: number;
  readonly air?: PlainAir;
  readonly fittings?: readonly PlainFitting[];
  readonly entry?: number;
  readonly compression?: number;
  readonly backdraught?: boolean;
}

export interface PlainOpening {
  readonly id: string;
  readonly from: string;
  readonly to: string;
  readonly elevation?: number;
  readonly coefficient?: number;
  readonly exponent?: number;
  readonly area?: number;
  readonly dischargeCoefficient?: number;
}

export interface PlainCurve {
  readonly pressureKind: string;
  readonly density?: number;
  readonly inlet?: PlainSection;
  readonly outlet?: PlainSection;
  readonly of?: string;
  readonly controlsPower?: number;
  readonly points?: readonly PlainPoint[];
  /** In place of points: points at several speeds. */
  readonly speeds?: readonly {
    readonly speed?: number;
    readonly setting?: string;
    readonly points: readonly PlainPoint[];
  }[];
  /** In place of points: a polynomial of pressure. */
  readonly coefficients?: readonly number[];
  readonly from?: number;
  readonly to?: number;
}

export interface PlainPoint {
  readonly flow: number;
  readonly pressure: number;
  readonly power?: number;
  readonly efficiency?: number;
}

/** A sensor inside a duct or at a node. */
export interface PlainSensor {
  readonly duct?: string;
  readonly at?: "inlet" | "outlet";
  readonly node?: string;
}

/** What is held by changing the speed of a fan. */
export interface PlainControl {
  readonly kind: string;
  readonly flow?: number;
  readonly pressure?: number;
  readonly sensor?: PlainSensor;
  readonly against?: PlainSensor;
  readonly pressureKind?: string;
  readonly to?: string;
  readonly ratio?: number;
  readonly minSpeed?: number;
  readonly maxSpeed?: number;
}

/** Output over input: one number, or over the load. */
export type PlainEfficiency =
  | number
  | {
      readonly ratedOutput: number;
      readonly points: readonly { readonly load: number; readonly efficiency: number }[];
    };

export interface PlainFan {
  readonly control?: PlainControl;
  readonly chain?: {
    readonly transmission?: PlainEfficiency;
    readonly motor: PlainEfficiency;
    readonly controller?: PlainEfficiency;
  };
  readonly speed?: number;
  readonly setting?: string;
  readonly stopped?: PlainRating;
  readonly curve?: PlainCurve;
  readonly motorOutside?: boolean;
}

export interface PlainStream {
  readonly fan: PlainFan;
  readonly fanAt?: string;
  readonly components?: readonly PlainComponent[];
  readonly includes?: readonly string[];
}

/** A node of any kind; `kind` says which keys count. */
export interface PlainNode extends PlainFan {
  readonly id: string;
  readonly kind: string;
  readonly elevation?: number;
  readonly pressure?: number;
  readonly entry?: number;
  readonly exit?: number;
  readonly coefficient?: number;
  readonly section?: PlainSection;
  readonly air?: PlainAir;
  readonly inflow?: number;
  readonly service?: string;
  readonly loss?: PlainLoss;
  readonly regulator?: PlainRegulator;
  readonly room?: string;
  readonly box?: boolean;
  readonly designFlow?: number;
  readonly supply?: PlainStream;
  readonly extract?: PlainStream;
  readonly end?: PlainForm;
  readonly area?: number;
  readonly form?: PlainForm;
  readonly angle?: number;
  readonly model?: string;
  readonly main?: PlainSection;
  readonly edgeRadius?: number;
  readonly state?: string;
  readonly exchanger?: { readonly efficiency: number };
  readonly frost?: { readonly below: number; readonly preheater?: number };
}

export interface PlainNetwork {
  readonly air?: PlainAir;
  readonly outdoorAir?: PlainAir;
  readonly friction?: string;
  readonly nodes: readonly PlainNode[];
  readonly ducts?: readonly PlainDuct[];
  readonly openings?: readonly PlainOpening[];
}
