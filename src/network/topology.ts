import { MultiUndirectedGraph } from "graphology";
import type { Problem } from "../core/errors.js";
import { shown } from "../core/show.js";
import { problem } from "../input/faults.js";
import { DisjointSets } from "../numerics/disjoint-sets.js";
import { equipmentRating, lawsOf } from "./catalogue-parts.js";
import type { Duct, Opening } from "./elements.js";
import { kindOf } from "./kinds/list.js";
import { endsOf } from "./meetings.js";
import type { FittingPart, SectionPart } from "./parts.js";
import { nodeIdOf, type Plan } from "./plan.js";
import type { ReadElements } from "./read.js";

/** The still outdoor air, as a point of the network: no id is empty. */
const still = "";
const mostNamed = 8;

interface PointAttributes {
  /** The node's id, or `node.port`. */
  readonly name: string;
  /** Its pressure is given. */
  readonly given: boolean;
  /** It stands beside a fault, and may have a pressure that is not known. */
  readonly doubtful: boolean;
  readonly place: string;
}
/** What is kept of a branch in which air loses nothing; of the many others only that they join. */
interface BranchAttributes {
  readonly lossless?: { readonly name: string; readonly path: string };
}
type Graph = MultiUndirectedGraph<PointAttributes, BranchAttributes>;

/** A point in the graph, which looks its points up in plain objects: with a colon no id is one of their own keys. */
const keyOf = (name: string): string => `:${name}`;

const fittingResists = (fitting: FittingPart, section: SectionPart): boolean => {
  if (fitting.kind === "fixed") return fitting.coefficient > 0;
  if (fitting.kind === "rating") return fitting.pressure > 0;
  if (fitting.kind === "regulator") return true;
  const laws = lawsOf(fitting, section);
  return (laws?.forward.coefficient ?? equipmentRating(fitting)?.pressure ?? 0) > 0;
};

/** Whether air in a duct loses pressure, in both directions. */
const resists = (duct: Duct, plan: Plan): boolean => {
  const { frictionFactor, frictionRating, fittings, length } = duct;
  const wall = frictionRating === undefined ? frictionFactor !== 0 : frictionRating.pressure > 0;
  if (length > 0 && wall) return true;
  if (fittings.some((one) => fittingResists(one, duct.section))) return true;
  const from = plan.meetings.names.get(duct.from) as number;
  const to = plan.meetings.names.get(duct.to) as number;
  if ((plan.ratingAt(from, duct)?.pressure ?? 0) + (plan.ratingAt(to, duct)?.pressure ?? 0) > 0) return true;
  const forward = plan.entryAt(from, duct) + plan.exitAt(to, duct);
  const backward = plan.entryAt(to, duct) + plan.exitAt(from, duct);
  return forward > 0 && backward > 0;
};

const graphOf = ({ nodes, ducts, openings }: ReadElements, plan: Plan, doubtful: ReadonlySet<string>): Graph => {
  const graph: Graph = new MultiUndirectedGraph();
  graph.addNode(keyOf(still), { name: still, given: true, doubtful: false, place: "" });
  const join = (from: string, to: string, lossless: BranchAttributes["lossless"]): void => {
    const [a, b] = [keyOf(from), keyOf(to)];
    if (!graph.hasNode(a) || !graph.hasNode(b)) return;
    if (lossless === undefined) graph.addEdge(a, b);
    else graph.addEdge(a, b, { lossless });
  };
  for (const { place, id, value } of nodes) {
    if (value === undefined || id === undefined) continue;
    const given = kindOf(value).pressure(value) !== undefined;
    for (const name of endsOf(value)) {
      graph.mergeNode(keyOf(name), { name, given, doubtful: doubtful.has(id), place: place.path });
    }
  }
  for (const { place, id, value } of nodes) {
    if (value === undefined) continue;
    for (const { from, to, resists: loses } of kindOf(value).links(value)) {
      join(from, to, loses ? undefined : { name: id ?? place.path, path: place.path });
    }
  }
  for (const { place, value } of ducts) {
    if (value === undefined || !plan.meetings.names.has(value.from) || !plan.meetings.names.has(value.to)) continue;
    join(value.from, value.to, resists(value, plan) ? undefined : { name: value.id, path: place.path });
  }
  for (const { value } of openings) if (value !== undefined) join(value.from, value.to, undefined);
  return graph;
};

/** A node with ports that no duct joins yet stands in pieces; each piece counts by itself. */
const named = (points: readonly string[]): string => {
  const names = [...new Set(points.map(nodeIdOf))];
  const few = names.slice(0, mostNamed).map(shown).join(", ");
  return names.length > mostNamed ? `${few} and ${names.length - mostNamed} more` : few;
};

/** Parts of the network without any point of given pressure: their pressures have no level. */
const partsWithoutReference = (graph: Graph): Problem[] => {
  const seen = new Set<string>();
  const problems: Problem[] = [];
  graph.forEachNode((start, { name, place }) => {
    if (seen.has(start)) return;
    seen.add(start);
    const part = [start];
    const names: string[] = [];
    let fixed = false;
    for (let next = 0; next < part.length; next++) {
      const point = graph.getNodeAttributes(part[next]);
      names.push(point.name);
      if (point.given || point.doubtful) fixed = true;
      // Much hangs on the still air that has nothing else in common.
      if (point.name === still) continue;
      graph.forEachNeighbor(part[next], (neighbour, { name: other }) => {
        if (other === still) fixed = true;
        if (seen.has(neighbour)) return;
        seen.add(neighbour);
        part.push(neighbour);
      });
    }
    if (fixed) return;
    const expected = "outdoors, a room with a pressure or a terminal without a room in every connected part";
    const found = `a part without any: ${named(names)}`;
    problems.push(problem({ path: place, id: nodeIdOf(name) }, "network.no-reference", expected, found));
  });
  return problems;
};

const placeName = ({ name }: PointAttributes): string => (name === still ? "the outdoor air" : shown(name));

/**
 * Loops, and paths between given pressures, along which no air would lose pressure: their flow has no limit or no value.
 * All given pressures count as one point; a branch without resistance that joins what such branches join already
 * closes a loop.
 */
const pathsWithoutResistance = (graph: Graph): Problem[] => {
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
  const problems: Problem[] = [];
  graph.forEachEdge((_, { lossless }, _from, _to, from, to) => {
    if (lossless === undefined) return;
    const { name, path } = lossless;
    const a = leaderOf(from.given ? still : from.name);
    const b = leaderOf(to.given ? still : to.name);
    if (a !== b) {
      leader.set(a, b);
      return;
    }
    const expected = "a length, a loss or a fitting somewhere in every loop and in every path between given pressures";
    const found = `${shown(name)}, which closes one without any, between ${placeName(from)} and ${placeName(to)}`;
    problems.push(problem({ path, id: name }, "network.no-resistance", expected, found));
  });
  return problems;
};

/**
 * Whether a network of which nothing is wrong so far plainly has no fault as a graph either: each part has a point of
 * given pressure, and air loses pressure in every branch. Nearly all networks are such, and need no graph object.
 */
export const isPlainlySound = (plan: Plan, openings: readonly Opening[]): boolean => {
  const { nodes, ducts } = plan.elements;
  const { ends, firstPlace, kinds, names, nodeOf } = plan.meetings;
  const ground = nodeOf.length;
  const parts = new DisjointSets(ground + 1);
  const placeOf = (end: string): number => (end === still ? ground : (names.get(end) as number));
  for (let n = 0; n < nodes.length; n++) {
    const kind = kinds[n];
    if (kind.pressure(nodes[n]) !== undefined) parts.join(firstPlace[n], ground);
    for (const { from, to, resists: loses } of kind.links(nodes[n])) {
      if (!loses) return false;
      parts.join(placeOf(from), placeOf(to));
    }
  }
  for (let d = 0; d < ducts.length; d++) {
    if (!resists(ducts[d], plan)) return false;
    parts.join(ends[2 * d], ends[2 * d + 1]);
  }
  for (const { from, to } of openings) parts.join(placeOf(from), placeOf(to));
  const grounded = parts.leaderOf(ground);
  for (let place = 0; place < ground; place++) if (parts.leaderOf(place) !== grounded) return false;
  return true;
};

/** Faults of the network as a graph: parts without a level of pressure, paths without resistance. */
export const topologyProblems = (elements: ReadElements, plan: Plan, doubtful: ReadonlySet<string>): Problem[] => {
  const graph = graphOf(elements, plan, doubtful);
  return [...partsWithoutReference(graph), ...pathsWithoutResistance(graph)];
};
