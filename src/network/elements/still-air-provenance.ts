import { flushEnd } from "../../fittings/ends.js";
import { givenProvenance, type Provenance } from "../results/provenance.js";
import type { Solution } from "../results/solution.js";
import type { Site } from "./element.js";

/** Whether the air of a duct comes from a node where it begins or ends. */
export const takesFrom = (node: string, duct: { id: string; from: string }, { ducts }: Solution): boolean =>
  (duct.from === node) === ducts[duct.id].massFlow >= 0;

const [entrySource, exitSource] = flushEnd.sources;
/** The entry that a place of still air has unless the document says otherwise [-]; it cannot be told from the same given. */
const usualEntry = 0.5;

/** What ducts rest on that meet still air: a sharp edge where they take from it, and the loss of the whole jet into it. */
export function* stillAirProvenance(
  node: { readonly id: string; readonly entry: number },
  site: Site,
  solution: Solution,
): Generator<Provenance> {
  for (const duct of site.ductsAt(node.id)) {
    if (!takesFrom(node.id, duct, solution)) yield { source: exitSource, of: `ducts.${duct.id}.exitLoss` };
    else if (duct.entry !== undefined) yield givenProvenance(`ducts.${duct.id}.entry`);
    else if (node.entry !== usualEntry) yield givenProvenance(`nodes.${node.id}.entry`);
    else yield { source: entrySource, of: `nodes.${node.id}.entry`, spread: flushEnd.spread };
  }
}
