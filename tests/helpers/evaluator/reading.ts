import type { Solution } from "../../../src/network/results/solution.js";
import { type AirProperties, airProperties } from "./air.js";
import type { PlainAir, PlainDuct, PlainNetwork, PlainNode } from "./document.js";
import { Findings } from "./findings.js";
import { inheritedAirs } from "./streams.js";

/** Standard acceleration of free fall [m/s²] */
export const gravity = 9.80665;

/** Losses inside a node as an answer states them; any of it may be missing. */
export interface ClaimedLosses {
  readonly pattern?: string;
  readonly model?: string;
  readonly bridged?: boolean;
  readonly added?: number;
  readonly withinRange?: boolean;
  readonly velocityPressure?: number;
  readonly paths?: readonly {
    readonly from: string;
    readonly to: string;
    readonly coefficient: number;
    readonly loss: number;
  }[];
}

/** The document with what follows from it, and what the answer says of points in it. */
export class Reading {
  readonly findings: Findings = new Findings();
  readonly nodes: ReadonlyMap<string, PlainNode>;
  readonly networkAir: AirProperties;
  readonly outdoorAir: AirProperties;
  private readonly meeting = new Map<string, PlainDuct[]>();
  private readonly airs = new Map<PlainAir, AirProperties>();
  /** By duct, where it names none of its own. */
  readonly inherited: ReadonlyMap<string, AirProperties>;
  /** Mass that flows into each node and port [kg/s]. */
  private readonly gathered = new Map<string, number>();

  constructor(
    readonly network: PlainNetwork,
    readonly solution: Solution,
  ) {
    this.nodes = new Map(network.nodes.map((node) => [node.id, node]));
    const base = network.air ?? { density: 1.2 };
    this.networkAir = airProperties(base, base);
    this.outdoorAir = network.outdoorAir === undefined ? this.networkAir : airProperties(network.outdoorAir, base);
    for (const duct of network.ducts ?? []) {
      this.ductsAt(duct.from).push(duct);
      this.ductsAt(duct.to).push(duct);
    }
    this.inherited = inheritedAirs({
      nodes: network.nodes,
      ducts: network.ducts ?? [],
      networkAir: this.networkAir,
      nodeOf: (place) => this.nodeOf(place),
      ownAir: ({ air }) => this.airOf(air),
      stillAir: (node) => this.airIn(node),
    });
  }

  /** The ducts that meet a node or port, in the order of the document. */
  ductsAt(place: string): PlainDuct[] {
    let ducts = this.meeting.get(place);
    if (ducts === undefined) {
      ducts = [];
      this.meeting.set(place, ducts);
    }
    return ducts;
  }

  nodeOf(place: string): PlainNode {
    const id = place.split(".", 1)[0];
    const node = this.nodes.get(id);
    if (node === undefined) throw new Error(`the network has no node '${id}'`);
    return node;
  }

  elevationOf(place: string): number {
    return this.nodeOf(place).elevation ?? 0;
  }

  /** An element's own air, else the network's. */
  airOf(air: PlainAir | undefined): AirProperties {
    if (air === undefined) return this.networkAir;
    let properties = this.airs.get(air);
    if (properties === undefined) {
      properties = airProperties(air, this.network.air ?? { density: 1.2 });
      this.airs.set(air, properties);
    }
    return properties;
  }

  /** The air in a duct. */
  airInDuct({ air, id }: PlainDuct): AirProperties {
    return this.inherited.get(id) ?? this.airOf(air);
  }

  /** The air inside a node. */
  airIn(node: PlainNode): AirProperties {
    return node.kind === "outdoors" ? this.outdoorAir : this.airOf(node.kind === "room" ? node.air : undefined);
  }

  /** Total pressure of a node or port in the answer [Pa]. */
  pressureAt(place: string): number {
    const [id, port] = place.split(".");
    const record = this.solution.nodes?.[id];
    return (port === undefined ? record?.totalPressure : record?.ports?.[port]?.totalPressure) ?? Number.NaN;
  }

  /** What the answer says of the losses inside a node. */
  lossesAt(id: string): ClaimedLosses | undefined {
    return (this.solution.nodes?.[id] as { readonly losses?: ClaimedLosses } | undefined)?.losses;
  }

  /** Total pressure of the air in a node at a height, against outdoor air at that height [Pa]. */
  pressureAtHeight(id: string, height: number): number {
    const node = this.nodeOf(id);
    const column = (this.airIn(node).density - this.outdoorAir.density) * gravity * (height - (node.elevation ?? 0));
    return this.pressureAt(id) - column;
  }

  /** Moves mass [kg/s] into a node or port. */
  gather(place: string, massFlow: number): void {
    this.gathered.set(place, this.gatheredAt(place) + massFlow);
  }

  gatheredAt(place: string): number {
    return this.gathered.get(place) ?? 0;
  }
}
