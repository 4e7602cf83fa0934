import type { PlainAir } from "./document.js";

/** Density [kg/m³] and dynamic viscosity [Pa·s]; of air by its temperature [°C] also its pressure [Pa] and its water [kg/kg]. */
export interface AirProperties {
  readonly density: number;
  readonly viscosity: number;
  readonly temperature?: number;
  readonly pressure?: number;
  readonly humidityRatio?: number;
}

/** Pressure of the standard atmosphere [Pa]: ISO 2533:1975, troposphere, altitude z [m] turned into geopotential height. */
const standardPressure = (z: number): number => {
  const height = (6356766 * z) / (6356766 + z);
  return 101325 * ((288.15 - 0.0065 * height) / 288.15) ** (9.80665 / (0.0065 * 287.05287));
};

const absolutePressure = ({ pressure, altitude }: PlainAir): number | undefined =>
  pressure ?? (altitude === undefined ? undefined : standardPressure(altitude));

/** Saturation pressure of water vapour [Pa] at T [K]: Hyland and Wexler 1983, over ice up to the triple point. */
const saturationPressure = (T: number): number =>
  T <= 273.16
    ? Math.exp(
        -5674.5359 / T +
          6.3925247 -
          9.677843e-3 * T +
          6.2215701e-7 * T ** 2 +
          2.0747825e-9 * T ** 3 -
          9.484024e-13 * T ** 4 +
          4.1635019 * Math.log(T),
      )
    : Math.exp(
        -5800.2206 / T +
          1.3914993 -
          4.8640239e-2 * T +
          4.1764768e-5 * T ** 2 -
          1.4452093e-8 * T ** 3 +
          6.5459673 * Math.log(T),
      );

/**
 * Density and viscosity of air. A temperature without pressure and altitude takes those of the network's air, and the
 * standard pressure at sea level where that has none.
 */
export const airProperties = (air: PlainAir, networkAir: PlainAir): AirProperties => {
  if (air.density !== undefined) return { density: air.density, viscosity: air.viscosity ?? 1.81e-5 };
  const pressure = absolutePressure(air) ?? absolutePressure(networkAir) ?? 101325;
  const vapour = (air.relativeHumidity ?? 0) * saturationPressure(air.temperature! + 273.15);
  return gas(air.temperature!, pressure, waterOf(vapour, pressure));
};

/** Water of saturated or other vapour at a pressure [kg/kg]. */
const waterOf = (vapour: number, pressure: number): number => (0.621945 * vapour) / (pressure - vapour);

const gas = (temperature: number, pressure: number, humidityRatio: number): AirProperties => {
  const T = temperature + 273.15;
  return {
    density: ((1 + humidityRatio) * pressure) / (287.042 * T * (1 + 1.607858 * humidityRatio)),
    viscosity: (1.458e-6 * T ** 1.5) / (T + 110.4),
    temperature,
    pressure,
    humidityRatio,
  };
};

/** Air with some water [kg/kg], of which it keeps what it can hold as vapour. */
export const moistAir = (temperature: number, pressure: number, humidityRatio: number): AirProperties => {
  const saturated = saturationPressure(temperature + 273.15);
  // Near boiling air can hold any water.
  const most = saturated < pressure ? waterOf(saturated, pressure) : Number.POSITIVE_INFINITY;
  return gas(temperature, pressure, Math.min(humidityRatio, most));
};
