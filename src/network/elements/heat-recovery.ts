import { exchangerSource, heatCapacity } from "../../air/exchanger.js";
import type { AirState } from "../../air/state.js";
import { about, exactly, type Field, forms, named, object, quantity } from "../../input/fields.js";
import type { ControlPart } from "../format/control.js";
import type { Form, Quantified } from "../format/forms.js";
import { givenProvenance, type Provenance } from "../results/provenance.js";
import type { ControlResult } from "../results/solution.js";

/** The heat exchanger of a unit. */
export interface ExchangerPart<F extends Form = "parsed"> {
  /** Temperature ratio: dry, at equal mass flows, without heat of fans and leakage, which label values contain [-] */
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
    "The heat exchanger between both streams, given by its temperature ratio: dry, at equal mass flows, without heat of fans and leakage; the value on a label contains both. If a unit gives one, or `frost`, ducts that name no air inherit theirs along their streams.",
    object({ efficiency: quantity("fraction", { min: 0, max: 1 }) }),
  ),
);

const below = () =>
  about("Temperature of the intake air below which it works.", quantity("temperature", { min: -60, max: 100 }));

/** Frost protection. */
export const frost: Field<FrostPart, FrostPart<"written">> = exactly<FrostPart, FrostPart<"written">>()(
  named(
    "frost",
    "What keeps the exchanger from freezing up: a preheater, or less supply air. If a unit gives it, ducts that name no air inherit theirs along their streams.",
    forms(
      object({
        below: below(),
        preheater: about(
          "Its maximum heat output; it warms the intake air to `below`.",
          quantity("power", { above: 0 }),
        ),
      }),
      object({
        below: below(),
        reduceSupplyTo: about(
          "Remaining share of the supply fan's speed, or of the flow or balance that its controller holds.",
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
 * The temperature to which a preheater warms air [°C]: up to its limit, or as far as its heat allows; if it is not
 * known how much air it must warm, its heat is assumed to suffice.
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

/** A controller that keeps a share of its set value; one of a pressure is never slowed. */
export const slowed = (control: ControlPart, share: number): ControlPart => {
  if (control.kind === "flow") return { ...control, flow: share * control.flow };
  return control.kind === "balance" ? { ...control, ratio: share * control.ratio } : control;
};

/** What the heat side of a unit rests on. */
export function* heatProvenance(
  id: string,
  part: { readonly exchanger?: ExchangerPart; readonly frost?: FrostPart },
): Generator<Provenance> {
  if (part.exchanger !== undefined) {
    yield givenProvenance(`nodes.${id}.exchanger`);
    yield { source: exchangerSource, of: `airHandlers.${id}` };
  }
  if (part.frost !== undefined) yield givenProvenance(`nodes.${id}.frost`);
}

/** The heat side of a unit that is on or in bypass; its air flows are known. */
export interface UnitHeat {
  readonly id: string;
  /** In bypass the exchanger is passed, and frost protection rests. */
  readonly bypassed: boolean;
  readonly exchanger: ExchangerPart | undefined;
  readonly frost: FrostPart | undefined;
  /** What the controllers of its fans reached. */
  readonly supplyControl: ControlResult | undefined;
  readonly extractControl: ControlResult | undefined;
  /** Whether its extract fan is balanced to its supply fan. */
  readonly extractFollows: boolean;
  /** The air in the duct at its intake. */
  readonly intake: AirState | undefined;
  /** The air in the duct from which it extracts. */
  readonly extract: AirState | undefined;
}
