import type { Source } from "../core/sources.js";
import type { Equipment, EquipmentRating, NumberParameter, ParametersOf, Spread } from "./fitting.js";

const maker: Source = { author: "the maker of the equipment", title: "rating, as given", status: "read" };
/** Where an exponent comes from. */
/* @__NO_SIDE_EFFECTS__ */
export const practice = (where: string): Source => ({
  author: "common practice",
  title: "how the loss of equipment grows with its flow",
  where,
  status: "memory",
});
/** Ratings are measured, each piece of equipment for itself. */
export const ratingSpread: Spread = { family: "ratings of equipment", shared: 0, own: 0.1 };

/* @__NO_SIDE_EFFECTS__ */
const pressure = (meaning: string): NumberParameter => ({ quantity: "pressure", meaning, range: { min: 0 } });
const flow: NumberParameter = { quantity: "flow", meaning: "Flow of the rating.", range: { above: 0 } };
/* @__NO_SIDE_EFFECTS__ */
const exponent = (preset: number): NumberParameter => ({
  quantity: "number",
  meaning: "Exponent of the flow in the loss: 1 laminar, 2 turbulent.",
  range: { min: 1, max: 2 },
  preset,
});
const density: NumberParameter = {
  quantity: "density",
  meaning: "Density of the air at the rating.",
  range: { above: 0 },
  preset: 1.2,
};
const viscosity: NumberParameter = {
  quantity: "viscosity",
  meaning: "Viscosity of the air at the rating.",
  range: { above: 0 },
  preset: 1.81e-5,
};

/** What describes a `filter`. */
export interface FilterParameters extends Omit<EquipmentRating, "pressure"> {
  /** Loss of the clean filter at `flow` [Pa] */
  readonly clean: number;
  /** Loss at `flow` at which it is changed [Pa] */
  readonly loaded: number;
  /** 0 clean to 1 due for a change [-] */
  readonly loading: number;
}

/** An air filter between clean and due for a change: clean + loading·(loaded − clean). */
export const filter: Equipment<FilterParameters> = {
  kind: "filter",
  family: "equipment",
  place: "duct",
  meaning: "An air filter, between clean and due for a change.",
  parameters: {
    clean: pressure("Loss of the clean filter at its flow."),
    loaded: pressure("Loss, at the same flow, at which the filter is changed."),
    flow,
    loading: {
      quantity: "fraction",
      meaning: "How far the loss has risen from clean to loaded: 0 is clean, 1 is loaded.",
      range: { min: 0, max: 1 },
      preset: 0,
    },
    exponent: exponent(1.4),
    density,
    viscosity,
  },
  sources: [maker, practice("exponent 1.4: laminar through the medium, turbulent through frame and pleats")],
  spread: ratingSpread,
  caution: "Choose the fan for the loaded filter: the flow of a system set up with a clean one falls as it loads.",
  faults: ({ clean, loaded }) =>
    loaded >= clean ? [] : [{ key: "loaded", expected: `at least ${clean}, the clean loss`, found: String(loaded) }],
  rating: ({ clean, loaded, loading, flow, exponent, density, viscosity }) => ({
    pressure: clean + loading * (loaded - clean),
    flow,
    exponent,
    density,
    viscosity,
  }),
};

/** The parameters of a rating: one loss at one flow, and how it grows. */
/* @__NO_SIDE_EFFECTS__ */
export const ratingParameters = (meaning: string, preset: number): ParametersOf<EquipmentRating> => ({
  pressure: pressure(meaning),
  flow,
  exponent: exponent(preset),
  density,
  viscosity,
});

/** A rating as it is given. */
export const asGiven = ({ pressure, flow, exponent, density, viscosity }: EquipmentRating): EquipmentRating => ({
  pressure,
  flow,
  exponent,
  density,
  viscosity,
});

/** A piece of equipment with one loss at one flow. */
/* @__NO_SIDE_EFFECTS__ */
const rated = (kind: string, meaning: string, preset: number, reason: string): Equipment<EquipmentRating> => ({
  kind,
  family: "equipment",
  place: "duct",
  meaning,
  parameters: ratingParameters("Loss of total pressure at its flow.", preset),
  sources: [maker, practice(`exponent ${preset}: ${reason}`)],
  spread: ratingSpread,
  rating: asGiven,
});

/** A heating or cooling coil by its rating. */
export const coil: Equipment<EquipmentRating> = rated(
  "coil",
  "A dry heating or cooling coil; the pressure drop of a wet one is higher.",
  1.75,
  "between the friction of narrow fins and the wakes of tubes",
);

/** A sound attenuator by its rating. */
export const attenuator: Equipment<EquipmentRating> = rated(
  "attenuator",
  "A sound attenuator.",
  2,
  "entry and exit of its passages, fully turbulent",
);

/** One side of a heat exchanger by its rating. */
export const exchanger: Equipment<EquipmentRating> = rated(
  "exchanger",
  "One side of an air-to-air heat exchanger.",
  1.4,
  "laminar in its narrow channels, turbulent at their ends and in the casing",
);
