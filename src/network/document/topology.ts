import { MultiUndirectedGraph } from "graphology";
import type { Problem } from "../../core/errors.js";
import { shown } from "../../core/show.js";
import { problem } from "../../input/faults.js";
import { DisjointSets } from "../../numerics/disjoint-sets.js";
import { kindOf } from "../elements/kinds/list.js";
import type { Opening } from "../format/elements.js";
import { endsOf } from "../layout/connectivity.js";
import { type Layout, nodeIdOf } from "../layout/layout.js";
import type { Read, ReadElements } from "./reading.js";
import { closedWithoutResistance, ductResists, losslessBranches, still } from "./resistance.js";

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
type Graph = MultiUndirectedGraph<PointAttributes>;

/** A point in the graph, which looks its points up in plain objects: with a colon no id is one of their own keys. */
const keyOf = (name: string): string => `:${name}`;

const graphOf = ({ nodes, ducts, openings }: ReadElements, doubtful: ReadonlySet<string>): Graph => {
  const graph: Graph = new MultiUndirectedGraph();
  graph.addNode(keyOf(still), { name: still, given: true, doubtful: false, place: "" });
  const join = (from: string, to: string): void => {
    const [a, b] = [keyOf(from), keyOf(to)];
    if (graph.hasNode(a) && graph.hasNode(b)) graph.addEdge(a, b);
  };
  for (const { place, id, value } of nodes) {
    if (value === undefined || id === undefined) continue;
    const given = kindOf(value).pressure(value) !== undefined;
    for (const name of endsOf(value)) {
      graph.mergeNode(keyOf(name), { name, given, doubtful: doubtful.has(id), place: place.path });
    }
  }
  for (const { value } of nodes) {
    if (value !== undefined) for (const { from, to } of kindOf(value).links(value)) join(from, to);
  }
  for (const { value } of ducts) if (value !== undefined) join(value.from, value.to);
  for (const { value } of openings) if (value !== undefined) join(value.from, value.to);
  return graph;
};

/** A node with ports that no duct joins yet stands in pieces; each piece counts separately. */
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
      // Many parts connect to the still air that have nothing else in common.
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
    const found = `a part that has none: ${named(names)}`;
    problems.push(problem({ path: place, id: nodeIdOf(name) }, "network.no-reference", expected, found));
  });
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
      problem({ path, id: name }, code, expected, found),
  );
};

/**
 * Whether a network that has no fault so far plainly has no fault as a graph either: each part has a point of
 * given pressure, and air loses pressure in every branch. Nearly all networks are such, and need no graph object.
 */
export const isPlainlySound = (layout: Layout, openings: readonly Opening[]): boolean => {
  const { nodes, ducts } = layout.elements;
  const { ends, firstPlace, kinds, names, nodeOf } = layout.connectivity;
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
