import type { Section } from "../../ducts/geometry.js";
import { type DuctFittings, type Ends, fittings, type Transitions } from "../../fittings/catalogue.js";
import type {
  ChoiceParameter,
  Equipment,
  EquipmentRating,
  Fitting,
  GeometryFault,
  Laws,
  NumberParameter,
  TableParameter,
} from "../../fittings/fitting.js";
import { shapeOf } from "../../fittings/shape.js";
import {
  about,
  choice,
  list,
  number,
  type ObjectWithKind,
  object,
  optional,
  preset,
  quantity,
  type Shape,
  word,
} from "../../input/fields.js";
import type { ElementProblem } from "../results/element-problem.js";
import { givenProvenance, type Provenance } from "../results/provenance.js";
import type { Form } from "./forms.js";

/** Parameters as a document writes them: quantities may be texts, and those with a preset may be left out. */
type Written<P> = { readonly [K in keyof P]?: NonNullable<P[K]> extends number ? number | string : P[K] };

/** A part of a document that names a kind of the catalogue and gives its parameters. */
type Named<Kinds, F extends Form> = {
  readonly [K in keyof Kinds]: { readonly kind: K } & (F extends "parsed" ? Readonly<Kinds[K]> : Written<Kinds[K]>);
}[keyof Kinds];

/** A fitting or a piece of equipment of the catalogue in a duct. */
export type CataloguedFitting<F extends Form = "parsed"> = Named<DuctFittings, F>;
/** What a duct ends with outdoors. */
export type EndPart<F extends Form = "parsed"> = Named<Ends, F>;
/** The form of a transition. */
export type TransitionPart<F extends Form = "parsed"> = Named<Transitions, F>;

type AnyFitting = Fitting<object> | Equipment<object>;
type AnyPart = { readonly kind: string };
type Parameter = NumberParameter | ChoiceParameter | TableParameter;
type Parameters = Readonly<Record<string, Parameter>>;

const byKind: ReadonlyMap<string, AnyFitting> = new Map(fittings.map((fitting) => [fitting.kind, fitting]));

const fieldOf = (parameter: Parameter) => {
  if ("columns" in parameter) return about(parameter.meaning, list(object(shapeFrom(parameter.columns)), 2));
  if ("choices" in parameter) {
    return about(parameter.meaning, preset(choice(parameter.choices), parameter.preset));
  }
  const { quantity: what, range } = parameter;
  const field = about(parameter.meaning, what === "number" ? number(range) : quantity(what, range));
  if (parameter.preset !== undefined) return about(parameter.meaning, preset(field, parameter.preset));
  return parameter.optional ? about(parameter.meaning, optional(field)) : field;
};

const shapeFrom = (parameters: Parameters): Shape =>
  Object.fromEntries(Object.entries(parameters).map(([key, parameter]) => [key, fieldOf(parameter)]));

/** The fields of all kinds that stand in one place, with keys that each of them takes beside its own. */
export const catalogueFields = (place: AnyFitting["place"], more: () => Shape = () => ({})): ObjectWithKind[] =>
  fittings
    .filter((fitting) => fitting.place === place)
    .map((fitting) =>
      about(
        fitting.meaning,
        object({ kind: word(fitting.kind), ...shapeFrom(fitting.parameters as Parameters), ...more() }),
      ),
    );

/** The catalogue's fitting that a part names; undefined where it is none, or equipment. */
export const catalogueFitting = ({ kind }: AnyPart): Fitting<object> | undefined => {
  const found = byKind.get(kind);
  return found !== undefined && "laws" in found ? found : undefined;
};

/** The rating of the piece of equipment that a part names; undefined where it is none. */
export const equipmentRating = (part: AnyPart): EquipmentRating | undefined => {
  const found = byKind.get(part.kind);
  return found !== undefined && "rating" in found ? found.rating(part) : undefined;
};

/** The loss coefficients of a part of the catalogue; undefined where it is equipment, or not of the catalogue. */
export const lawsOf = (part: AnyPart, section: Section, other?: Section): Laws | undefined =>
  catalogueFitting(part)?.laws(part, section, other);

/**
 * What a fitting rests on: every source of its kind, with the spread that this geometry has; the document where it is not
 * of the catalogue.
 */
export function* partProvenance(part: AnyPart, of: string, section: Section, other?: Section): Generator<Provenance> {
  const found = byKind.get(part.kind);
  if (found === undefined) {
    yield givenProvenance(of);
    return;
  }
  const laws = lawsOf(part, section, other);
  const note = laws?.note === undefined ? {} : { note: laws.note };
  for (const source of found.sources) yield { source, of, spread: laws?.spread ?? found.spread, ...note };
}

const tableFaults = function* (part: AnyPart, fitting: AnyFitting): Generator<GeometryFault> {
  const parameters = fitting.parameters as Parameters;
  for (const key in parameters) {
    const parameter = parameters[key];
    if (!("columns" in parameter)) continue;
    const [first] = Object.keys(parameter.columns);
    const rows = (part as unknown as Record<string, readonly Record<string, number>[]>)[key];
    for (let row = 1; row < rows.length; row++) {
      const before = rows[row - 1][first];
      const value = rows[row][first];
      if (!(value > before)) {
        yield {
          key: `${key}.${row}.${first}`,
          expected: `above ${before}, the value in the row before`,
          found: `${value}`,
        };
      }
    }
  }
};

/** Faults of a part of the catalogue that show only beside its other parameters and its sections. */
export const partProblems = function* (
  part: AnyPart,
  key: string,
  section: Section,
  other?: Section,
): Generator<ElementProblem> {
  const fitting = byKind.get(part.kind);
  if (fitting === undefined) return;
  const sections = other === undefined ? [section] : [section, other];
  const strange = "shapes" in fitting ? sections.find((one) => !fitting.shapes.includes(shapeOf(one))) : undefined;
  if (strange !== undefined) {
    const expected = `a section that is ${(fitting as Fitting).shapes.join(" or ")}, for which '${part.kind}' has values`;
    yield { code: "fitting.shape", key: `${key}.kind`, expected, found: `one that is ${shapeOf(strange)}` };
    return;
  }
  for (const { key: at, expected, found } of tableFaults(part, fitting)) {
    yield { code: "table.not-rising", key: `${key}.${at}`, expected, found };
  }
  for (const { key: at, expected, found } of fitting.faults?.(part, section, other) ?? []) {
    yield { code: "fitting.geometry", key: at === "" ? `${key}.kind` : `${key}.${at}`, expected, found };
  }
};
