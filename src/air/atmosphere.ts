import { requireRange } from "../core/ranges.js";
import type { Source } from "../core/sources.js";

/** Where the standard atmosphere comes from. */
export const atmosphereSource: Source = {
  author: "ISO 2533",
  title: "Standard atmosphere, troposphere",
  year: 1975,
  status: "library",
};

/** Standard acceleration of free fall [m/s²]. */
export const standardGravity = 9.80665;

const seaLevelTemperature = 288.15; // K
const seaLevelPressure = 101325; // Pa
const lapseRate = 0.0065; // K per metre of geopotential height
const gasConstant = 287.05287; // dry air, J/(kg·K)
const earthRadius = 6356766; // m

/** Temperature of the standard atmosphere [K]. Gravity weakens with height, so the fall follows geopotential height. */
const kelvinAt = (altitude: number): number => {
  requireRange("altitude", altitude, { min: -1000, max: 11000 });
  const geopotentialHeight = (earthRadius * altitude) / (earthRadius + altitude);
  return seaLevelTemperature - lapseRate * geopotentialHeight;
};

/**
 * Pressure of the standard atmosphere at an altitude.
 *
 *   p = p₀·(1 − L·H/T₀)^(g/(R·L)),  H = r·z/(r + z)
 *
 * @param altitude - z, geometric height above mean sea level [m], −1,000 to 11,000.
 * @returns p, absolute [Pa]. Weather moves the real pressure by about ±4 % (memory).
 * @throws InputError `out-of-range` when altitude is outside its range or NaN.
 *
 * Source: ISO 2533:1975, troposphere (T₀ 288.15 K, p₀ 101,325 Pa, L 0.0065 K/m, R 287.05287 J/(kg·K), r 6,356,766 m).
 * @example standardPressure(500); // 95461.29
 */
export const standardPressure = (altitude: number): number =>
  seaLevelPressure * (kelvinAt(altitude) / seaLevelTemperature) ** (standardGravity / (gasConstant * lapseRate));

/**
 * Temperature of the standard atmosphere at an altitude: T = T₀ − L·H, H = r·z/(r + z).
 *
 * @param altitude - z, geometric height above mean sea level [m], −1,000 to 11,000.
 * @returns Temperature [°C].
 * @throws InputError `out-of-range` when altitude is outside its range or NaN.
 *
 * Source: ISO 2533:1975, troposphere (T₀ 288.15 K, L 0.0065 K/m, r 6,356,766 m).
 * @example standardTemperature(0); // 15
 */
export const standardTemperature = (altitude: number): number => kelvinAt(altitude) - 273.15;
