import { shown } from "../../core/show.js";
import { kindOf, type NetworkNode } from "../elements/kinds/list.js";
import { equipmentRating, lawsOf } from "../format/catalogue.js";
import type { Duct } from "../format/elements.js";
import type { FittingPart, SectionPart } from "../format/parts.js";
import type { Layout } from "../layout/layout.js";
import type { ElementProblem } from "../results/element-problem.js";

/** The still outdoor air, as a point of the network: no id is empty. */
export const still = "";

/** A branch in which air loses nothing. */
export interface Lossless {
  /** The id of its element. */
  readonly name: string;
  /** The path of its element. */
  readonly path: string;
  readonly from: string;
  readonly to: string;
}

const fittingResists = (fitting: FittingPart, section: SectionPart): boolean => {
  if (fitting.kind === "fixed") return fitting.coefficient > 0;
  if (fitting.kind === "rating") return fitting.pressure > 0;
  if (fitting.kind === "regulator") return true;
  const laws = lawsOf(fitting, section);
  return (laws?.forward.coefficient ?? equipmentRating(fitting)?.pressure ?? 0) > 0;
};

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
  const pointOf = (end: string): string => {
    const place = layout.connectivity.names.get(end);
    if (place === undefined) return still;
    const node = layout.nodeAt(place);
    return kindOf(node).pressure(node) === undefined ? end : still;
  };
  const leader = new Map<string, string>();
  const leaderOf = (point: string): string => {
    let top = point;
    for (let up = leader.get(top); up !== undefined; up = leader.get(top)) top = up;
    for (let step = point; step !== top; ) {
      const up = leader.get(step) as string;
      leader.set(step, top);
      step = up;
    }
    return top;
  };
  for (const branch of branches) {
    const { from, name, to } = branch;
    const a = leaderOf(pointOf(from));
    const b = leaderOf(pointOf(to));
    if (a !== b) {
      leader.set(a, b);
      continue;
    }
    const expected = "a length, a loss or a fitting somewhere in every loop and in every path between given pressures";
    const found = `${shown(name)}, which completes one that has none, between ${pointName(from)} and ${pointName(to)}`;
    yield { branch, problem: { code: "network.no-resistance", key: "", expected, found } };
  }
}
