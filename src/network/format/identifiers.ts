import {
  type AnyField,
  about,
  anything,
  type Defaulted,
  type Field,
  type Optional,
  optional,
  preset,
  type QuantityField,
  quantity,
  type TextField,
  text,
  textLike,
} from "../../input/fields.js";

/** The words that ids are made of; ids hold no dots, so that paths can. */
export const idPattern: RegExp = /^[A-Za-z0-9][A-Za-z0-9_-]*$/;

/** The id of a node, a duct or an opening. */
export const id = (): Field<string> =>
  textLike(idPattern, "id.form", "an id of letters, digits, '-' and '_', beginning with a letter or digit");

/** An id, or an id with a port or a stream. */
export const endPattern: RegExp = /^[A-Za-z0-9][A-Za-z0-9_-]*(\.[A-Za-z]+)?$/;

/** Where a duct may end. */
export const end = (): TextField => textLike(endPattern, "end.form", "a node's id, or its port such as 'unit.supply'");

/** `label` and `meta`. */
export const labels = (): { label: Optional<TextField>; meta: Optional<AnyField> } => ({
  label: about("A name for people; ignored.", optional(text())),
  meta: about("Any JSON; kept, but ignored.", optional(anything())),
});

/** `elevation`, 0 where it is not given. */
export const elevation = (): Defaulted<QuantityField> =>
  about("Height above the reference level of the building.", preset(quantity("length"), 0));
