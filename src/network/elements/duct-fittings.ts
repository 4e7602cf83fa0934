import { isWithin } from "../../core/ranges.js";
import type { Section } from "../../ducts/geometry.js";
import { ratingCoefficient } from "../../ducts/ratings.js";
import type { EquipmentRating, Laws } from "../../fittings/fitting.js";
import { factorAt } from "../../fittings/reynolds.js";
import type { EquationsBuilder } from "../equations/builder.js";
import type { Equations } from "../equations/equations.js";
import { catalogueFitting, equipmentRating, lawsOf } from "../format/catalogue.js";
import type { Duct } from "../format/elements.js";
import type { FittingPart } from "../format/losses.js";
import type { FittingResult, OutsideResult } from "../results/solution.js";
import { type DuctState, reynoldsOf } from "./duct-state.js";
import type { Assembly } from "./element.js";
import { regulatorResult, regulatorTerm } from "./regulator.js";

/** The term of a fitting in the equations: of a rated loss, a coefficient of the catalogue, or a regulator. */
interface FittingTerm {
  readonly kind: "rating" | "coefficient" | "regulator";
  readonly term: number;
  /** Of the catalogue. */
  laws?: Laws;
}

/** By fitting; fixed ones have none. */
export type FittingTerms = readonly (FittingTerm | undefined)[];

/** The rated loss of a fitting or a piece of equipment; undefined where it has none. */
const ratingOf = (fitting: FittingPart): EquipmentRating | undefined => {
  if (fitting.kind === "rating") return fitting;
  return fitting.kind === "fixed" ? undefined : equipmentRating(fitting);
};

/** Whether air that passes a fitting loses pressure. */
export const fittingResists = (fitting: FittingPart, section: Section): boolean => {
  if (fitting.kind === "fixed") return fitting.coefficient > 0;
  if (fitting.kind === "regulator") return true;
  return (lawsOf(fitting, section)?.forward.coefficient ?? ratingOf(fitting)?.pressure ?? 0) > 0;
};

/** The coefficients of the fixed fittings of one run [-]. */
export const fixedFittings = (duct: Duct): number => {
  const { fittings } = duct;
  let sum = 0;
  for (let i = 0; i < fittings.length; i++) {
    const fitting = fittings[i];
    if (fitting.kind === "fixed") sum += fitting.count * fitting.coefficient;
  }
  return sum;
};

/** Gives a fitting the term that it needs in a branch; fixed ones need none. */
export const fittingTerm = (
  fitting: FittingPart,
  branch: number,
  builder: EquationsBuilder,
): FittingTerm | undefined => {
  if (fitting.kind === "fixed") return undefined;
  if (fitting.kind === "regulator") return { kind: "regulator", term: builder.fan(branch) };
  if (ratingOf(fitting) !== undefined) return { kind: "rating", term: builder.power(branch) };
  return { kind: "coefficient", term: builder.reynoldsDependent(branch) };
};

/**
 * Writes what the fittings of a duct lose that have a term of their own.
 *
 * @returns The coefficients of the catalogue that do not vary with the Reynolds number, together [-].
 */
export const setFittings = (state: DuctState, terms: FittingTerms, { acts, equations }: Assembly): number => {
  const { air, duct, onDuct } = state;
  const { fittings, id, parallel, section } = duct;
  let constant = 0;
  for (let i = 0; i < fittings.length; i++) {
    const fitting = fittings[i];
    const one = terms[i];
    if (one === undefined) continue;
    const { count } = fitting;
    if (fitting.kind === "regulator") {
      equations.setFan(one.term, regulatorTerm(fitting, acts(id), 1 / (air.density * parallel), count));
    } else if (one.kind === "rating") {
      const rating = ratingOf(fitting) as EquipmentRating;
      const coefficient = ratingCoefficient(rating, count * rating.pressure, parallel * rating.flow, air);
      equations.setPower(one.term, coefficient, rating.exponent);
    } else {
      one.laws = lawsOf(fitting, section) as Laws;
      const { coefficient, factor } = one.laws.forward;
      if (factor === undefined) constant += count * coefficient;
      else equations.setReynoldsDependent(one.term, reynoldsOf(state), count * coefficient * onDuct, factor);
    }
  }
  return constant;
};

/** The pressure drop of each fitting of a duct at a mass flow. */
export const fittingResults = (
  state: DuctState,
  terms: FittingTerms,
  massFlow: number,
  equations: Equations,
): FittingResult[] => {
  const { fittings } = state.duct;
  if (fittings.length === 0) return [];
  const onFlow = state.onDuct * (massFlow * Math.abs(massFlow));
  const reynolds = reynoldsOf(state) * Math.abs(massFlow);
  return fittings.map((fitting, i): FittingResult => {
    const { kind, count } = fitting;
    if (fitting.kind === "fixed") {
      const { coefficient } = fitting;
      return { kind, coefficient, loss: count * coefficient * onFlow, model: "given", withinRange: true };
    }
    const { term, laws } = terms[i] as FittingTerm;
    if (fitting.kind === "regulator") return regulatorResult(fitting, -equations.fanPressure(term, massFlow), count);
    if (laws !== undefined) return coefficientResult(fitting, laws, onFlow, reynolds);
    return { kind, loss: equations.powerLoss(term, massFlow), model: "given", withinRange: true };
  });
};

/** Pressure drop of a fitting of the catalogue: `onFlow` is ½ρv² in its duct with the sign of the flow [Pa]. */
const coefficientResult = (fitting: FittingPart, laws: Laws, onFlow: number, reynolds: number): FittingResult => {
  const { kind, count } = fitting;
  const { coefficient: high, factor } = laws.forward;
  const coefficient = factor === undefined ? high : high * factorAt(factor, reynolds);
  const outside: OutsideResult[] = laws.outside.map((one) => ({ ...one }));
  const covered = laws.reynolds ?? catalogueFitting(fitting)?.reynolds;
  if (covered !== undefined && reynolds > 0 && !isWithin(reynolds, covered)) {
    outside.push({ what: "Reynolds number", value: reynolds, range: covered });
  }
  return {
    kind,
    coefficient,
    loss: count * coefficient * onFlow,
    model: laws.model,
    withinRange: outside.length === 0,
    ...(outside.length === 0 ? {} : { outside }),
    ...(laws.note === undefined ? {} : { note: laws.note }),
  };
};
