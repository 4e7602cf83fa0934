import { heatCapacity } from "../air/exchanger.js";
import { InputError } from "../core/errors.js";
import { unknownName } from "../core/nearest.js";
import { requireRange } from "../core/ranges.js";
import { shown } from "../core/show.js";

/**
 * Specific fan power: electrical input over flow. Of a fan or a stream its own input over its own flow; of a unit all its
 * input over the larger of its flows; both with flows at 1.2 kg/m³.
 *
 * Equal to total pressure over overall efficiency, so that W/(m³/s) are Pa.
 *
 * @param power - Electrical input [W], 0 or more.
 * @param flow - Flow [m³/s], above 0.
 * @returns Specific fan power [W/(m³/s)].
 * @throws InputError `out-of-range`.
 *
 * Source: EN 13779:2007, 3.5 (read, as reproduced on a page that quotes it).
 * @example specificFanPower(50, 0.1); // 500
 */
export function specificFanPower(power: number, flow: number): number {
  requireRange("power", power, { min: 0 });
  requireRange("flow", flow, { above: 0 });
  return power / flow;
}

/**
 * Specific fan power in W/(l/s), which are kW/(m³/s).
 *
 * @param power - Specific fan power [W/(m³/s)], 0 or more.
 * @returns The same in W/(l/s) [W/(l/s)].
 * @throws InputError `out-of-range`.
 *
 * Source: definition.
 * @example toWattsPerLitrePerSecond(500); // 0.5
 */
export function toWattsPerLitrePerSecond(power: number): number {
  requireRange("power", power, { min: 0 });
  return power / 1000;
}

/**
 * Specific fan power in Wh/m³: electrical work for a cubic metre of air.
 *
 * @param power - Specific fan power [W/(m³/s)], 0 or more.
 * @returns The same in Wh/m³ [Wh/m³].
 * @throws InputError `out-of-range`.
 *
 * Source: definition.
 * @example toWattHoursPerCubicMetre(500); // 0.1389
 */
export function toWattHoursPerCubicMetre(power: number): number {
  requireRange("power", power, { min: 0 });
  return power / 3600;
}

/** Parts that raise the limits of a class; each time one is named, once. */
export type SpecificFanPowerExtra = "filterStage" | "hepaFilter" | "gasFilter" | "heatRecovery" | "coolingCoil";

const extraPower: Readonly<Record<SpecificFanPowerExtra, number>> = {
  filterStage: 300,
  hepaFilter: 1000,
  gasFilter: 300,
  heatRecovery: 300,
  coolingCoil: 300,
};
/** Largest specific fan power of the classes 1 to 6 [W/(m³/s)]. */
const classLimits = [500, 750, 1250, 2000, 3000, 4500];

/**
 * Class of the specific fan power of one fan, SFP 0 to SFP 7. It says nothing about a whole unit or building.
 *
 * Below 300 W/(m³/s) 0; up to 500 1; 750 2; 1250 3; 2000 4; 3000 5; 4500 6; above 7. CAUTION: the limits and what parts
 * add to them are from memory; look them up in the standard before they decide anything.
 *
 * @param power - Specific fan power of the fan [W/(m³/s)], 0 or more.
 * @param extras - Parts in its stream that raise every limit: a further mechanical filter stage `filterStage` (300), a
 *   HEPA filter `hepaFilter` (1000), a gas filter `gasFilter` (300), heat recovery of class H1 or H2 `heatRecovery`
 *   (300), a high-duty cooling coil `coolingCoil` (300) [W/(m³/s)]; default none.
 * @returns The class [-], a whole number from 0 to 7.
 * @throws InputError `out-of-range`, `unknown-extra`, `not-a-list`.
 *
 * Source: EN 16798-3:2017, from EN 13779 (memory).
 * @example sfpClass(1400, ["heatRecovery"]); // 3
 */
export function sfpClass(power: number, extras: readonly SpecificFanPowerExtra[] = []): number {
  requireRange("power", power, { min: 0 });
  if (!Array.isArray(extras)) {
    const [expected, found] = ["a list of parts", shown(extras)];
    const message = `extras: expected ${expected}, got ${found}`;
    throw new InputError([{ code: "not-a-list", path: "extras", message, expected, found }]);
  }
  extras.forEach((extra, i) => {
    if (!Object.hasOwn(extraPower, extra)) throw unknownName("extra", `extras.${i}`, extra, Object.keys(extraPower));
  });
  const added = extras.reduce((sum, extra: SpecificFanPowerExtra) => sum + extraPower[extra], 0);
  if (power < 300 + added) return 0;
  const above = classLimits.findIndex((limit) => power <= limit + added);
  return above < 0 ? 7 : above + 1;
}

/**
 * Rise of the air's temperature by a fan. All that a fan takes becomes heat in the end: what goes into the air at once,
 * and the air power along the ducts as it is lost to friction.
 *
 * @param power - Electrical input [W], 0 or more.
 * @param massFlow - Mass flow of the air [kg/s], above 0.
 * @param share - Part of the input that goes into this air stream [-], 0 to 1: 1 for a motor in the stream; motor
 *   output over input for one outside of it.
 * @returns Rise of temperature [K], c_p 1006 J/(kg·K), without moisture.
 * @throws InputError `out-of-range`.
 *
 * Source: heat balance.
 * @example airHeating(120, 0.12, 1); // 0.994
 */
export function airHeating(power: number, massFlow: number, share: number): number {
  requireRange("power", power, { min: 0 });
  requireRange("massFlow", massFlow, { above: 0 });
  requireRange("share", share, { min: 0, max: 1 });
  return (share * power) / (massFlow * heatCapacity);
}
