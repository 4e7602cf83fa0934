import { positive } from "../../core/ranges.js";
import { exactly, type Field, forms, named, object, quantity, word } from "../../input/fields.js";
import type { Form, Quantified } from "./forms.js";

/** A round section. */
export interface RoundSection<F extends Form = "parsed"> {
  /** [m] */
  readonly diameter: Quantified<F>;
}
/** A rectangular section. */
export interface RectangularSection<F extends Form = "parsed"> {
  /** [m] */
  readonly width: Quantified<F>;
  /** [m] */
  readonly height: Quantified<F>;
}
/** A flat-oval section: two half circles joined by straight sides. */
export interface FlatOvalSection<F extends Form = "parsed"> extends RectangularSection<F> {
  readonly shape: "flatOval";
}
/** The clear section of a duct or spigot. */
export type SectionPart<F extends Form = "parsed"> = RoundSection<F> | RectangularSection<F> | FlatOvalSection<F>;

const side = () => quantity("length", positive);

/** A section. */
export const section: Field<SectionPart, SectionPart<"written">> = exactly<SectionPart, SectionPart<"written">>()(
  named(
    "section",
    "The clear section of a duct or spigot: round, rectangular or flat-oval.",
    forms(
      object({ diameter: side() }),
      object({ width: side(), height: side() }),
      object({ shape: word("flatOval"), width: side(), height: side() }),
    ),
  ),
);
