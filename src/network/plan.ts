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

class EndPlace implements Place {
  readonly ducts: Duct[] = [];
  point = -1;

  constructor(
    readonly node: NetworkNode,
    private readonly ends: EndLaw<NetworkNode>,
  ) {}

  entry(): number {
    return this.ends.entry(this.node, this.ducts.length);
  }

  exit(): number {
    return this.ends.exit(this.node, this.ducts.length);
  }

  face(): SectionPart | undefined {
    return this.ends.face?.(this.node);
  }
}

/** A network by name: which ducts meet where, and what its elements know of each other. */
export class Plan implements Site {
  private known: Climate | undefined;
  private readonly nodes = new Map<string, NetworkNode>();
  private readonly places = new Map<string, EndPlace>();

  constructor(private readonly elements: Elements) {
    for (const node of elements.nodes) {
      const { ends, ports } = kindOf(node);
      const names = ports(node);
      this.nodes.set(node.id, node);
      if (names.length === 0) this.places.set(node.id, new EndPlace(node, ends));
      for (const port of names) this.places.set(`${node.id}.${port}`, new EndPlace(node, ends));
    }
    for (const duct of elements.ducts) {
      this.places.get(duct.from)?.ducts.push(duct);
      this.places.get(duct.to)?.ducts.push(duct);
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
    return this.nodes.get(id);
  }

  /** The ducts at an end; none where there is no such end. */
  ductsAt(end: string): readonly Duct[] {
    return this.places.get(end)?.ducts ?? noDucts;
  }

  placeAt(end: string): EndPlace {
    return this.places.get(end) as EndPlace;
  }

  airOf(id: string): AirState {
    const node = this.nodes.get(id) as NetworkNode;
    return kindOf(node).air(node, this.climate);
  }
}
