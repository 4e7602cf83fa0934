import { heatCapacity } from "./exchanger.js";
import { type AirState, airOfHumidityRatio } from "./state.js";

/** Air whose temperature is known, and with it the pressure and the water. */
export type KnownAir = AirState & Required<Pick<AirState, "temperature" | "pressure" | "humidityRatio">>;

/** Whether air was given by its temperature. */
export const isKnown = (air: AirState): air is KnownAir => air.temperature !== undefined;

/** Specific heat capacity of water vapour [J/(kg·K)]. */
const vapourHeatCapacity = 1860;

/**
 * Air warmed or cooled on its way to another temperature, its water kept as far as it can hold it: what leaves a dry
 * exchanger.
 *
 * @param share - Of the way [-], 0 to 1.
 * @param other - Where it leads [°C].
 */
export const towards = (air: KnownAir, share: number, other: number): AirState => {
  const { temperature: own, pressure, humidityRatio } = air;
  const reached = own + share * (other - own);
  // Rounding must not lead beyond the end of the way.
  const temperature = Math.min(Math.max(reached, Math.min(own, other)), Math.max(own, other));
  return temperature === own ? air : airOfHumidityRatio(temperature, pressure, humidityRatio);
};

/** Air that comes to a mixture. */
export interface MixedPart {
  readonly air: AirState;
  /** Its mass flow, in any one unit. */
  readonly massFlow: number;
}

const keys = ["density", "viscosity", "temperature", "pressure", "humidityRatio"] as const;

/** Whether two air states are alike in all that is known of them. */
export const isSameState = (one: AirState, other: AirState): boolean =>
  one === other || keys.every((key) => one[key] === other[key]);

/** A weighted mean; it lies between the values, also where rounding would lead beyond. */
const meanOf = <T>(parts: readonly T[], numberOf: (part: T) => number, weightOf: (part: T) => number): number => {
  let [sum, weights] = [0, 0];
  let [least, most] = [Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY];
  for (const part of parts) {
    const value = numberOf(part);
    const weight = weightOf(part);
    sum += weight * value;
    weights += weight;
    least = Math.min(least, value);
    most = Math.max(most, value);
  }
  return Math.min(Math.max(sum / weights, least), most);
};

/**
 * The state of air streams that mix without heat from outside. Water and enthalpy are conserved,
 *
 *   W = Σ m_d·W/Σ m_d,  t = Σ m_d·(c_p + c_v·W)·t/Σ m_d·(c_p + c_v·W),  m_d = m/(1 + W) the dry air, W its water
 *
 * but for fog: water that the mixture cannot hold as vapour is left out. Where an air has no temperature, volumes are
 * added, which comes to the same for streams of one pressure and one composition; the mixture then has no temperature.
 *
 * @param parts - One or more, with mass flows above 0.
 *
 * Source: ASHRAE Handbook: Fundamentals, psychrometrics: enthalpy of moist air (library).
 */
export const mixtureOf = (parts: readonly MixedPart[]): AirState => {
  const [{ air: first }] = parts;
  if (parts.every(({ air }) => isSameState(air, first))) return first;
  const known = parts.flatMap(({ air, massFlow }) =>
    isKnown(air) ? [{ ...air, massFlow, dry: massFlow / (1 + air.humidityRatio) }] : [],
  );
  if (known.length < parts.length) {
    const massOf = ({ massFlow }: MixedPart): number => massFlow;
    const density = 1 / meanOf(parts, ({ air }) => 1 / air.density, massOf);
    return { density, viscosity: meanOf(parts, ({ air }) => air.viscosity, massOf) };
  }
  const heatOf = ({ dry, humidityRatio }: (typeof known)[number]): number =>
    dry * (heatCapacity + vapourHeatCapacity * humidityRatio);
  return airOfHumidityRatio(
    meanOf(known, ({ temperature }) => temperature, heatOf),
    meanOf(
      known,
      ({ pressure }) => pressure,
      ({ massFlow }) => massFlow,
    ),
    meanOf(
      known,
      ({ humidityRatio }) => humidityRatio,
      ({ dry }) => dry,
    ),
  );
};
