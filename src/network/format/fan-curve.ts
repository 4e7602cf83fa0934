import { notNegative, positive } from "../../core/ranges.js";
import {
  about,
  choice,
  exactly,
  type Field,
  forms,
  list,
  named,
  number,
  object,
  optional,
  preset,
  quantity,
  text,
} from "../../input/fields.js";
import type { Form, Preset, Quantified } from "./forms.js";
import { type SectionPart, section } from "./section.js";

/** One point of a fan curve. */
export interface CurvePoint<F extends Form = "parsed"> {
  /** [m³/s] */
  readonly flow: Quantified<F>;
  /** [Pa] */
  readonly pressure: Quantified<F>;
  /** Electrical input [W] */
  readonly power?: Quantified<F>;
  /** Air power over electrical input, of the total pressure [-] */
  readonly efficiency?: Quantified<F>;
}
type CurveBasis<F extends Form> = {
  readonly pressureKind: "total" | "static" | "externalStatic";
  /** Needed for `externalStatic`. */
  readonly inlet?: SectionPart<F>;
  /** Needed for `static` and `externalStatic`. */
  readonly outlet?: SectionPart<F>;
} & Preset<
  F,
  {
    /** [kg/m³] */
    readonly density: Quantified<F>;
    /** Whether the curve is the fan's own or what a whole unit offers to its ducts. */
    readonly of: "fan" | "unit";
    /** Of the controls, at any speed [W] */
    readonly controlsPower: Quantified<F>;
  }
>;

/** The points of a fan curve at one of several speeds or settings. */
export interface CurveSpeed<F extends Form = "parsed"> {
  /** In the unit of the fan's `speed`; in all of them or, where each has a `setting`, in none. */
  readonly speed?: number;
  /** What the setting is called. */
  readonly setting?: string;
  readonly points: readonly CurvePoint<F>[];
}

/** A fan curve: points at its speed 1, points at several speeds, or a polynomial at its speed 1. */
export type CurvePart<F extends Form = "parsed"> = CurveBasis<F> &
  (
    | { readonly points: readonly CurvePoint<F>[] }
    | { readonly speeds: readonly CurveSpeed<F>[] }
    | {
        /** Of pressure, by rising powers of flow [Pa, Pa per m³/s, …] */
        readonly coefficients: readonly number[];
        /** Of electrical input [W, W per m³/s, …] */
        readonly powerCoefficients?: readonly number[];
        /** Lowest flow at which it holds [m³/s] */
        readonly from: Quantified<F>;
        /** Highest flow at which it holds [m³/s] */
        readonly to: Quantified<F>;
      }
  );

const curveProvenance = () => ({
  pressureKind: about(
    "Total: p_t,out − p_t,in; static: p_s,out − p_t,in; externalStatic: p_s,out − p_s,in, the external static pressure of a unit's data sheet.",
    choice(["total", "static", "externalStatic"]),
  ),
  density: about("Density of the air at the points.", preset(quantity("density", positive), 1.2)),
  inlet: about("Section in which p_s,in is measured; needed for externalStatic.", optional(section)),
  outlet: about("Section in which p_s,out is measured; needed for static and externalStatic.", optional(section)),
  of: about(
    "Whether the points are the fan's own or what a whole unit offers to its ducts.",
    preset(choice(["fan", "unit"]), "fan" as const),
  ),
  controlsPower: about("Electrical input at any speed.", preset(quantity("power", notNegative), 0)),
});

const curvePoints = () =>
  about(
    "Flows rise strictly; power or efficiency in all points or in none; the pressure falls at the last point.",
    list(
      object({
        flow: quantity("flow", notNegative),
        pressure: about("Of the kind given by `pressureKind`.", quantity("pressure")),
        power: about("Electrical input, without `controlsPower`.", optional(quantity("power", notNegative))),
        efficiency: about(
          "Flow times total pressure, divided by that electrical input.",
          optional(quantity("fraction", { min: 0, max: 1 })),
        ),
      }),
      2,
    ),
  );

/** A fan curve. */
export const curve: Field<CurvePart, CurvePart<"written">> = exactly<CurvePart, CurvePart<"written">>()(
  named(
    "curve",
    "A fan curve as its maker publishes it: points at one speed or at several, or a polynomial.",
    forms(
      object({ ...curveProvenance(), points: curvePoints() }),
      object({
        ...curveProvenance(),
        speeds: about(
          "Curves at several speeds, which rise strictly; the fan's `speed` is in their unit.",
          list(
            object({
              speed: about(
                "In any unit, the same for all. Leave it out of all curves if only settings are known: the speeds are then found from the curves, 1 for the last.",
                optional(number(positive)),
              ),
              setting: about("What the setting is called, for the fan's `setting`.", optional(text())),
              points: curvePoints(),
            }),
            2,
          ),
        ),
      }),
      object({
        ...curveProvenance(),
        coefficients: about("Of pressure [Pa], by rising powers of flow in m³/s.", list(number({}), 2, 9)),
        powerCoefficients: about("Of electrical input [W], likewise.", optional(list(number({}), 1, 9))),
        from: about("Lowest flow at which it holds.", quantity("flow", notNegative)),
        to: about("Highest flow at which it holds.", quantity("flow", positive)),
      }),
    ),
  ),
);
