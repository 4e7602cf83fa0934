import type { AirState } from "../air/state.js";
import { type Climate, climateOf } from "./climate.js";
import type { Duct, Opening } from "./elements.js";
import { kindOf, type NetworkNode } from "./kinds/list.js";
import type { AirPart } from "./parts.js";
import type { DuctEnd, Meeting, Site } from "./site.js";

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

const none: readonly DuctEnd[] = [];

/** A network by name: which ducts meet where, and what its elements know of each other. */
export class Plan implements Site {
  private known: Climate | undefined;
  private readonly nodes = new Map<string, NetworkNode>();
  private readonly ducts = new Map<string, DuctEnd[]>();

  constructor(private readonly elements: Elements) {
    for (const node of elements.nodes) this.nodes.set(node.id, node);
    for (const duct of elements.ducts) {
      this.meet(duct.from, { duct, at: "from" });
      this.meet(duct.to, { duct, at: "to" });
    }
  }

  get climate(): Climate {
    this.known ??= climateOf(this.elements.air, this.elements.outdoorAir);
    return this.known;
  }

  node(id: string): NetworkNode | undefined {
    return this.nodes.get(id);
  }

  ductsAt(end: string): readonly DuctEnd[] {
    return this.ducts.get(end) ?? none;
  }

  nodeAt(end: string): NetworkNode {
    return this.nodes.get(nodeIdOf(end)) as NetworkNode;
  }

  airOf(id: string): AirState {
    const node = this.nodeAt(id);
    return kindOf(node).air(node, this.climate);
  }

  meetingAt(end: string): Meeting {
    const node = this.nodeAt(end);
    const { ends } = kindOf(node);
    const runs = this.ductsAt(end).length;
    return {
      node,
      entry: () => ends.entry(node, runs),
      exit: () => ends.exit(node, runs),
      face: () => ends.face?.(node),
    };
  }

  private meet(end: string, there: DuctEnd): void {
    const already = this.ducts.get(end);
    if (already === undefined) this.ducts.set(end, [there]);
    else already.push(there);
  }
}
