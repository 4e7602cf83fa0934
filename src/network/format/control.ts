import {
  about,
  byKind,
  choice,
  derived,
  exactly,
  type Field,
  forms,
  named,
  number,
  object,
  optional,
  preset,
  quantity,
  word,
} from "../../input/fields.js";
import type { Form, Preset, Quantified } from "./forms.js";
import { end, id } from "./identifiers.js";

/** Where a pressure is sensed: inside a duct at one of its ends, or at a node where air is at rest. */
export type SensorPart = { readonly duct: string; readonly at: "inlet" | "outlet" } | { readonly node: string };

/** A sensor inside a duct. */
export type DuctSensor = Extract<SensorPart, { readonly duct: string }>;

type Limits<F extends Form> = Preset<
  F,
  {
    /** Slowest speed of the fan, in the unit of its curve; 0.1 of the curve's fastest by default. */
    readonly minSpeed: number;
    /** Fastest speed likewise; the curve's fastest by default. */
    readonly maxSpeed: number;
  }
>;

/** Holds the fan's own flow. */
export type FlowControl<F extends Form = "parsed"> = {
  readonly kind: "flow";
  /** At the density of the fan's air [m³/s] */
  readonly flow: Quantified<F>;
} & Limits<F>;

/** Holds a pressure, or a difference of two. */
export type PressureControl<F extends Form = "parsed"> = {
  readonly kind: "pressure";
  /** At `sensor`, less that at `against` [Pa]; negative before a fan that extracts. */
  readonly pressure: Quantified<F>;
  readonly sensor: SensorPart;
  /** Default: the still outdoor air at the height of the sensor, gauge 0. */
  readonly against?: SensorPart;
} & Preset<F, { /** Of sensors in ducts. */ readonly pressureKind: "static" | "total" }> &
  Limits<F>;

/** Holds the fan's mass flow at a share of another fan's. */
export type BalanceControl<F extends Form = "parsed"> = {
  readonly kind: "balance";
  /** The other fan: its node's id, or `unit.extract`. */
  readonly to: string;
} & Preset<F, { /** This fan's mass flow divided by the other's [-] */ readonly ratio: Quantified<F> }> &
  Limits<F>;

/** What a controller holds by changing the speed of its fan. */
export type ControlPart<F extends Form = "parsed"> = FlowControl<F> | PressureControl<F> | BalanceControl<F>;

/** The sensors of a controller that stand in ducts, by their keys. */
export const ductSensorsOf = (control: ControlPart | undefined): [key: string, sensor: DuctSensor][] => {
  if (control?.kind !== "pressure") return [];
  const given: [string, SensorPart | undefined][] = [
    ["sensor", control.sensor],
    ["against", control.against],
  ];
  return given.flatMap(([key, sensor]) => (sensor !== undefined && "duct" in sensor ? [[key, sensor]] : []));
};

/** A balance of fans beyond this is a percentage written as a number [-] */
const largestRatio = 10;

const limits = () => ({
  minSpeed: about(
    "Slowest speed, relative to the curve's speed, 0.1 by default. With a curve at `speeds`: in their unit, also beside a `setting`, 0.1 of the fastest by default.",
    derived(number({ above: 0 })),
  ),
  maxSpeed: about(
    "Fastest speed, in the same unit, 1 by default. With a curve at `speeds`: the fastest of them by default.",
    derived(number({ above: 0 })),
  ),
});

const sensor: Field<SensorPart> = exactly<SensorPart, SensorPart>()(
  named(
    "sensor",
    "Where a pressure is sensed: inside a duct at one of its ends, or at a node where air is at rest.",
    forms(object({ duct: id(), at: choice(["inlet", "outlet"]) }), object({ node: id() })),
  ),
);

/** A controller. */
export const control: Field<ControlPart, ControlPart<"written">> = exactly<ControlPart, ControlPart<"written">>()(
  named(
    "control",
    "What a controller holds by changing the speed of its fan; `speed` is where its search begins.",
    byKind(
      "a controller",
      about(
        "Holds the fan's own flow.",
        object({
          kind: word("flow"),
          flow: about("At the density of the fan's air.", quantity("flow", { above: 0 })),
          ...limits(),
        }),
      ),
      about(
        "Holds a pressure, or a difference of two.",
        object({
          kind: word("pressure"),
          pressure: about(
            "Pressure at `sensor` minus the pressure at `against`; negative upstream of a fan that extracts.",
            quantity("pressure"),
          ),
          sensor,
          against: about("Default: the still outdoor air at the height of the sensor.", optional(sensor)),
          pressureKind: about("For sensors in ducts.", preset(choice(["static", "total"]), "static" as const)),
          ...limits(),
        }),
      ),
      about(
        "Holds the fan's mass flow at a share of another fan's.",
        object({
          kind: word("balance"),
          to: about("The other fan: its node's id, or `unit.extract`.", end()),
          ratio: about(
            "This fan's mass flow divided by the other fan's: 0.95 or \"95 %\".",
            preset(quantity("fraction", { above: 0, max: largestRatio }), 1),
          ),
          ...limits(),
        }),
      ),
    ),
  ),
);
