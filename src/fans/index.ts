export { InputError, type Problem } from "../core/errors.js";
export type { FlatOvalSection, RectangularSection, RoundSection, Section } from "../ducts/section.js";
export {
  type DriveChain,
  electricalPower,
  fanInput,
  type PartEfficiency,
  type PartLoadEfficiency,
  type PowerChain,
  type PowerTerms,
} from "./chain.js";
export type { FanCurve, FanCurveBasis, FanPoint, FanPressureKind } from "./curve.js";
export type { FanFamily, FanSpeed } from "./family.js";
export {
  type FamilyDeviation,
  type FamilyFan,
  type FanFamilyModel,
  familyDeviation,
  fanFamily,
  type SettingSpeed,
  settingSpeeds,
} from "./family-model.js";
export { type FanFit, type FitResiduals, fitFanCurve } from "./fit.js";
export { type Intersection, intersections, type SystemPoint } from "./intersections.js";
export { atDensity, atSpeed } from "./laws.js";
export { type FanModel, fanCurve } from "./model.js";
export { type OperatingPoint, operatingPoints, type SystemCurve } from "./operating.js";
export { type FanPolynomial, type PolynomialCurve, polynomialFan } from "./polynomial.js";
export {
  airHeating,
  specificFanPower,
  toWattHoursPerCubicMetre,
  toWattsPerLitrePerSecond,
} from "./specific-power.js";
export { type StallRange, stallRange } from "./stall.js";
export { type FanTable, type FanTableUnits, readFanTable } from "./table.js";
