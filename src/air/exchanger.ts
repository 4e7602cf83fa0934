import { requireAll } from "../core/gather.js";
import { requireKeys, requireObject } from "../core/keys.js";
import { isWithin, type Range, requireRange } from "../core/ranges.js";
import type { Source } from "../core/sources.js";

/** Where temperatures behind a dry exchanger come from. */
export const exchangerSource: Source = {
  author: "textbooks of heat transfer",
  title: "heat balance and the definition of effectiveness",
  status: "memory",
};

/** Specific heat capacity of dry air at constant pressure near 20 °C [J/(kg·K)]. */
export const heatCapacity = 1006;

/** What an exchanger between extract and supply air meets. */
export interface ExchangerState {
  /** Temperature efficiency with equal mass flows, dry [-], 0 (bypass) to 1. */
  readonly efficiency: number;
  /** Mass flow from outdoors to the rooms [kg/s], above 0. */
  readonly supplyMassFlow: number;
  /** Mass flow from the rooms to outdoors [kg/s], above 0. */
  readonly extractMassFlow: number;
  /** Temperature of the air that enters from outdoors, behind a preheater if there is one [°C]. */
  readonly outdoor: number;
  /** Temperature of the air that enters from the rooms [°C]. */
  readonly extract: number;
}

/** What leaves an exchanger. */
export interface ExchangerTemperatures {
  /** Temperature of the air that goes to the rooms [°C]. */
  readonly supply: number;
  /** Temperature of the air that goes outdoors [°C]. */
  readonly exhaust: number;
  /** Heat given to the supply air [W]; negative where outdoors is the warmer side. */
  readonly heat: number;
}

const temperatures = { min: -60, max: 100 };
const stateRanges: Readonly<Record<keyof ExchangerState, Range>> = {
  efficiency: { min: 0, max: 1 },
  supplyMassFlow: { above: 0 },
  extractMassFlow: { above: 0 },
  outdoor: temperatures,
  extract: temperatures,
};

/** Throws all that is wrong with a state at once. */
const requireState = (state: ExchangerState, ranges: Readonly<Record<string, Range>>): void => {
  requireObject("state", state);
  requireAll(
    () => requireKeys("state", state, Object.keys(ranges)),
    ...Object.entries(ranges).map(
      ([key, range]) =>
        () =>
          requireRange(key, state[key as never], range),
    ),
  );
};

/**
 * Temperatures behind a dry heat exchanger of a stated temperature efficiency, also for unequal flows.
 *
 *   heat = ε·min(m_supply, m_extract)·c_p·(t_extract − t_outdoor)
 *
 * The stated efficiency is that of equal flows and is held on the smaller flow. Both streams exchange that heat, so that
 * energy is conserved; the larger flow changes its temperature less. A counterflow exchanger does better than this with
 * unequal flows (its smaller flow comes nearer to the other side), so that the heat is not overstated for them; but a
 * change of both flows together changes ε itself, which the maker's data must tell. No condensation, frost, leakage or
 * fan heat: condensing extract air leaves warmer and gives more heat than a dry sum says.
 *
 * @param state - `efficiency` [-], 0 (bypass) to 1; `supplyMassFlow` and `extractMassFlow` [kg/s], above 0; `outdoor` and
 *   `extract` [°C], −60 to 100.
 * @returns `supply` [°C], `exhaust` [°C], `heat` to the supply air [W], with c_p 1006 J/(kg·K).
 * @throws InputError with all that is wrong: `out-of-range`, `unknown-key`, `not-an-object`.
 *
 * Source: heat balance and the definition of effectiveness, as in textbooks of heat transfer (memory).
 * @example
 * const state = { efficiency: 0.8, supplyMassFlow: 0.1, extractMassFlow: 0.1, outdoor: 0, extract: 20 };
 * exchangerTemperatures(state); // { supply: 16, exhaust: 4, heat: 1609.6 }
 */
export function exchangerTemperatures(state: ExchangerState): ExchangerTemperatures {
  requireState(state, stateRanges);
  const { efficiency, supplyMassFlow, extractMassFlow, outdoor, extract } = state;
  const exchanged = efficiency * Math.min(supplyMassFlow, extractMassFlow) * (extract - outdoor);
  return {
    supply: outdoor + exchanged / supplyMassFlow,
    exhaust: extract - exchanged / extractMassFlow,
    heat: exchanged * heatCapacity,
  };
}

/** An exchanger whose exhaust air must not become colder than a limit. */
export interface FrostState extends ExchangerState {
  /** Lowest exhaust temperature that the exchanger bears without freezing up [°C], at most `extract`; the maker says it. */
  readonly limit: number;
}

/**
 * Share of the supply flow at which a dry exchanger's exhaust air stays at or above a limit: frost protection by less
 * supply air, the extract flow unchanged.
 *
 *   share = min(1, (m_extract/m_supply)·(t_extract − limit) / (ε·(t_extract − t_outdoor))),  or 1 where no frost threatens
 *
 * CAUTION: with less supply than extract the house falls below outdoor pressure: flue gas and soil gas can be drawn in,
 * and cold air enters by its gaps. Not with open-flued appliances.
 *
 * @param state - That of `exchangerTemperatures` at full supply flow, with `limit` [°C], −60 to `extract`.
 * @returns Share of `supplyMassFlow` [-], 0 to 1; 0 where the limit is the extract temperature itself.
 * @throws InputError with all that is wrong: `out-of-range`, `unknown-key`, `not-an-object`.
 *
 * Source: the heat balance of `exchangerTemperatures`, solved for the supply flow.
 * @example
 * const state = { efficiency: 0.8, supplyMassFlow: 0.1, extractMassFlow: 0.1, outdoor: -12, extract: 20, limit: 0 };
 * frostReducedSupply(state); // 0.78125
 */
export function frostReducedSupply(state: FrostState): number {
  const warmest = isWithin(state?.extract, temperatures) ? state.extract : temperatures.max;
  requireState(state, { ...stateRanges, limit: { ...temperatures, max: warmest } });
  const { efficiency, supplyMassFlow, extractMassFlow, outdoor, extract, limit } = state;
  const drop = efficiency * (extract - outdoor);
  // At the limit only this share of the extract flow may be cooled as far as the efficiency says.
  if (drop <= extract - limit) return 1;
  return Math.min(1, ((extract - limit) / drop) * (extractMassFlow / supplyMassFlow));
}

/**
 * Heat that a preheater gives to outdoor air before an exchanger.
 *
 * CAUTION: electrical preheaters are high-power devices that can overheat without air flow. Selection, wiring, cut-outs
 * and commissioning by qualified persons to local rules.
 *
 * @param massFlow - Mass flow of the air [kg/s], 0 or more.
 * @param from - Temperature before [°C], −60 to 100.
 * @param to - Temperature wanted behind [°C], −60 to 100.
 * @returns Heat to the air [W], c_p 1006 J/(kg·K); 0 where the air is warm enough. Electrical input is this or more.
 * @throws InputError `out-of-range`.
 *
 * Source: heat balance.
 * @example preheaterPower(0.192, -9, -4); // 965.8
 */
export function preheaterPower(massFlow: number, from: number, to: number): number {
  requireAll(
    () => requireRange("massFlow", massFlow, { min: 0 }),
    () => requireRange("from", from, temperatures),
    () => requireRange("to", to, temperatures),
  );
  return massFlow * heatCapacity * Math.max(0, to - from);
}
