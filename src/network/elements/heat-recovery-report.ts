import {
  type ExchangerState,
  efficiencyAt,
  exchangerTemperatures,
  heatCapacity,
  preheaterPower,
} from "../../air/exchanger.js";
import type { AirHandlerResult, Warning } from "../results/solution.js";
import { type FrostPart, preheated, type UnitHeat } from "./heat-recovery.js";
import {
  bypassWarnings,
  overheatedWarning,
  reducedWarning,
  shortWarning,
  unknownWarning,
  unprotectedWarnings,
} from "./heat-recovery-warnings.js";

/** Adds to a unit's result what its exchanger and its frost protection do. */
export const reportHeat = (unit: UnitHeat, result: AirHandlerResult, warnings: Warning[]): void => {
  let outdoor = unit.intake?.temperature;
  const supply = result.supply?.massFlow ?? 0;
  if (unit.bypassed) warnings.push(...bypassWarnings(unit, supply));
  else if (unit.frost !== undefined && outdoor !== undefined && supply > 0) {
    const heat = reportFrost(unit, unit.frost, outdoor, supply, result, warnings);
    outdoor += heat / (supply * heatCapacity);
  }
  const extracted = result.extract?.massFlow ?? 0;
  const extract = unit.extract?.temperature;
  if (unit.exchanger === undefined) return;
  if (outdoor === undefined || unit.extract === undefined || extract === undefined) {
    warnings.push(unknownWarning(unit));
    return;
  }
  if (!(supply > 0 && extracted > 0)) return;
  // Frost protection leaves the conductance as it is at the full supply flow, for which the efficiency holds.
  const full = Math.max(supply / (result.frostSpeedFactor ?? 1), extracted);
  const held = efficiencyAt(unit.exchanger.efficiency, full, Math.max(supply, extracted));
  const efficiency = unit.bypassed ? 0 : held;
  const state: ExchangerState = { efficiency, supplyMassFlow: supply, extractMassFlow: extracted, outdoor, extract };
  const after = exchangerTemperatures(state);
  result.supplyTemperature = after.supply;
  result.exhaustTemperature = after.exhaust;
  result.heatRecovered = after.heat;
  if (unit.bypassed) return;
  if (result.preheaterHeat !== undefined && result.preheaterHeat > 0 && outdoor > extract)
    warnings.push(overheatedWarning(unit.id, outdoor, extract));
  warnings.push(...unprotectedWarnings(unit, unit.extract, after.exhaust));
};

/** Adds what frost protection does; returns the heat that it gives to the intake air [W]. */
const reportFrost = (
  unit: UnitHeat,
  part: FrostPart,
  outdoor: number,
  massFlow: number,
  result: AirHandlerResult,
  warnings: Warning[],
): number => {
  if ("reduceSupplyTo" in part) {
    result.frostSpeedFactor = outdoor < part.below ? part.reduceSupplyTo : 1;
    if (result.frostSpeedFactor < 1) warnings.push(reducedWarning(unit, result.frostSpeedFactor, result));
    return 0;
  }
  const needed = preheaterPower(massFlow, outdoor, part.below);
  const heat = Math.min(needed, part.preheater);
  result.preheaterHeat = heat;
  if (needed > part.preheater) warnings.push(shortWarning(unit, needed, part, preheated(part, outdoor, massFlow)));
  return heat;
};
