import { InputError, problemOf } from "../core/errors.js";
import { requireAll } from "../core/gather.js";
import { readObject, requireKeys } from "../core/keys.js";
import { requireRange } from "../core/ranges.js";
import type { Source } from "../core/sources.js";
import { standardPressure } from "./atmosphere.js";

/** Air by its density. */
export interface AirOfDensity {
  /** Density [kg/m³], above 0. */
  readonly density: number;
  /** Dynamic viscosity [Pa·s], above 0; default 1.81e-5. */
  readonly viscosity?: number;
}

/** Air by its temperature, with the pressure or the altitude. */
export interface AirOfTemperature {
  /** Dry-bulb temperature [°C], −60 to 100. */
  readonly temperature: number;
  /** Absolute pressure [Pa], 30,000 to 120,000; default the standard pressure at the altitude. */
  readonly pressure?: number;
  /** Height above sea level [m], −1,000 to 9,000; default 0. Not together with `pressure`. */
  readonly altitude?: number;
  /** Relative humidity [-], 0 to 1; default 0. */
  readonly relativeHumidity?: number;
}

/** Air, described in one of two ways. */
export type Air = AirOfDensity | AirOfTemperature;

/** What a duct needs to know of its air; what only a temperature can tell is absent for air given by its density. */
export interface AirState {
  /** Density of the moist air [kg/m³]. */
  readonly density: number;
  /** Dynamic viscosity [Pa·s]. */
  readonly viscosity: number;
  /** Dry-bulb temperature [°C]. */
  readonly temperature?: number;
  /** Absolute pressure [Pa]. */
  readonly pressure?: number;
  /** Relative humidity [-]. */
  readonly relativeHumidity?: number;
  /** Water vapour per dry air [kg/kg]. */
  readonly humidityRatio?: number;
}

/** Where the density of moist air comes from. */
export const moistAirSource: Source = {
  author: "ASHRAE",
  title: "Handbook: Fundamentals, psychrometrics",
  where: "moist air as an ideal gas; saturation by Hyland and Wexler 1983",
  status: "library",
};

/** Where the viscosity of air comes from. */
export const viscositySource: Source = {
  author: "ISO 2533",
  title: "Standard atmosphere, dynamic viscosity",
  year: 1975,
  where: "Sutherland's law, of dry air",
  status: "computed",
};

/** Dynamic viscosity of air near 20 °C [Pa·s], taken where none is given. */
export const defaultViscosity = 1.81e-5;

const kelvin = (temperature: number): number => temperature + 273.15;

/**
 * Saturation pressure of water vapour: over ice up to the triple point (0.01 °C), over liquid water above it.
 *
 * @param temperature - [°C], −100 to 200.
 * @returns Saturation pressure [Pa].
 * @throws InputError `out-of-range` when temperature is outside its range or NaN.
 *
 * Source: Hyland and Wexler 1983, as printed in ASHRAE Fundamentals, psychrometrics. The two formulas meet to
 * 1e-8 of the value.
 * @example saturationPressure(20); // 2338.8
 */
export const saturationPressure = (temperature: number): number => {
  requireRange("temperature", temperature, { min: -100, max: 200 });
  const t = kelvin(temperature);
  if (temperature <= 0.01) {
    const series = 6.3925247 + t * (-9.677843e-3 + t * (6.2215701e-7 + t * (2.0747825e-9 - t * 9.484024e-13)));
    return Math.exp(-5.6745359e3 / t + series + 4.1635019 * Math.log(t));
  }
  const series = 1.3914993 + t * (-4.8640239e-2 + t * (4.1764768e-5 - t * 1.4452093e-8));
  return Math.exp(-5.8002206e3 / t + series + 6.5459673 * Math.log(t));
};

/** Viscosity of dry air [Pa·s] by Sutherland's law with the constants of ISO 2533. */
const sutherlandViscosity = (temperature: number): number => {
  const t = kelvin(temperature);
  return (1.458e-6 * t ** 1.5) / (t + 110.4);
};

const pressureOf = ({ pressure, altitude }: AirOfTemperature): number => {
  if (pressure !== undefined && altitude !== undefined) {
    throw new InputError([problemOf("conflict", "altitude", "pressure or altitude", "both")]);
  }
  if (pressure !== undefined) {
    requireRange("pressure", pressure, { min: 30_000, max: 120_000 });
    return pressure;
  }
  requireRange("altitude", altitude ?? 0, { min: -1000, max: 9000 });
  return standardPressure(altitude ?? 0);
};

/** Molar mass of water divided by the molar mass of dry air [-]. */
const molarRatio = 0.621945;

/** Water vapour per dry air [kg/kg]. */
const humidityRatioOf = (temperature: number, pressure: number, relativeHumidity: number): number => {
  const saturation = saturationPressure(temperature);
  const vapour = relativeHumidity * saturation;
  if (vapour < pressure) return (molarRatio * vapour) / (pressure - vapour);
  const expected = `below ${(pressure / saturation).toPrecision(4)}, where the vapour alone reaches the pressure of ${pressure.toFixed(0)} Pa`;
  throw new InputError([problemOf("out-of-range", "relativeHumidity", expected, String(relativeHumidity))]);
};

const stateOfTemperature = (air: AirOfTemperature): AirState => {
  const { temperature, relativeHumidity = 0 } = air;
  requireAll(
    () => requireKeys("air", air, ["temperature", "pressure", "altitude", "relativeHumidity"]),
    () => requireRange("temperature", temperature, { min: -60, max: 100 }),
    () => requireRange("relativeHumidity", relativeHumidity, { min: 0, max: 1 }),
    () => pressureOf(air),
  );
  const pressure = pressureOf(air);
  const humidityRatio = humidityRatioOf(temperature, pressure, relativeHumidity);
  // Volume of the mixture that holds 1 kg of dry air [m³/kg].
  const volume = (287.042 * kelvin(temperature) * (1 + 1.607858 * humidityRatio)) / pressure;
  return {
    density: (1 + humidityRatio) / volume,
    viscosity: sutherlandViscosity(temperature),
    temperature,
    pressure,
    relativeHumidity,
    humidityRatio,
  };
};

const stateOfDensity = (air: AirOfDensity): AirState => {
  const { density, viscosity = defaultViscosity } = air;
  requireAll(
    () => requireKeys("air", air, ["density", "viscosity"]),
    () => requireRange("density", density, { above: 0 }),
    () => requireRange("viscosity", viscosity, { above: 0 }),
  );
  return { density, viscosity };
};

/**
 * Density and viscosity of air, from its density or from temperature, pressure and humidity.
 *
 *   ρ = (1 + W)·p / (287.042·T·(1 + 1.607858·W)),  W = 0.621945·p_w/(p − p_w),  p_w = φ·p_ws(T)
 *   μ = 1.458e-6·T^1.5/(T + 110.4), dry air: humidity changes it by under 1 % in rooms (memory)
 *
 * @param air - `density` [kg/m³] with `viscosity` [Pa·s] (default 1.81e-5); or `temperature` [°C], −60 to 100, with
 *   `pressure`, absolute [Pa], 30,000 to 120,000, or `altitude` [m], −1,000 to 9,000 (default 0, by the standard
 *   atmosphere), and `relativeHumidity` [-], 0 to 1 (default 0).
 * @returns `density` [kg/m³] and `viscosity` [Pa·s]; for the second form also `temperature` [°C], `pressure` [Pa],
 *   `relativeHumidity` [-] and `humidityRatio` [kg of water per kg of dry air].
 * @throws InputError with all that is wrong: `out-of-range` when a number is outside its range or NaN, or when the vapour
 *   alone would reach the pressure; `conflict` when both pressure and altitude are given; `unknown-key` for a key of
 *   neither form or of the other one; `not-an-object`.
 *
 * Source: moist air as in ASHRAE Fundamentals, psychrometrics (saturation by Hyland and Wexler 1983); viscosity and
 * altitude by ISO 2533:1975.
 * @example airState({ temperature: 20, relativeHumidity: 0.5 }).density; // 1.1989
 */
export function airState(air: Air): AirState {
  const given = readObject("air", air);
  return "density" in given && given.density !== undefined
    ? stateOfDensity(given)
    : stateOfTemperature(given as AirOfTemperature);
}

/**
 * Air whose water content is known, not the relative humidity. More water than the air can hold as vapour is left out, as
 * if it had run off: the air is then saturated.
 *
 * @param temperature - Dry-bulb [°C], −60 to 100.
 * @param pressure - Absolute [Pa], 30,000 to 120,000.
 * @param humidityRatio - Water per dry air [kg/kg], 0 or more.
 */
export const airOfHumidityRatio = (temperature: number, pressure: number, humidityRatio: number): AirState => {
  const vapour = (pressure * humidityRatio) / (molarRatio + humidityRatio);
  return airState({ temperature, pressure, relativeHumidity: Math.min(1, vapour / saturationPressure(temperature)) });
};
