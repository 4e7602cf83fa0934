import { unknownName } from "../core/nearest.js";
import type { Range } from "../core/ranges.js";
import type { Source } from "../core/sources.js";
import { type BendParameters, bend } from "./bends.js";
import {
  fireDamper,
  type IrisDamperParameters,
  irisDamper,
  type MultiBladeDamperParameters,
  multiBladeDamper,
  type OpenDamperParameters,
  type SingleBladeDamperParameters,
  shutOffDamper,
  singleBladeDamper,
} from "./dampers.js";
import {
  type BellmouthEndParameters,
  bellmouthEnd,
  cowl,
  flushEnd,
  type ProjectingEndParameters,
  projectingEnd,
} from "./ends.js";
import { attenuator, coil, exchanger, type FilterParameters, filter } from "./equipment.js";
import type {
  ChoiceParameter,
  Equipment,
  EquipmentRating,
  Fitting,
  NumberParameter,
  Shape,
  Spread,
  TableParameter,
} from "./fitting.js";
import { type MitredBendParameters, mitredBend } from "./mitred-bends.js";
import { type PressedBendParameters, pleatedBend, pressedBend } from "./pressed-bends.js";
import { grille, type LouvreParameters, louvre, perforatedPlate, type ScreenParameters, wireMesh } from "./screens.js";
import { type SegmentedBendParameters, segmentedBend } from "./segmented-bends.js";
import {
  abruptTransition,
  type ConicalTransitionParameters,
  conicalTransition,
  rectangularTransition,
  roundToRectangular,
  type TransitionLengthParameters,
} from "./transitions.js";

/** The parameters of what may stand in a duct, by kind. */
export interface DuctFittings {
  bend: BendParameters;
  pressedBend: PressedBendParameters;
  pleatedBend: PressedBendParameters;
  segmentedBend: SegmentedBendParameters;
  mitredBend: MitredBendParameters;
  singleBladeDamper: SingleBladeDamperParameters;
  multiBladeDamper: MultiBladeDamperParameters;
  irisDamper: IrisDamperParameters;
  fireDamper: OpenDamperParameters;
  shutOffDamper: OpenDamperParameters;
  filter: FilterParameters;
  coil: EquipmentRating;
  attenuator: EquipmentRating;
  exchanger: EquipmentRating;
}

/** The parameters of what joins two sections, by kind. */
export interface Transitions {
  abrupt: object;
  conical: ConicalTransitionParameters;
  tapered: TransitionLengthParameters;
  roundToRectangular: TransitionLengthParameters;
}

/** The parameters of what a duct ends with outdoors, by kind. */
export interface Ends {
  flush: object;
  projecting: ProjectingEndParameters;
  bellmouth: BellmouthEndParameters;
  louvre: LouvreParameters;
  grille: ScreenParameters;
  perforatedPlate: ScreenParameters;
  wireMesh: ScreenParameters;
  cowl: EquipmentRating;
}

/** Every fitting and piece of equipment by kind; a new one is a line here and one in the list of its place above. */
export const fittings: readonly (Fitting<object> | Equipment<object>)[] = [
  bend,
  pressedBend,
  pleatedBend,
  segmentedBend,
  mitredBend,
  abruptTransition,
  conicalTransition,
  rectangularTransition,
  roundToRectangular,
  flushEnd,
  projectingEnd,
  bellmouthEnd,
  louvre,
  grille,
  perforatedPlate,
  wireMesh,
  singleBladeDamper,
  multiBladeDamper,
  irisDamper,
  fireDamper,
  shutOffDamper,
  filter,
  coil,
  attenuator,
  exchanger,
  cowl,
];

/** A fitting as plain data, which JSON can hold. */
export interface CatalogueEntry {
  /** A plain trade word, as a document writes it. */
  readonly kind: string;
  readonly family: "bends" | "transitions" | "ends" | "dampers" | "equipment";
  /** Where it stands: in a duct, at the end of one at the outdoors, or between two sections. */
  readonly place: "duct" | "end" | "transition";
  /** One sentence for people. */
  readonly meaning: string;
  readonly parameters: Readonly<Record<string, NumberParameter | ChoiceParameter | TableParameter>>;
  /** Sections for which there is a model; absent for equipment, whose rating holds in any. */
  readonly shapes?: readonly Shape[];
  /** The velocity pressure to which coefficients refer, in words; absent for equipment. */
  readonly reference?: string;
  readonly sources: readonly Source[];
  /** Reynolds numbers that the source covers [-] */
  readonly reynolds?: Range;
  readonly spread: Spread;
  /** What a designer must be told where it can hurt someone. */
  readonly caution?: string;
}

/**
 * Every fitting and piece of equipment as data: what it is, its parameters with quantity, range and preset, the sections
 * it is known for, its sources and their status, its spread.
 *
 * @returns The entries as plain data, family by family, a new copy each time; ranges in SI [m, m², m³/s, Pa, rad].
 * @throws Nothing.
 *
 * Source: each entry's own `sources`.
 * @example catalogue().map(({ kind }) => kind);
 */
export function catalogue(): readonly CatalogueEntry[] {
  // JSON leaves out what is no data: the laws.
  return JSON.parse(JSON.stringify(fittings)) as CatalogueEntry[];
}

/**
 * The fitting or piece of equipment of a kind, as a document names it. It brings the whole catalogue along; if you know
 * the kind beforehand, import it by that name.
 *
 * @param kind - A plain trade word, such as `bend`.
 * @returns The object of that kind, plain data [SI] with its law.
 * @throws InputError `unknown-fitting`, with the nearest known kind.
 *
 * Source: the fitting's own `sources`.
 * @example fittingOf("bend").family; // "bends"
 */
export function fittingOf(kind: string): Fitting<object> | Equipment<object> {
  const found = fittings.find((fitting) => fitting.kind === kind);
  if (found !== undefined) return found;
  throw unknownName(
    "fitting",
    "kind",
    kind,
    fittings.map((fitting) => fitting.kind),
  );
}
