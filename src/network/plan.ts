import type { AirState } from "../air/state.js";
import { type Climate, climateOf } from "./climate.js";
import type { Duct, Opening } from "./elements.js";
import type { EndLaw } from "./kinds/kind.js";
import { kindOf, type NetworkNode } from "./kinds/list.js";
import type { AirPart, SectionPart } from "./parts.js";
import type { Place, Site } from "./site.js";

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
  /** Positions of the ducts in the network's list. */
  readonly positions: number[] = [];
  point = -1;

  constructor(
    readonly name: string,
    readonly node: NetworkNode,
    private readonly ends: EndLaw<NetworkNode>,
    private readonly list: readonly Duct[],
  ) {}

  get runs(): number {
    return this.positions.length;
  }

  duct(which: number): Duct {
    return this.list[this.positions[which]];
  }

  /** Its pressure, where it is given [Pa]. */
  get given(): number | undefined {
    return kindOf(this.node).pressure(this.node);
  }

  entry(): number {
    return this.ends.entry(this.node, this.positions.length);
  }

  exit(): number {
    return this.ends.exit(this.node, this.positions.length);
  }

  face(): SectionPart | undefined {
    return this.ends.face?.(this.node);
  }
}

/** A network by name: which ducts meet where, and what its elements know of each other. */
export class Plan implements Site {
  private known: Climate | undefined;
  private readonly byEnd = new Map<string, EndPlace>();
  /** Nodes with ports, which no end is called by. */
  private readonly ported = new Map<string, NetworkNode>();

  constructor(private readonly elements: Elements) {
    for (const node of elements.nodes) {
      const { ends, ports } = kindOf(node);
      if (ports(node).length > 0) this.ported.set(node.id, node);
      for (const end of endsOf(node)) this.byEnd.set(end, new EndPlace(end, node, ends, elements.ducts));
    }
    for (let position = 0; position < elements.ducts.length; position++) {
      const { from, to } = elements.ducts[position];
      this.byEnd.get(from)?.positions.push(position);
      this.byEnd.get(to)?.positions.push(position);
    }
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

  /** All ends, in the order of the nodes. */
  places(): Iterable<EndPlace> {
    return this.byEnd.values();
  }

  /** The ducts at an end; none where there is no such end. */
  ductsAt(end: string): readonly Duct[] {
    const { ducts } = this.elements;
    return this.byEnd.get(end)?.positions.map((position) => ducts[position]) ?? noDucts;
  }

  placeAt(end: string): EndPlace {
    return this.byEnd.get(end) as EndPlace;
  }

  airOf(id: string): AirState {
    const node = this.node(id) as NetworkNode;
    return kindOf(node).air(node, this.climate);
  }
}
