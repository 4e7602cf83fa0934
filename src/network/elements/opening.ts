import type { Source } from "../../core/sources.js";
import type { Answer } from "../equations/state.js";
import type { Opening } from "../format/elements.js";
import { givenProvenance, type Provenance } from "../results/provenance.js";
import { type Assembly, type Block, columnAt, columnKeys, type NumbersRead, resumeBranch } from "./element.js";

const dischargeSource: Source = {
  author: "common practice",
  title: "discharge coefficient of openings with a sharp edge",
  where: "0.6; 0.6 to 0.65 in use",
  status: "memory",
};
/** The coefficient that an opening has unless the document says otherwise [-]; it cannot be told from the same given. */
const usualDischarge = 0.6;

/** What an opening rests on. */
export const openingProvenance = (opening: Opening): Provenance => {
  const of = `openings.${opening.id}`;
  if ("coefficient" in opening) return givenProvenance(`${of}.coefficient`);
  const usual = opening.dischargeCoefficient === usualDischarge;
  return usual
    ? { source: dischargeSource, of: `${of}.dischargeCoefficient` }
    : givenProvenance(`${of}.dischargeCoefficient`);
};

/** C [m³/(s·Paⁿ)] of an opening for air of a density: an area opens by C_d·A·√(2/ρ). */
const coefficientOf = (opening: Opening, density: number): number =>
  "coefficient" in opening ? opening.coefficient : opening.dischargeCoefficient * opening.area * Math.sqrt(2 / density);

/** What an opening reads of the nodes that it leads to. */
export const openingReads = ({ from, to }: Opening): NumbersRead[] =>
  [from, to].map((id) => ({ list: "nodes", id, keys: columnKeys }));

/** An opening in the equations: one branch, with the air of the side that it comes from. */
export const assembleOpening = (opening: Opening, assembly: Assembly): Block => {
  const { builder, site } = assembly;
  const branch = builder.branch(site.placeAt(opening.from).point, site.placeAt(opening.to).point);
  const term = builder.opening(branch);

  const densities = (): { from: number; to: number } => ({
    from: site.airOf(opening.from).density,
    to: site.airOf(opening.to).density,
  });
  const refresh = (): void => {
    const { equations } = assembly;
    const { from, to } = densities();
    const mean = (site.placeAt(opening.from).node.elevation + site.placeAt(opening.to).node.elevation) / 2;
    const height = opening.elevation ?? mean;
    const forward = coefficientOf(opening, from);
    equations.setOpening(term, {
      forward,
      backward: coefficientOf(opening, to),
      exponent: "exponent" in opening ? opening.exponent : 0.5,
      density: from,
      densityBack: to,
    });
    equations.setOffset(branch, columnAt(site, opening.from, height) - columnAt(site, opening.to, height));
    equations.setStart(branch, from, forward); // the flow that 1 Pa drives
  };
  const report = ({ massFlow, pressure }: Answer, { openings }: Parameters<Block["report"]>[1]): void => {
    const { equations } = assembly;
    const m = massFlow[branch];
    const { from, to } = densities();
    openings[opening.id] = {
      flow: m / (m >= 0 ? from : to),
      massFlow: m,
      pressureDifference: pressure[equations.from[branch]] - pressure[equations.to[branch]] - equations.offset[branch],
    };
  };
  const resume: Block["resume"] = ({ openings }, { massFlow }) =>
    resumeBranch(openings[opening.id]?.massFlow, branch, massFlow);
  return { refresh, resume, report };
};
