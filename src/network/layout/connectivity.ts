import { type AnyKind, kindOf, type NetworkNode } from "../elements/kinds/list.js";
import type { Duct } from "../format/elements.js";

/** The ends of a node: its ports, or its id where it has none. */
export const endsOf = (node: NetworkNode): readonly string[] => {
  const ports = kindOf(node).ports(node);
  return ports.length === 0 ? [node.id] : ports.map((port) => `${node.id}.${port}`);
};

/**
 * Which ducts meet where, by position: all that follows from the names in a document alone. A place is a node or a port
 * of one; places are numbered in the order of the nodes.
 */
export class Connectivity {
  /** The kind of each node. */
  readonly kinds: readonly AnyKind[];
  /** Position of the node of each place. */
  readonly nodeOf: Int32Array;
  /** The first place of each node, and after the last node the number of places. */
  readonly firstPlace: Int32Array;
  /** Places of both ends of each duct, from before to; −1 where there is no such place. */
  readonly ends: Int32Array;
  /** Where the ducts of each place begin in `ducts`, and after the last place their number. */
  readonly firstDuct: Int32Array;
  /** Positions of the ducts at each place, place after place. */
  readonly ducts: Int32Array;
  private byName: ReadonlyMap<string, number> | undefined;

  constructor(
    private readonly nodes: readonly NetworkNode[],
    ducts: readonly Duct[],
  ) {
    this.kinds = nodes.map(kindOf);
    this.firstPlace = new Int32Array(nodes.length + 1);
    for (let n = 0; n < nodes.length; n++) {
      const ports = this.kinds[n].ports(nodes[n]).length;
      this.firstPlace[n + 1] = this.firstPlace[n] + Math.max(ports, 1);
    }
    const places = this.firstPlace[nodes.length];
    this.nodeOf = new Int32Array(places);
    for (let n = 0; n < nodes.length; n++) this.nodeOf.fill(n, this.firstPlace[n], this.firstPlace[n + 1]);

    const { names } = this;
    this.ends = new Int32Array(2 * ducts.length);
    this.firstDuct = new Int32Array(places + 1);
    for (let d = 0; d < ducts.length; d++) {
      this.ends[2 * d] = names.get(ducts[d].from) ?? -1;
      this.ends[2 * d + 1] = names.get(ducts[d].to) ?? -1;
    }
    for (const place of this.ends) if (place >= 0) this.firstDuct[place + 1]++;
    for (let place = 0; place < places; place++) this.firstDuct[place + 1] += this.firstDuct[place];
    this.ducts = new Int32Array(this.ends.length);
    const next = this.firstDuct.slice();
    for (let end = 0; end < this.ends.length; end++) {
      const place = this.ends[end];
      if (place >= 0) this.ducts[next[place]++] = end >> 1;
    }
  }

  /** Places by the names by which a duct calls them. */
  get names(): ReadonlyMap<string, number> {
    if (this.byName === undefined) {
      const names = new Map<string, number>();
      let place = 0;
      for (const node of this.nodes) for (const end of endsOf(node)) names.set(end, place++);
      this.byName = names;
    }
    return this.byName;
  }

  /** How many ducts meet at a place; each may have several runs. */
  ductCountAt(place: number): number {
    return this.firstDuct[place + 1] - this.firstDuct[place];
  }
}
