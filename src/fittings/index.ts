export { InputError, type Problem } from "../core/errors.js";
export type { Range } from "../core/ranges.js";
export type { Source, SourceStatus } from "../core/sources.js";
export { compressionCovered, compressionFactor, compressionSources } from "../ducts/flexible.js";
export type { FlatOvalSection, RectangularSection, RoundSection, Section } from "../ducts/section.js";
export { type BendParameters, bend } from "./bends.js";
export { type CatalogueEntry, catalogue } from "./catalogue.js";
export { coefficientOf, type FittingCoefficient, type FittingState, type GivenParameters } from "./coefficient.js";
export {
  type DamperParameters,
  damper,
  fireDamper,
  type IrisDamperParameters,
  type IrisSetting,
  irisDamper,
  type MultiBladeDamperParameters,
  multiBladeDamper,
  type OpenDamperParameters,
  shutOffDamper,
} from "./dampers.js";
export { attenuator, coil, exchanger, type FilterParameters, filter } from "./equipment.js";
export type * from "./fitting.js";
export { type MitredBendParameters, mitredBend } from "./mitred-bends.js";
export { type PressedBendParameters, pleatedBend, pressedBend } from "./pressed-bends.js";
export type { ReynoldsFactor } from "./reynolds.js";
export { type SegmentedBendParameters, segmentedBend } from "./segmented-bends.js";
