import { shown } from "../../core/show.js";
import { DisjointSets } from "../../numerics/disjoint-sets.js";
import { fittingResists } from "../elements/duct-fittings.js";
import { kindOf, type NetworkNode } from "../elements/kinds/list.js";
import type { Duct } from "../format/elements.js";
import type { Layout } from "../layout/layout.js";
import type { ElementProblem } from "../results/element-problem.js";

/** The still outdoor air, as a point of the network: no id is empty. */
export const still = "";

/** Places of a network as sets of numbers; places of given pressure are joined to a ground, which is also the still air. */
export const groundedPlaces = ({
  connectivity: { firstPlace, kinds, names, nodeOf },
  elements: { nodes },
}: Layout): { readonly sets: DisjointSets; readonly ground: number; placeOf(end: string): number } => {
  const ground = nodeOf.length;
  const sets = new DisjointSets(ground + 1);
  for (let n = 0; n < nodes.length; n++) {
    if (kinds[n].pressure(nodes[n]) !== undefined) sets.join(firstPlace[n], ground);
  }
  return { sets, ground, placeOf: (end) => (end === still ? ground : (names.get(end) as number)) };
};

/** A branch in which air loses nothing. */
export interface Lossless {
  /** The id of its element. */
  readonly name: string;
  /** The path of its element. */
  readonly path: string;
  readonly from: string;
  readonly to: string;
}

/** Whether air in a duct loses pressure, in both directions. */
export const ductResists = (duct: Duct, layout: Layout): boolean => {
  const { frictionFactor, frictionRating, fittings, length } = duct;
  const wall = frictionRating === undefined ? frictionFactor !== 0 : frictionRating.pressure > 0;
  if (length > 0 && wall) return true;
  if (fittings.some((one) => fittingResists(one, duct.section))) return true;
  const from = layout.connectivity.names.get(duct.from) as number;
  const to = layout.connectivity.names.get(duct.to) as number;
  if ((layout.ratingAt(from, duct)?.pressure ?? 0) + (layout.ratingAt(to, duct)?.pressure ?? 0) > 0) return true;
  const forward = layout.entryAt(from, duct) + layout.exitAt(to, duct);
  const backward = layout.entryAt(to, duct) + layout.exitAt(from, duct);
  return forward > 0 && backward > 0;
};

/** The branches of some nodes, and then the ducts, in which air loses nothing; each with the path of its element. */
export function* losslessBranches(
  nodes: Iterable<readonly [node: NetworkNode, path: string]>,
  ducts: Iterable<readonly [duct: Duct, path: string]>,
  layout: Layout,
): Generator<Lossless> {
  const known = (end: string): boolean => end === still || layout.connectivity.names.has(end);
  for (const [node, path] of nodes) {
    for (const { from, to, resists } of kindOf(node).links(node)) {
      if (!resists && known(from) && known(to)) yield { name: node.id, path, from, to };
    }
  }
  for (const [duct, path] of ducts) {
    const { from, id, to } = duct;
    if (known(from) && known(to) && !ductResists(duct, layout)) yield { name: id, path, from, to };
  }
}

const pointName = (end: string): string => (end === still ? "the outdoor air" : shown(end));

/**
 * Branches that close a loop, or a path between given pressures, along which no air would lose pressure: its flow has no
 * limit or no value. All given pressures count as one point; a branch without resistance that joins what such branches join
 * already closes one.
 */
export function* closedWithoutResistance(
  branches: Iterable<Lossless>,
  layout: Layout,
): Generator<{ readonly branch: Lossless; readonly problem: ElementProblem }> {
  const { placeOf, sets } = groundedPlaces(layout);
  for (const branch of branches) {
    const { from, name, to } = branch;
    if (sets.join(placeOf(from), placeOf(to))) continue;
    const expected = "a length, a loss or a fitting somewhere in every loop and in every path between given pressures";
    const found = `${shown(name)}, which completes one that has none, between ${pointName(from)} and ${pointName(to)}`;
    yield { branch, problem: { code: "network.no-resistance", key: "", expected, found } };
  }
}
