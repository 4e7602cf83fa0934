import { unknownName } from "../core/nearest.js";
import { requireRange } from "../core/ranges.js";
import { type FrictionLaw, type FrictionLawName, factorBy, frictionLaws } from "./friction-laws.js";

export type { FrictionLawName } from "./friction-laws.js";

const requireLaw = (name: FrictionLawName): FrictionLaw => {
  if (typeof name === "string" && Object.hasOwn(frictionLaws, name)) return frictionLaws[name];
  throw unknownName("law", "law", name, Object.keys(frictionLaws));
};

/**
 * Darcy friction factor f of a full duct: Δp = f·(L/D)·½ρv².
 *
 * `colebrook` is the root of the Colebrook–White formula to machine precision; `haaland`, `swamee-jain` and
 * `serghides` are explicit approximations of it (within about 1.5 %, 3.4 % and 0.004 %). These four are 64/Re up to
 * Re 2000 and a cubic between Re 2000 and 4000 that keeps value and slope continuous; real flow there is unsettled,
 * ±30 % (memory). `churchill` is one form over all Reynolds numbers.
 *
 * @param reynolds - Reynolds number v·D/ν [-], above 0 and at most 1e9.
 * @param relativeRoughness - ε/D [-], 0 to 1; the formulas were fitted up to about 0.05.
 * @param law - The friction law; default `colebrook`.
 * @returns Darcy friction factor [-] (four times the Fanning factor).
 * @throws InputError `out-of-range` when an argument is outside its range, `unknown-law`.
 *
 * Sources: Colebrook, J. Inst. Civ. Eng. 11 (1939); Haaland, J. Fluids Eng. 105 (1983); Swamee and Jain, J. Hydraul.
 * Div. 102 (1976); Serghides, Chem. Eng. 91(5) (1984); Churchill, Chem. Eng. 84(24) (1977); laminar: Hagen–Poiseuille.
 * @example frictionFactor(30_000, 0.00072); // 0.02531710
 */
export function frictionFactor(
  reynolds: number,
  relativeRoughness: number,
  law: FrictionLawName = "colebrook",
): number {
  requireRange("reynolds", reynolds, { above: 0, max: 1e9 });
  requireRange("relativeRoughness", relativeRoughness, { min: 0, max: 1 });
  const chosen = requireLaw(law);
  return factorBy(chosen, reynolds, chosen.prepare(relativeRoughness));
}
