import { positive } from "../../core/ranges.js";
import { about, exactly, type Field, forms, named, object, optional, preset, quantity } from "../../input/fields.js";
import type { Form, Preset, Quantified } from "./forms.js";

/** Air by its density. */
export type AirByDensity<F extends Form = "parsed"> = {
  /** [kg/m³] */
  readonly density: Quantified<F>;
} & Preset<F, { /** [Pa·s] */ readonly viscosity: Quantified<F> }>;

/** Air by its temperature. If neither pressure nor altitude is given, the network's air gives them. */
export type AirByTemperature<F extends Form = "parsed"> = {
  /** Dry-bulb [°C] */
  readonly temperature: Quantified<F>;
  /** Absolute [Pa] */
  readonly pressure?: Quantified<F>;
  /** Above sea level [m] */
  readonly altitude?: Quantified<F>;
} & Preset<F, { /** [-] */ readonly relativeHumidity: Quantified<F> }>;

/** Air, in one of two forms. */
export type AirPart<F extends Form = "parsed"> = AirByDensity<F> | AirByTemperature<F>;

/** Air. */
export const air: Field<AirPart, AirPart<"written">> = exactly<AirPart, AirPart<"written">>()(
  named(
    "air",
    "Air, given by its density or by its temperature. Pressure and altitude default to those in the network's `air`.",
    forms(
      object({
        density: quantity("density", positive),
        viscosity: about("Dynamic.", preset(quantity("viscosity", positive), 1.81e-5)),
      }),
      object({
        temperature: about("Dry-bulb.", quantity("temperature", { min: -60, max: 100 })),
        pressure: about(
          "Absolute; not together with `altitude`.",
          optional(quantity("pressure", { min: 30_000, max: 120_000 })),
        ),
        altitude: about(
          "Above sea level, for the pressure of the standard atmosphere; 0 if no pressure or altitude is given anywhere.",
          optional(quantity("length", { min: -1000, max: 9000 })),
        ),
        relativeHumidity: preset(quantity("fraction", { min: 0, max: 1 }), 0),
      }),
    ),
  ),
);
