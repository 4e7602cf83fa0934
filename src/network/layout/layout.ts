import type { AirState } from "../../air/state.js";
import { InputError } from "../../core/errors.js";
import type { FrictionLawName } from "../../ducts/friction.js";
import type { EquipmentRating } from "../../fittings/fitting.js";
import { type Climate, climateOf } from "../elements/climate.js";
import type { Place, Site } from "../elements/element.js";
import type { EndLaw } from "../elements/kinds/kind.js";
import { kindOf, type NetworkNode } from "../elements/kinds/list.js";
import type { AirPart } from "../format/air.js";
import type { Duct, Opening } from "../format/elements.js";
import { type AirStreams, airStreamsOf } from "./air-streams.js";
import { Connectivity } from "./connectivity.js";
import { inheritedAirs } from "./inherited-air.js";

/** The parts of a document that stand in a network. */
export interface Elements {
  readonly air: AirPart;
  readonly outdoorAir?: AirPart;
  readonly friction: FrictionLawName;
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
  constructor(
    private readonly layout: Layout,
    readonly point: number,
  ) {}

  get node(): NetworkNode {
    return this.layout.nodeAt(this.point);
  }

  get runs(): number {
    return this.layout.runsMeeting(this.point);
  }

  duct(which: number): Duct {
    const { elements, connectivity } = this.layout;
    return elements.ducts[connectivity.ducts[connectivity.firstDuct[this.point] + which]];
  }
}

/**
 * A network by name: which ducts meet where, and what its elements know of each other. Elements are read from its lists
 * when they are asked for, so that a list may change them.
 */
export class Layout implements Site {
  readonly connectivity: Connectivity;
  private known: Climate | undefined;
  private streams: AirStreams | "none" | undefined;
  /** The air that ducts inherit, by stream. */
  private streamStates: readonly AirState[] | undefined;
  private byId: ReadonlyMap<string, NetworkNode> | undefined;
  private severalAirs: boolean | undefined;

  /** @param alike - A layout of the same names, kinds and keys, which has the same connections. */
  constructor(
    readonly elements: Elements,
    alike?: Layout,
  ) {
    this.connectivity = alike?.connectivity ?? new Connectivity(elements.nodes, elements.ducts);
    this.streams = alike?.streams;
  }

  /** The same network with other numbers, or numbers that will change. */
  withElements(elements: Elements): Layout {
    return new Layout(elements, this);
  }

  /** The node of a place, as it is now. */
  nodeAt(place: number): NetworkNode {
    return this.elements.nodes[this.connectivity.nodeOf[place]];
  }

  /** Pressure drop of a duct where it meets a place. */
  endsAt(place: number): EndLaw<NetworkNode> {
    return this.connectivity.kinds[this.connectivity.nodeOf[place]].ends;
  }

  /** Coefficient on ½ρv² for air that enters a duct at a place [-] */
  entryAt(place: number, duct: Duct): number {
    const node = this.nodeAt(place);
    return this.endsAt(place).entry(node, () => this.runsMeeting(place), duct);
  }

  /** Coefficient on ½ρv² for air that leaves a duct at a place [-] */
  exitAt(place: number, duct: Duct): number {
    const node = this.nodeAt(place);
    return this.endsAt(place).exit(node, () => this.runsMeeting(place), duct);
  }

  /** The area of the velocity of `entryAt` and `exitAt` [m²]; default: the duct's own. */
  faceAt(place: number, duct: Duct): number | undefined {
    return this.endsAt(place).face?.(this.nodeAt(place), duct);
  }

  /** A rated loss of a duct where it ends at a place, of its whole flow. */
  ratingAt(place: number, duct: Duct): EquipmentRating | undefined {
    return this.endsAt(place).rating?.(this.nodeAt(place), duct);
  }

  get climate(): Climate {
    this.known ??= climateOf(this.elements.air, this.elements.outdoorAir);
    return this.known;
  }

  /** Forgets the air states, which are read again when they are needed. */
  forgetClimate(): void {
    this.known = undefined;
    this.streamStates = undefined;
  }

  /** Whether ducts that name no air inherit it from outdoors, rooms and units: if a unit treats its air. */
  get inherits(): boolean {
    if (this.streams === undefined) {
      const { ducts, nodes } = this.elements;
      const treats = nodes.some((node) => kindOf(node).treatment?.(node) !== undefined);
      this.streams = treats ? airStreamsOf(nodes, ducts, this.connectivity) : "none";
    }
    return this.streams !== "none";
  }

  /** Whether some duct may have another air than the network's. */
  get hasSeveralAirs(): boolean {
    this.severalAirs ??= this.inherits || this.elements.ducts.some(({ air }) => air !== undefined);
    return this.severalAirs;
  }

  /** The air in a duct: its own, that which it inherits, or the network's. */
  airIn(duct: Duct): AirState {
    return this.inheritedBy(duct) ?? this.climate.of(duct.air);
  }

  /** The same; undefined where an air of the document is at odds with itself, which is a fault of its own. */
  soundAirIn(duct: Duct): AirState | undefined {
    try {
      return this.airIn(duct);
    } catch (error) {
      if (error instanceof InputError) return undefined;
      throw error;
    }
  }

  /** The air that a duct inherits; undefined where it inherits none. */
  inheritedBy({ air, id }: Duct): AirState | undefined {
    if (!this.inherits || air !== undefined) return undefined;
    const streams = this.streams as AirStreams;
    const stream = streams.streamOf.get(id);
    if (stream === undefined) return undefined;
    if (this.streamStates === undefined) {
      // Where one of them is at odds with itself, the others are not sought again for each duct.
      this.streamStates = [];
      this.streamStates = inheritedAirs(streams, this.elements, this.climate);
    }
    return this.streamStates[stream];
  }

  node(id: string): NetworkNode | undefined {
    const place = this.connectivity.names.get(id);
    return place === undefined ? this.ported.get(id) : this.nodeAt(place);
  }

  /** Nodes with ports, which no end is called by. */
  private get ported(): ReadonlyMap<string, NetworkNode> {
    this.byId ??= new Map(
      this.elements.nodes.filter((node) => kindOf(node).ports(node).length > 0).map((node) => [node.id, node]),
    );
    return this.byId;
  }

  /** How many runs meet at an end: those of all its ducts. */
  runsAt(end: string): number {
    const place = this.connectivity.names.get(end);
    return place === undefined ? 0 : this.runsMeeting(place);
  }

  /** How many runs meet at a place. */
  runsMeeting(place: number): number {
    const { ducts, firstDuct } = this.connectivity;
    let runs = 0;
    for (let i = firstDuct[place]; i < firstDuct[place + 1]; i++) runs += this.elements.ducts[ducts[i]].parallel;
    return runs;
  }

  /** The ducts at an end; none where there is no such end. */
  ductsAt(end: string): readonly Duct[] {
    const place = this.connectivity.names.get(end);
    return place === undefined ? noDucts : this.ductsMeeting(place);
  }

  /** The ducts at a place. */
  ductsMeeting(place: number): readonly Duct[] {
    const { ducts, firstDuct } = this.connectivity;
    const found: Duct[] = [];
    for (let i = firstDuct[place]; i < firstDuct[place + 1]; i++) found.push(this.elements.ducts[ducts[i]]);
    return found;
  }

  placeAt(end: string): EndPlace {
    return new EndPlace(this, this.connectivity.names.get(end) as number);
  }

  airOf(id: string): AirState {
    const node = this.node(id) as NetworkNode;
    return kindOf(node).air(node, this.climate);
  }
}
