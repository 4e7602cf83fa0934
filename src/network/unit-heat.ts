import {
  type ExchangerState,
  exchangerSource,
  exchangerTemperatures,
  heatCapacity,
  preheaterPower,
} from "../air/exchanger.js";
import type { AirState } from "../air/state.js";
import { about, exactly, type Field, forms, named, object, quantity } from "../input/fields.js";
import { type Basis, givenBasis } from "./basis.js";
import type { ControlPart } from "./control-part.js";
import type { Form, Quantified } from "./forms.js";
import type { AirHandlerResult, Warning } from "./results.js";

/** The heat exchanger of a unit. */
export interface ExchangerPart<F extends Form = "parsed"> {
  /** Temperature efficiency, dry, at equal mass flows [-] */
  readonly efficiency: Quantified<F>;
}

/** What keeps an exchanger from freezing up: a preheater, or less supply air. */
export type FrostPart<F extends Form = "parsed"> = PreheaterPart<F> | FrostReduction<F>;

interface FrostLimit<F extends Form> {
  /** Temperature of the intake air below which it works [°C] */
  readonly below: Quantified<F>;
}

/** A heater before the exchanger. */
export interface PreheaterPart<F extends Form = "parsed"> extends FrostLimit<F> {
  /** Its largest heat [W] */
  readonly preheater: Quantified<F>;
}

interface FrostReduction<F extends Form = "parsed"> extends FrostLimit<F> {
  /** Share that is left of the supply fan's speed, or of the flow or balance that its controller holds [-] */
  readonly reduceSupplyTo: Quantified<F>;
}

/** An exchanger. */
export const exchanger: Field<ExchangerPart, ExchangerPart<"written">> = exactly<
  ExchangerPart,
  ExchangerPart<"written">
>()(
  named(
    "exchanger",
    "The heat exchanger between both streams, by its dry temperature efficiency at equal mass flows. Where a unit gives one, or `frost`, ducts that name no air inherit it along their streams.",
    object({ efficiency: quantity("fraction", { min: 0, max: 1 }) }),
  ),
);

const below = () =>
  about("Temperature of the intake air below which it works.", quantity("temperature", { min: -60, max: 100 }));

/** Frost protection. */
export const frost: Field<FrostPart, FrostPart<"written">> = exactly<FrostPart, FrostPart<"written">>()(
  named(
    "frost",
    "What keeps the exchanger from freezing up: a preheater, or less supply air. Where a unit gives it, ducts that name no air inherit it along their streams.",
    forms(
      object({
        below: below(),
        preheater: about("Its largest heat; it warms the intake air to `below`.", quantity("power", { above: 0 })),
      }),
      object({
        below: below(),
        reduceSupplyTo: about(
          "Share that is left of the supply fan's speed, or of the flow or balance that its controller holds.",
          quantity("fraction", { above: 0, max: 1 }),
        ),
      }),
    ),
  ),
);

/** What a unit does to the air of its streams, the heat of its fans apart. */
export interface AirTreatment {
  /** Of the exchanger at equal mass flows, as it is passed now [-]. */
  readonly efficiency: number;
  /** What warms colder intake air. */
  readonly preheater?: PreheaterPart;
}

/** The treatment of air in a unit, so that ducts of the network inherit air; undefined where it gives none. */
export const unitTreatment = ({
  state = "on",
  exchanger: part,
  frost: protection,
}: {
  readonly state?: "on" | "bypass" | "off";
  readonly exchanger?: ExchangerPart;
  readonly frost?: FrostPart;
}): AirTreatment | undefined => {
  if (part === undefined && protection === undefined) return undefined;
  if (state !== "on") return { efficiency: 0 };
  const heater = protection !== undefined && "preheater" in protection ? protection : undefined;
  return { efficiency: part?.efficiency ?? 0, preheater: heater };
};

/**
 * The temperature to which a preheater warms air [°C]: as far as it is to, or its heat allows; one that is to warm nobody
 * knows how much air is taken to have the heat.
 *
 * @param massFlow - Of the air [kg/s], above 0, or NaN where it is not known.
 */
export const preheated = ({ below, preheater }: PreheaterPart, from: number, massFlow: number): number => {
  const reached = Number.isNaN(massFlow) ? below : from + preheater / (massFlow * heatCapacity);
  return Math.max(from, Math.min(below, reached));
};

/** The share of its speed or set value that frost protection leaves to the supply fan [-]. */
export const supplyShare = (part: FrostPart | undefined, intake: AirState): number =>
  part !== undefined && "reduceSupplyTo" in part && (intake.temperature as number) < part.below
    ? part.reduceSupplyTo
    : 1;

/** A controller of which a share of the set value is left; one of a pressure is never slowed. */
export const slowed = (control: ControlPart, share: number): ControlPart => {
  if (control.kind === "flow") return { ...control, flow: share * control.flow };
  return control.kind === "balance" ? { ...control, ratio: share * control.ratio } : control;
};

/** What the heat side of a unit rests on. */
export function* heatBases(
  id: string,
  part: { readonly exchanger?: ExchangerPart; readonly frost?: FrostPart },
): Generator<Basis> {
  if (part.exchanger !== undefined) {
    yield givenBasis(`nodes.${id}.exchanger`);
    yield { source: exchangerSource, of: `airHandlers.${id}` };
  }
  if (part.frost !== undefined) yield givenBasis(`nodes.${id}.frost`);
}

/** The heat side of a unit at work: both air flows are known, and the exchanger is passed (efficiency 0) or used. */
export interface UnitHeat {
  readonly id: string;
  readonly exchanger: ExchangerPart | undefined;
  readonly frost: FrostPart | undefined;
  /** Whether its supply fan has a controller. */
  readonly controlled: boolean;
  /** The air in the duct at its intake. */
  readonly intake: AirState | undefined;
  /** The air in the duct from which it extracts. */
  readonly extract: AirState | undefined;
}

/** Adds to a unit's result what its exchanger and its frost protection do. */
export const reportHeat = (unit: UnitHeat, result: AirHandlerResult, warnings: Warning[]): void => {
  let outdoor = unit.intake?.temperature;
  const supply = result.supply?.massFlow ?? 0;
  if (unit.frost !== undefined && outdoor !== undefined && supply > 0) {
    const heat = reportFrost(unit, unit.frost, outdoor, supply, result, warnings);
    outdoor += heat / (supply * heatCapacity);
  }
  const extracted = result.extract?.massFlow ?? 0;
  const extract = unit.extract?.temperature;
  if (unit.exchanger === undefined) return;
  if (outdoor === undefined || extract === undefined) {
    warnings.push(unknownWarning(unit));
    return;
  }
  if (!(supply > 0 && extracted > 0)) return;
  const { efficiency } = unit.exchanger;
  const state: ExchangerState = { efficiency, supplyMassFlow: supply, extractMassFlow: extracted, outdoor, extract };
  const behind = exchangerTemperatures(state);
  result.supplyTemperature = behind.supply;
  result.exhaustTemperature = behind.exhaust;
  result.heatRecovered = behind.heat;
};

/** Adds what frost protection does; returns the heat that it gives to the intake air [W]. */
const reportFrost = (
  { id, controlled }: UnitHeat,
  part: FrostPart,
  outdoor: number,
  massFlow: number,
  result: AirHandlerResult,
  warnings: Warning[],
): number => {
  if ("reduceSupplyTo" in part) {
    result.frostSpeedFactor = outdoor < part.below ? part.reduceSupplyTo : 1;
    if (result.frostSpeedFactor < 1) warnings.push(reducedWarning(id, result.frostSpeedFactor, controlled));
    return 0;
  }
  const needed = preheaterPower(massFlow, outdoor, part.below);
  const heat = Math.min(needed, part.preheater);
  result.preheaterHeat = heat;
  if (needed > part.preheater) warnings.push(shortWarning(id, needed, part, preheated(part, outdoor, massFlow)));
  return heat;
};

const unknownWarning = ({ id, intake, extract }: UnitHeat): Warning => {
  const unknown = Object.entries({ intake, extract }).filter(([, air]) => air?.temperature === undefined);
  const ducts = unknown.map(([port]) => `'${id}.${port}'`).join(" and ");
  const message = `the temperatures behind the exchanger of unit '${id}' are not known, since the air in the duct at ${ducts} is given by its density: give it by its temperature`;
  return { code: "unit.temperatures-unknown", path: `nodes.${id}.exchanger`, message };
};

const reducedWarning = (id: string, share: number, controlled: boolean): Warning => {
  const whole = controlled ? "set value" : "speed";
  const message = `frost protection of unit '${id}' runs its supply fan at ${(100 * share).toFixed(0)} % of its ${whole}: with less supply than extract the house falls below outdoor pressure, and flue gas can be drawn in; not with open-flued appliances`;
  return { code: "unit.frost-reduced", path: `airHandlers.${id}.frostSpeedFactor`, message };
};

const shortWarning = (id: string, needed: number, part: PreheaterPart, reached: number): Warning => {
  const message = `the preheater of unit '${id}' would need ${needed.toFixed(0)} W to warm its intake air to ${part.below} °C, and has ${part.preheater.toFixed(0)} W, with which it reaches ${reached.toFixed(1)} °C: its exchanger may freeze up`;
  return { code: "unit.preheater-short", path: `airHandlers.${id}.preheaterHeat`, message };
};
