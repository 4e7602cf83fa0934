export { InputError, type Problem } from "../core/errors.js";
export type { FlatOvalSection, RectangularSection, RoundSection, Section } from "../ducts/section.js";
export type { FanCurve, FanPoint, FanPressureKind } from "./curve.js";
export { atDensity, atSpeed } from "./laws.js";
export { type FanModel, fanCurve } from "./model.js";
export { type OperatingPoint, operatingPoints, type SystemCurve } from "./operating.js";
