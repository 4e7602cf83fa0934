export { InputError, type Problem } from "../core/errors.js";
export type { Range } from "../core/ranges.js";
export type { Source, SourceStatus } from "../core/sources.js";
export { compressionCovered, compressionFactor, compressionSources } from "../ducts/flexible.js";
export type { FlatOvalSection, RectangularSection, RoundSection, Section } from "../ducts/section.js";
export type { CubicCurve } from "../numerics/interpolation.js";
export { type BendParameters, bend } from "./bends.js";
export { boxInletLoss, boxOutletLoss } from "./boxes.js";
export { type CatalogueEntry, catalogue, fittingOf } from "./catalogue.js";
export { coefficientOf, type FittingCoefficient, type FittingState, type GivenParameters } from "./coefficient.js";
export {
  fireDamper,
  type IrisDamperParameters,
  type IrisSetting,
  irisDamper,
  type MultiBladeDamperParameters,
  multiBladeDamper,
  type OpenDamperParameters,
  type SingleBladeDamperParameters,
  shutOffDamper,
  singleBladeDamper,
} from "./dampers.js";
export {
  type BellmouthEndParameters,
  bellmouthEnd as bellmouth,
  cowl,
  flushEnd as flush,
  type ProjectingEndParameters,
  projectingEnd as projecting,
} from "./ends.js";
export { attenuator, coil, exchanger, type FilterParameters, filter } from "./equipment.js";
export type * from "./fitting.js";
export { type MitredBendParameters, mitredBend } from "./mitred-bends.js";
export { type PressedBendParameters, pleatedBend, pressedBend } from "./pressed-bends.js";
export type { ReynoldsFactor } from "./reynolds.js";
export {
  grille,
  type LouvreParameters,
  louvre,
  perforatedPlate,
  type ScreenParameters,
  wireMesh,
} from "./screens.js";
export { type SegmentedBendParameters, segmentedBend } from "./segmented-bends.js";
export { type TeeCoefficients, type TeeForm, teeCoefficients } from "./tees/coefficients.js";
export type { TeeModelName, TeeSpread } from "./tees/model.js";
export {
  abruptTransition as abrupt,
  type ConicalTransitionParameters,
  conicalTransition as conical,
  rectangularTransition as tapered,
  roundToRectangular,
  type TransitionLengthParameters,
} from "./transitions.js";
