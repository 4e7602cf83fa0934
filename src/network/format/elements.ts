import { compressionCovered } from "../../ducts/flexible.js";
import { areaOf } from "../../ducts/geometry.js";
import { roughnessOf } from "../../ducts/roughness.js";
import {
  about,
  changed,
  choice,
  count,
  exactly,
  type Field,
  flag,
  forms,
  list,
  number,
  object,
  optional,
  preset,
  quantity,
  quantityOrName,
  text,
} from "../../input/fields.js";
import { type AirPart, air } from "./air.js";
import type { Form, Labelled, Preset, Quantified } from "./forms.js";
import { end, id, labels } from "./identifiers.js";
import { type FittingPart, type FrictionRatingPart, fitting, frictionRating } from "./losses.js";
import { type SectionPart, section } from "./section.js";

/** A duct, or several equal runs of duct side by side. */
export type Duct<F extends Form = "parsed"> = Labelled & {
  readonly id: string;
  /** The node, or the port of one (`unit.supply`), where it begins. */
  readonly from: string;
  /** The node or port where it ends. */
  readonly to: string;
  /** Along the centre line, to where axes meet [m] */
  readonly length: Quantified<F>;
  readonly section: SectionPart<F>;
  /** The material that `roughness` was taken from. */
  readonly material?: string;
  /** A known Darcy factor, in place of the roughness [-] */
  readonly frictionFactor?: number;
  /** The maker's friction data, in place of the roughness. */
  readonly frictionRating?: FrictionRatingPart<F>;
  /** Default: what it inherits where a unit gives its exchanger or frost protection, else the network's air. */
  readonly air?: AirPart<F>;
  /** Loss where it takes air from a plenum, a room or a terminal's box, on its ½ρv²; default: the node's [-] */
  readonly entry?: number;
  /** It lets no air flow from `to` to `from`. */
  readonly backdraught?: boolean;
} & Preset<
    F,
    {
      /** Absolute roughness [m]; written also the name of a material. */
      readonly roughness: Quantified<F>;
      /** The diameter on which friction is computed where the section is not round. */
      readonly equivalent: "circular" | "hydraulic";
      /** Number of equal runs side by side. */
      readonly parallel: number;
      /** Share of its full length by which a flexible duct is shorter [-] */
      readonly compression: Quantified<F>;
      /** On each run. */
      readonly fittings: readonly FittingPart<F>[];
    }
  >;

/** The area of a duct's runs together [m²]. */
export const ductArea = ({ section, parallel }: Duct): number => parallel * areaOf(section);

/** A duct. */
export const duct: Field<Duct, Duct<"written">> = exactly<Duct, Duct<"written">>()(
  changed(
    object({
      id: id(),
      ...labels(),
      from: about("A node's id, or one of its ports: `unit.supply`. Flow counts from here.", end()),
      to: about("A node's id, or one of its ports.", end()),
      length: about("Along centre lines, to where axes meet.", quantity("length", { min: 0 })),
      section,
      material: about("With a number in `roughness`: the material it was taken from.", optional(text())),
      frictionFactor: about("A known Darcy factor, in place of the roughness.", optional(number({ min: 0 }))),
      frictionRating: about("Friction data of the maker, in place of the roughness.", optional(frictionRating)),
      air: about(
        "Default: inherited along its stream if a unit gives its exchanger or frost protection, else the network's.",
        optional(air),
      ),
      roughness: about(
        "Absolute roughness, or the name of a material.",
        preset(quantityOrName("length", { min: 0 }, "a material", roughnessOf), 0.00009),
      ),
      equivalent: about(
        "The diameter for friction if the section is not round: the equivalent one for the same flow, or the hydraulic one.",
        preset(choice(["circular", "hydraulic"]), "circular" as const),
      ),
      parallel: about("Equal runs side by side.", preset(count(), 1)),
      entry: about(
        "Loss where it takes air from a plenum, a room or a terminal's box. Default: the node's.",
        optional(number({ min: 0 })),
      ),
      backdraught: about(
        "It has a backdraught damper, which lets air flow from `from` to `to` only; when open, it adds no loss.",
        optional(flag()),
      ),
      compression: about(
        "Of a flexible duct: the share of its full length by which it is shortened; friction grows with it.",
        preset(quantity("fraction", compressionCovered.compression), 0),
      ),
      fittings: about("On each run.", preset(list(fitting), [])),
    }),
    (given): Duct => {
      const { roughness } = given;
      if (typeof roughness !== "string") return given as Duct;
      // A spread with other keys beside it would be slow to read ever after (V8), and a network has many.
      return Object.assign({}, given, { material: roughness, roughness: roughnessOf(roughness) });
    },
  ),
);

/** An opening by its flow law q = C·Δpⁿ, the power law of cracks (memory). */
export type OpeningLaw<F extends Form = "parsed"> = {
  /** C [m³/(s·Paⁿ)] */
  readonly coefficient: number;
} & Preset<F, { /** n, 0.5 to 1 [-] */ readonly exponent: number }>;
/** An opening by its area. */
export type OpeningArea<F extends Form = "parsed"> = {
  /** [m²] */
  readonly area: Quantified<F>;
} & Preset<F, { /** [-] */ readonly dischargeCoefficient: number }>;
/** A door gap, a transfer grille, a crack: air between rooms or to the outdoors. */
export type Opening<F extends Form = "parsed"> = Labelled & {
  readonly id: string;
  readonly from: string;
  readonly to: string;
  /** Default: the mean of its two nodes [m] */
  readonly elevation?: Quantified<F>;
} & (OpeningLaw<F> | OpeningArea<F>);

const openingEnds = () =>
  ({
    id: id(),
    ...labels(),
    from: about("The id of a node: outdoors, a room, a junction or a plenum. Flow counts from here.", id()),
    to: about("The id of such a node.", id()),
    elevation: about("Default: the mean of its two nodes.", optional(quantity("length"))),
  }) as const;

/** An opening. */
export const opening: Field<Opening, Opening<"written">> = exactly<Opening, Opening<"written">>()(
  forms(
    object({
      ...openingEnds(),
      coefficient: about("C in q = C·Δpⁿ.", number({ above: 0 }, "m³/(s·Paⁿ)")),
      exponent: about("n in q = C·Δpⁿ.", preset(number({ min: 0.5, max: 1 }), 0.5)),
    }),
    object({
      ...openingEnds(),
      area: quantity("area", { above: 0 }),
      dischargeCoefficient: preset(number({ above: 0, max: 1 }), 0.6),
    }),
  ),
);
