import type { AirState } from "../air/state.js";
import { type Climate, climateOf } from "./climate.js";
import type { Duct, Opening } from "./elements.js";
import type { NodeKind } from "./kinds/kind.js";
import { kindOf, type NetworkNode } from "./kinds/list.js";
import type { AirPart, SectionPart } from "./parts.js";
import { ductsOf, type Place, type Site } from "./site.js";

/** The parts of a document that stand in a network. */
export interface Elements {
  readonly air: AirPart;
  readonly outdoorAir?: AirPart;
  readonly nodes: readonly NetworkNode[];
  readonly ducts: readonly Duct[];
  readonly openings: readonly Opening[];
}

/** The id of the node at a duct's end: `unit` of `unit.supply`. */
export const nodeIdOf = (end: string): string => {
  const dot = end.indexOf(".");
  return dot < 0 ? end : end.slice(0, dot);
};

const noDucts: readonly Duct[] = [];

/** The ends of a node: its ports, or its id where it has none. */
export const endsOf = (node: NetworkNode): readonly string[] => {
  const ports = kindOf(node).ports(node);
  return ports.length === 0 ? [node.id] : ports.map((port) => `${node.id}.${port}`);
};

class EndPlace implements Place {
  point = -1;
  runs = 0;
  /** Where the positions of its ducts begin in the plan's list of them. */
  first = 0;

  constructor(
    readonly name: string,
    public node: NetworkNode,
    private readonly kind: NodeKind<NetworkNode>,
    readonly index: number,
    private readonly plan: Plan,
  ) {}

  /** Its pressure, where it is given [Pa]. */
  get given(): number | undefined {
    return this.kind.pressure(this.node);
  }

  duct(which: number): Duct {
    return this.plan.ductAt(this.first + which);
  }

  entry(): number {
    return this.kind.ends.entry(this.node, this.runs);
  }

  exit(): number {
    return this.kind.ends.exit(this.node, this.runs);
  }

  face(): SectionPart | undefined {
    return this.kind.ends.face?.(this.node);
  }
}

/** A network by name: which ducts meet where, and what its elements know of each other. */
export class Plan implements Site {
  /** All ends, in the order of the nodes. */
  readonly places: EndPlace[] = [];
  private known: Climate | undefined;
  private readonly byEnd = new Map<string, EndPlace>();
  /** Nodes with ports, which no end is called by. */
  private readonly ported = new Map<string, NetworkNode>();
  /** Places of both ends of each duct; −1 where there is no such place. */
  private readonly ends: Int32Array;
  /** Positions of the ducts at each place, place after place. */
  private readonly meeting: Int32Array;

  constructor(private readonly elements: Elements) {
    const { nodes, ducts } = elements;
    for (const node of nodes) {
      const kind = kindOf(node);
      if (kind.ports(node).length > 0) this.ported.set(node.id, node);
      for (const end of endsOf(node)) {
        const place = new EndPlace(end, node, kind, this.places.length, this);
        this.places.push(place);
        this.byEnd.set(end, place);
      }
    }
    this.ends = new Int32Array(2 * ducts.length).fill(-1);
    for (let position = 0; position < ducts.length; position++) {
      const { from, to } = ducts[position];
      this.arrive(2 * position, this.byEnd.get(from));
      this.arrive(2 * position + 1, this.byEnd.get(to));
    }
    this.meeting = new Int32Array(this.ends.length);
    let next = 0;
    for (const place of this.places) {
      place.first = next;
      next += place.runs;
    }
    const filled = new Int32Array(this.places.length);
    for (let end = 0; end < this.ends.length; end++) {
      const index = this.ends[end];
      if (index >= 0) this.meeting[this.places[index].first + filled[index]++] = end >> 1;
    }
  }

  private arrive(end: number, place: EndPlace | undefined): void {
    if (place === undefined) return;
    this.ends[end] = place.index;
    place.runs++;
  }

  /** The duct at a position in the list of those that meet at places. */
  ductAt(meeting: number): Duct {
    return this.elements.ducts[this.meeting[meeting]];
  }

  /** The place where the duct at a position begins, or where it ends. */
  placeOf(position: number, end: "from" | "to"): EndPlace {
    return this.places[this.ends[2 * position + (end === "from" ? 0 : 1)]];
  }

  get climate(): Climate {
    this.known ??= climateOf(this.elements.air, this.elements.outdoorAir);
    return this.known;
  }

  /** Forgets the airs, which are read again when they are needed. */
  forgetClimate(): void {
    this.known = undefined;
  }

  node(id: string): NetworkNode | undefined {
    return this.byEnd.get(id)?.node ?? this.ported.get(id);
  }

  /** How many ducts meet at an end. */
  runsAt(end: string): number {
    return this.byEnd.get(end)?.runs ?? 0;
  }

  /** The ducts at an end; none where there is no such end. */
  ductsAt(end: string): readonly Duct[] {
    const place = this.byEnd.get(end);
    return place === undefined ? noDucts : ductsOf(place);
  }

  placeAt(end: string): EndPlace {
    return this.byEnd.get(end) as EndPlace;
  }

  airOf(id: string): AirState {
    const node = this.node(id) as NetworkNode;
    return kindOf(node).air(node, this.climate);
  }
}
