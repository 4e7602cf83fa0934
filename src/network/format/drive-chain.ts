import {
  about,
  exactly,
  type Field,
  forms,
  list,
  named,
  number,
  object,
  optional,
  quantity,
} from "../../input/fields.js";
import type { Form, Quantified } from "./forms.js";

/** Output over input of a part [-]: one number, or a curve over its load. */
export type EfficiencyPart<F extends Form = "parsed"> = Quantified<F> | EfficiencyOverLoad<F>;

/** The efficiency of a part over its load. */
export interface EfficiencyOverLoad<F extends Form = "parsed"> {
  /** Output at load 1 [W] */
  readonly ratedOutput: Quantified<F>;
  /** Their loads rise strictly. */
  readonly points: readonly {
    /** Output over `ratedOutput` [-] */
    readonly load: number;
    /** Output over input there [-] */
    readonly efficiency: Quantified<F>;
  }[];
}

/** What stands between a fan's impeller and the mains; a part that is not named takes nothing. */
export interface ChainPart<F extends Form = "parsed"> {
  /** Bearings and belt or gear [-] */
  readonly transmission?: EfficiencyPart<F>;
  /** Mechanical output over electrical input [-] */
  readonly motor: EfficiencyPart<F>;
  /** Of the speed controller [-] */
  readonly controller?: EfficiencyPart<F>;
}

const share = () => quantity("fraction", { above: 0, max: 1 });

const efficiency: Field<EfficiencyPart, EfficiencyPart<"written">> = exactly<
  EfficiencyPart,
  EfficiencyPart<"written">
>()(
  named(
    "efficiency",
    "Output divided by input of a part between the impeller and the mains; for a motor, mechanical output divided by electrical input.",
    forms(
      about("The same at any load.", share()),
      object({
        ratedOutput: about("Output at load 1.", quantity("power", { above: 0 })),
        points: about(
          "Loads rise strictly. Below the first, the loss is held constant; above the last, the efficiency.",
          list(
            object({
              load: about("Output divided by `ratedOutput`.", number({ above: 0 })),
              efficiency: about("Output divided by input there.", share()),
            }),
            2,
          ),
        ),
      }),
    ),
  ),
);

/** The chain of efficiencies from a fan's impeller to the mains. */
export const chain: Field<ChainPart, ChainPart<"written">> = exactly<ChainPart, ChainPart<"written">>()(
  named(
    "chain",
    "Efficiencies from the impeller to the mains; the efficiencies of the curve's points are then the impeller's.",
    object({
      transmission: about(
        "Of bearings and belt or gear; leave out for an impeller on the motor's shaft.",
        optional(efficiency),
      ),
      motor: efficiency,
      controller: about("Of the speed controller; leave out for a motor at the mains.", optional(efficiency)),
    }),
  ),
);
