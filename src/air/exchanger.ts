import { requireAll } from "../core/gather.js";
import { readObject, requireKeys } from "../core/keys.js";
import { isWithin, type Range, requireRange } from "../core/ranges.js";
import type { Source } from "../core/sources.js";
import { bracketedRoot } from "../numerics/roots.js";

/** Where temperatures after a dry exchanger come from. */
export const exchangerSource: Source = {
  author: "textbooks of heat transfer",
  title: "heat balance, effectiveness and number of transfer units of a counterflow exchanger",
  status: "memory",
};

/** Specific heat capacity of dry air at constant pressure near 20 °C [J/(kg·K)]. */
export const heatCapacity = 1006;

/** What an exchanger between extract and supply air meets. */
export interface ExchangerState {
  /** Temperature efficiency, dry, where both mass flows are the larger of these two [-], 0 (bypass) to 1. */
  readonly efficiency: number;
  /** Mass flow from outdoors to the rooms [kg/s], above 0. */
  readonly supplyMassFlow: number;
  /** Mass flow from the rooms to outdoors [kg/s], above 0. */
  readonly extractMassFlow: number;
  /** Temperature of the air that enters from outdoors, after a preheater if there is one [°C]. */
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
 * The flow that would hand over the same heat if it went from one entry temperature all the way to the other [kg/s]: the
 * effectiveness of counterflow, (1 − e^(−x))/(1 − C·e^(−x)) with x = N·(1 − C), times the smaller flow. N, on the smaller
 * flow, grows as that falls, since conductance stays: N = ε/(1 − ε)/C gives ε where both flows are the larger one.
 */
const exchangedFlow = (efficiency: number, one: number, other: number): number => {
  const smaller = Math.min(one, other);
  const ratio = smaller / Math.max(one, other);
  if (ratio === 1 || efficiency === 0) return efficiency * smaller;
  // 1 − e^(−x), written so that nearly equal flows keep their digits.
  const reached = -Math.expm1(-(efficiency / (1 - efficiency)) * ((1 - ratio) / ratio));
  return (smaller * reached) / (1 - ratio + ratio * reached);
};

/**
 * The efficiency at equal flows of an exchanger whose conductance stays while both flows change [-]: N = ε/(1 − ε) is
 * inversely proportional to flow.
 *
 * @param efficiency - Where both flows are `from` [-].
 * @param from - [kg/s], above 0.
 * @param to - [kg/s], above 0.
 */
export const efficiencyAt = (efficiency: number, from: number, to: number): number =>
  from === to ? efficiency : (efficiency * from) / (efficiency * from + (1 - efficiency) * to);

/**
 * Temperatures after a dry counterflow heat exchanger of a stated temperature efficiency, also for unequal flows.
 *
 *   heat = ε'·m_s·c_p·(t_extract − t_outdoor),  ε' = (1 − e^(−x))/(1 − C·e^(−x)),  x = (1 − C)/C·ε/(1 − ε),  C = m_s/m_l
 *
 * with m_s and m_l the smaller and the larger of both flows. The stated efficiency ε holds for equal flows. It gives
 * the conductance, which stays the same as one flow is reduced: the smaller flow comes nearer to the temperature of the
 * other side, with ε' above ε, and the temperature of the larger flow changes less. Both streams exchange the same
 * heat. If both flows change together, ε itself changes; take it from the manufacturer's data. Condensation, frost,
 * leakage and fan heat are left out: condensing extract air leaves warmer and gives more heat than in this dry
 * calculation, and a crossflow exchanger gains less by unequal flows.
 *
 * @param state - `efficiency` [-], 0 (bypass) to 1; `supplyMassFlow` and `extractMassFlow` [kg/s], above 0; `outdoor` and
 *   `extract` [°C], −60 to 100.
 * @returns `supply` [°C], `exhaust` [°C], `heat` to the supply air [W], with c_p 1006 J/(kg·K).
 * @throws InputError with all that is wrong: `out-of-range`, `unknown-key`, `not-an-object`.
 *
 * Source: effectiveness and number of transfer units of a counterflow exchanger, as in textbooks of heat transfer
 * (memory); agrees with its differential equations integrated by SciPy (library).
 * @example
 * const state = { efficiency: 0.8, supplyMassFlow: 0.1, extractMassFlow: 0.1, outdoor: 0, extract: 20 };
 * exchangerTemperatures(state); // { supply: 16, exhaust: 4, heat: 1609.6 }
 */
export function exchangerTemperatures(state: ExchangerState): ExchangerTemperatures {
  const given = readObject("state", state);
  requireState(given, stateRanges);
  const { efficiency, supplyMassFlow, extractMassFlow, outdoor, extract } = given;
  const exchanged = exchangedFlow(efficiency, supplyMassFlow, extractMassFlow) * (extract - outdoor);
  return {
    supply: outdoor + exchanged / supplyMassFlow,
    exhaust: extract - exchanged / extractMassFlow,
    heat: exchanged * heatCapacity,
  };
}

/** An exchanger whose exhaust air must not become colder than a limit. */
export interface FrostState extends ExchangerState {
  /** Lowest exhaust temperature at which the exchanger does not freeze up [°C], at most `extract`, from the manufacturer's data. */
  readonly limit: number;
}

/**
 * Share of the supply flow at which a dry counterflow exchanger's exhaust air stays at or above a limit: frost protection
 * by less supply air, the extract flow unchanged.
 *
 * The share at which the exhaust leaves at the limit, 1 where no frost threatens. The exchanger is the one of
 * `exchangerTemperatures` at full supply flow: its efficiency ε counts at the larger of the two full flows, and its
 * conductance stays the same as the supply is reduced. A smaller supply flow is warmed further, so it must be reduced by
 * more than its share of the heat suggests. For `exchangerTemperatures` at the reduced flow, where the larger flow is m
 * instead of M, the same exchanger has the efficiency ε·M/(ε·M + (1 − ε)·m). This differs from ε only if the full supply
 * flow exceeds the extract flow. Condensation, which this leaves out, warms the exhaust; a crossflow exchanger cools it
 * less.
 *
 * CAUTION: with less supply than extract the house falls below outdoor pressure: flue gas and soil gas can be drawn in,
 * and cold air enters by its gaps. Do not use this with open-flued appliances.
 *
 * @param state - The state of `exchangerTemperatures` at full supply flow, with `limit` [°C], −60 to `extract`.
 * @returns Share of `supplyMassFlow` [-], 0 to 1; 0 where the limit is the extract temperature itself.
 * @throws InputError with all that is wrong: `out-of-range`, `unknown-key`, `not-an-object`.
 *
 * Source: the counterflow of `exchangerTemperatures`, solved for the supply flow; agrees with its differential equations
 * integrated by SciPy (library).
 * @example
 * const state = { efficiency: 0.8, supplyMassFlow: 0.1, extractMassFlow: 0.1, outdoor: -12, extract: 20, limit: 0 };
 * frostReducedSupply(state); // 0.655
 */
export function frostReducedSupply(state: FrostState): number {
  const given = readObject("state", state);
  const warmest = isWithin(given.extract, temperatures) ? given.extract : temperatures.max;
  requireState(given, { ...stateRanges, limit: { ...temperatures, max: warmest } });
  const { efficiency, supplyMassFlow, extractMassFlow, outdoor, extract, limit } = given;
  const full = Math.max(supplyMassFlow, extractMassFlow);
  const cooled = (share: number): number => {
    const left = share * supplyMassFlow;
    const held = efficiencyAt(efficiency, full, Math.max(left, extractMassFlow));
    return (exchangedFlow(held, left, extractMassFlow) / extractMassFlow) * (extract - outdoor);
  };
  const beyond = (share: number): number => cooled(share) - (extract - limit);
  // The exhaust gets colder with every bit of supply air, so that there is one share or none.
  return beyond(1) <= 0 ? 1 : (bracketedRoot(beyond, 0, 1) as number);
}

/**
 * Heat that a preheater gives to outdoor air before an exchanger.
 *
 * CAUTION: electrical preheaters are high-power devices that can overheat without air flow. Leave selection, wiring,
 * cut-outs and commissioning to qualified persons, to local rules.
 *
 * @param massFlow - Mass flow of the air [kg/s], 0 or more.
 * @param from - Temperature before [°C], −60 to 100.
 * @param to - Temperature wanted after it [°C], −60 to 100.
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
