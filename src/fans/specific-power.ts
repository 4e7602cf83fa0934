import { heatCapacity } from "../air/exchanger.js";
import { requireRange } from "../core/ranges.js";

/**
 * Specific fan power: electrical input over flow. For a fan or a stream, its own input over its own flow; for a unit,
 * all its input over the larger of its flows. Both use flows at 1.2 kg/m³.
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

/**
 * Temperature rise of the air by a fan. All of a fan's input becomes heat in the end: part of it goes into the air at
 * once, and the air power follows along the ducts as it is lost to friction.
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
