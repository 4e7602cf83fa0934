import { MultiUndirectedGraph } from "graphology";
import { type Problem, problemOf } from "../../core/errors.js";
import { shown } from "../../core/show.js";
import { kindOf } from "../elements/kinds/list.js";
import { endsOf } from "../layout/connectivity.js";
import { type Layout, nodeIdOf } from "../layout/layout.js";
import type { Read, ReadElements } from "./reading.js";
import { closedWithoutResistance, ductResists, groundedPlaces, losslessBranches, still } from "./resistance.js";

const mostNamed = 8;

interface PointAttributes {
  /** The node's id, or `node.port`. */
  readonly name: string;
  /** Its pressure is given, depends on still air, or may be given, as far as can be told beside a fault. */
  readonly referenced: boolean;
  readonly place: string;
}
type Graph = MultiUndirectedGraph<PointAttributes>;

/** A point in the graph, which looks its points up in plain objects: with a colon no id is one of their own keys. */
const keyOf = (name: string): string => `:${name}`;

/** The points of a network, joined by what joins them; still air is left out, since many parts connect to it that have nothing else in common. */
const graphOf = ({ nodes, ducts, openings }: ReadElements, doubtful: ReadonlySet<string>): Graph => {
  const graph: Graph = new MultiUndirectedGraph();
  const join = (from: string, to: string): void => {
    const ends = [from, to].filter((end) => end !== still).map(keyOf);
    if (!ends.every((end) => graph.hasNode(end))) return;
    if (ends.length < 2) graph.setNodeAttribute(ends[0], "referenced", true);
    else graph.addEdge(ends[0], ends[1]);
  };
  for (const { place, id, value } of nodes) {
    if (value === undefined || id === undefined) continue;
    const referenced = doubtful.has(id) || kindOf(value).pressure(value) !== undefined;
    for (const name of endsOf(value)) graph.mergeNode(keyOf(name), { name, referenced, place: place.path });
  }
  for (const { value } of nodes) {
    if (value !== undefined) for (const { from, to } of kindOf(value).links(value)) join(from, to);
  }
  for (const { value } of ducts) if (value !== undefined) join(value.from, value.to);
  for (const { value } of openings) if (value !== undefined) join(value.from, value.to);
  return graph;
};

/** The connected parts of a graph. */
function* partsOf(graph: Graph): Generator<readonly PointAttributes[]> {
  const seen = new Set<string>();
  for (const start of graph.nodes()) {
    if (seen.has(start)) continue;
    const part = new Set([start]);
    // A set grows while it is walked through.
    for (const point of part) {
      seen.add(point);
      graph.forEachNeighbor(point, (neighbour) => part.add(neighbour));
    }
    yield Array.from(part, (point) => graph.getNodeAttributes(point));
  }
}

/** A node with ports that no duct joins yet stands in pieces; each piece counts separately. */
const named = (points: readonly string[]): string => {
  const names = [...new Set(points.map(nodeIdOf))];
  const few = names.slice(0, mostNamed).map(shown).join(", ");
  return names.length > mostNamed ? `${few} and ${names.length - mostNamed} more` : few;
};

/** Parts of the network without any point of given pressure: their pressures have no level. */
const partsWithoutReference = (graph: Graph): Problem[] => {
  const problems: Problem[] = [];
  for (const part of partsOf(graph)) {
    if (part.some(({ referenced }) => referenced)) continue;
    const [{ name, place }] = part;
    const expected =
      "outdoors, a room with a pressure or a terminal without a room in every connected part (in a closed circuit: one outdoors node with its pressure, joined by a duct)";
    const found = `a part that has none: ${named(part.map((point) => point.name))}`;
    problems.push(problemOf("network.no-reference", place, expected, found, { id: nodeIdOf(name) }));
  }
  return problems;
};

/** The elements that were well formed, each with its place. */
function* placed<T>(reads: readonly Read<T>[]): Generator<readonly [T, string]> {
  for (const { place, value } of reads) if (value !== undefined) yield [value, place.path];
}

/** Loops, and paths between given pressures, along which no air would lose pressure. */
const pathsWithoutResistance = ({ nodes, ducts }: ReadElements, layout: Layout): Problem[] => {
  const branches = losslessBranches(placed(nodes), placed(ducts), layout);
  return Array.from(
    closedWithoutResistance(branches, layout),
    ({ branch: { name, path }, problem: { code, expected, found } }) =>
      problemOf(code, path, expected, found, { id: name }),
  );
};

/**
 * Whether a network that has no fault so far plainly has no fault as a graph either: each part has a point of
 * given pressure, and air loses pressure in every branch. Nearly all networks are such, and need no graph object.
 */
export const isPlainlySound = (layout: Layout): boolean => {
  const { nodes, ducts, openings } = layout.elements;
  const { ends, kinds } = layout.connectivity;
  const { ground, placeOf, sets: parts } = groundedPlaces(layout);
  for (let n = 0; n < nodes.length; n++) {
    for (const { from, to, resists } of kinds[n].links(nodes[n])) {
      if (!resists) return false;
      parts.join(placeOf(from), placeOf(to));
    }
  }
  for (let d = 0; d < ducts.length; d++) {
    if (!ductResists(ducts[d], layout)) return false;
    parts.join(ends[2 * d], ends[2 * d + 1]);
  }
  for (const { from, to } of openings) parts.join(placeOf(from), placeOf(to));
  const grounded = parts.leaderOf(ground);
  for (let place = 0; place < ground; place++) if (parts.leaderOf(place) !== grounded) return false;
  return true;
};

/** Faults of the network as a graph: parts without a level of pressure, paths without resistance. */
export const topologyProblems = (elements: ReadElements, layout: Layout, doubtful: ReadonlySet<string>): Problem[] => {
  const graph = graphOf(elements, doubtful);
  return [...partsWithoutReference(graph), ...pathsWithoutResistance(elements, layout)];
};
