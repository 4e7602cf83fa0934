import type { Source } from "../../core/sources.js";
import type { Spread } from "../../fittings/fitting.js";
import { layoutOf, type Network, type NetworkDocument, parseNetwork } from "../document/document.js";
import { airProvenance, inheritedProvenance } from "../elements/climate.js";
import { ductProvenance } from "../elements/duct-provenance.js";
import { kindOf } from "../elements/kinds/list.js";
import { openingProvenance } from "../elements/opening.js";
import { givenSource, type Provenance } from "../results/provenance.js";
import type { Solution } from "../results/solution.js";
import { requireSolutionOf } from "../solve/solution-check.js";

/** A source, and the parts of an answer that rest on it in one way. */
export interface SourceEntry {
  source: Source;
  /** These parts, as paths by id: `ducts.d1.fittings.0`, `nodes.cowl.end`, `ducts.d1.roughness`. */
  of: string[];
  /**
   * How far published models and measurements lie from each of these values, as fractions of it [-]. A part that rests on
   * several sources has the same spread with each: it counts once a part, and its shared half once a family.
   */
  spread?: Spread;
  /** Something that the reader should know of this use of the source. */
  note?: string;
}

/** The least certain first; what the document gives comes last of all. */
const order: readonly Source["status"][] = ["memory", "computed", "library", "read"];
const rankOf = (source: Source): number => (source === givenSource ? order.length : order.indexOf(source.status));

/**
 * What a solved network rests on: friction law, air, surfaces, equivalent diameters, fittings, ends, transitions, fans,
 * openings, each with its source, how the source came into this library, and its spread. Lengths, sections, heights and
 * pressures of the document are not listed; its ratings and coefficients are, as given. Flow directions, and whether
 * flow is laminar, are as solved.
 *
 * @param network - The network, parsed or as a document.
 * @param solution - Its solution [SI].
 * @returns Plain data, one entry for each source in each spread and note, with the paths of the values that come from
 *   it; spreads are fractions [-]. Sources from memory come first, then computed ones, ones from a library, ones read,
 *   and last what the document gives. All sources of a fitting's kind are listed, also those for other shapes than its
 *   own.
 * @throws DocumentError for a wrong document; InputError `solution.mismatch` for the solution of another network,
 *   `not-an-object` for no solution.
 *
 * Source: each entry's own `source`.
 * @example sources(network, solution).filter(({ source }) => source.status === "memory");
 */
export function sources(network: Network | NetworkDocument, solution: Solution): SourceEntry[] {
  const parsed = parseNetwork(network);
  requireSolutionOf(parsed, solution);
  const merged = new Map<string, { readonly source: Source; readonly entry: SourceEntry; readonly of: Set<string> }>();
  for (const { source, of, ...more } of provenance(parsed, solution)) {
    const key = JSON.stringify([source, more.spread, more.note]);
    let known = merged.get(key);
    if (known === undefined) {
      known = { source, entry: { source: { ...source }, of: [], ...more }, of: new Set() };
      merged.set(key, known);
    }
    known.of.add(of);
  }
  return [...merged.values()]
    .sort((one, other) => rankOf(one.source) - rankOf(other.source))
    .map(({ entry, of }) => ({ ...entry, of: [...of] }));
}

/** Everything in the order of the document. */
function* provenance(network: Network, solution: Solution): Generator<Provenance> {
  const { air, outdoorAir, friction } = network;
  const layout = layoutOf(network);
  yield* airProvenance(air, air, "air");
  if (outdoorAir !== undefined) yield* airProvenance(outdoorAir, air, "outdoorAir");
  for (const node of network.nodes) {
    if ("air" in node && node.air !== undefined) yield* airProvenance(node.air, air, `nodes.${node.id}.air`);
    const found = kindOf(node).provenance?.(node, layout, solution);
    if (found !== undefined) yield* found;
  }
  for (const duct of network.ducts) {
    const inherited = layout.inheritedBy(duct);
    if (inherited !== undefined) yield* inheritedProvenance(inherited, `ducts.${duct.id}.air`);
    if (duct.air !== undefined) yield* airProvenance(duct.air, air, `ducts.${duct.id}.air`);
    yield* ductProvenance(duct, friction, solution.ducts[duct.id].reynolds);
  }
  for (const opening of network.openings) yield openingProvenance(opening);
}
