export type { ExchangerState, ExchangerTemperatures, FrostState } from "./air/exchanger.js";
export { exchangerTemperatures, frostReducedSupply, preheaterPower } from "./air/exchanger.js";
export type { Air, AirOfDensity, AirOfTemperature, AirState } from "./air/state.js";
export { airState } from "./air/state.js";
export type { Problem, SolveDiagnostics, SolveStatus } from "./core/errors.js";
export { DocumentError, InputError, SolveError } from "./core/errors.js";
export type { Source, SourceStatus } from "./core/sources.js";
export type { Binding, DutyOperation, UnitChoice } from "./design/select-unit.js";
export { selectUnit } from "./design/select-unit.js";
export type {
  Duty,
  StreamDuty,
  UnitComponent,
  UnitRequirements,
  UnitSize,
  UnitStream,
  VentilationUnit,
} from "./design/unit-data.js";
export type { StreamOperation, UnitOperation } from "./design/unit-operation.js";
export type { FrictionLawName } from "./ducts/friction.js";
export { frictionFactor } from "./ducts/friction.js";
export { roughnessMaterials, roughnessOf } from "./ducts/roughness.js";
export type { EquivalentBy, Section } from "./ducts/section.js";
export { equivalentDiameter } from "./ducts/section.js";
export { rectangularSides, roundSizes } from "./ducts/sizes.js";
export type { FanDescription } from "./fans/data.js";
export type { Spread } from "./fittings/fitting.js";
export type { Quantity } from "./input/quantities.js";
export { formatQuantity, parseQuantity } from "./input/quantities.js";
export type { Description } from "./network/compiled/changes.js";
export { describe, withChanges } from "./network/compiled/changes.js";
export type { CompiledNetwork, Output, UpdateOptions } from "./network/compiled/compiled.js";
export { compileNetwork } from "./network/compiled/compiled.js";
export type { Parameter } from "./network/compiled/parameters.js";
export type { Network, NetworkDocument } from "./network/document/document.js";
export { checkNetwork, networkSchema, parseNetwork } from "./network/document/document.js";
export type { IndexRun, LeastFavoured, TerminalRequirement } from "./network/queries/index-run.js";
export { indexRun, leastFavoured } from "./network/queries/index-run.js";
export type { PathStep } from "./network/queries/pressure-path.js";
export { pressurePath } from "./network/queries/pressure-path.js";
export type { SourceEntry } from "./network/queries/sources.js";
export { sources } from "./network/queries/sources.js";
export type { SummaryRow, SummaryUnits } from "./network/queries/summary.js";
export { summarise } from "./network/queries/summary.js";
export type { NetworkCurve, SystemCurveRange, UnreachableFlow } from "./network/queries/system-curve.js";
export { systemCurve } from "./network/queries/system-curve.js";
export type * from "./network/results/solution.js";
export type { SolveOptions } from "./network/solve/solve.js";
export { solveNetwork } from "./network/solve/solve.js";
