import { kindOf, type NetworkNode } from "../elements/kinds/list.js";
import { isTerminal } from "../elements/kinds/terminal.js";
import type { Connectivity } from "./connectivity.js";

/*
 * Flow directions of ducts, from the document: units and fans move air from one port to the other, extract terminals
 * are sources, supply terminals are sinks. It does not use solved flows, since they would change the air that they depend on.
 */

/** The flow directions found from the document. */
export interface FlowDirections {
  /**
   * The point of each place, by the place that stands for it: ports between which air finds its own way are one point, ports
   * of fans and units are points of their own. −1 for outdoors and rooms, where every duct ends separately.
   */
  readonly pointOf: Int32Array;
  /** Of each duct: 1 from its `from` to its `to`, −1 the other way, 0 where the document does not tell. */
  readonly direction: Int8Array;
}

const pointsOf = (nodes: readonly NetworkNode[], { firstPlace, nodeOf }: Connectivity): Int32Array => {
  const pointOf = new Int32Array(nodeOf.length);
  for (let n = 0; n < nodes.length; n++) {
    const kind = kindOf(nodes[n]);
    const moves = kind.fans(nodes[n]).length > 0;
    for (let place = firstPlace[n]; place < firstPlace[n + 1]; place++) {
      pointOf[place] = kind.endsPaths ? -1 : moves ? place : firstPlace[n];
    }
  }
  return pointOf;
};

// What a part of a network serves, and whether fans suck from it and blow into it.
const serving = { supply: 1, extract: 2 } as const;
const suctionSide = 4;
const dischargeSide = 8;

/** Whether outdoors or a room that ducts of a part meet brings air to them; undefined where the part does not tell. */
const bringsAir = (traits: number, isRoom: boolean): boolean | undefined => {
  const moved = traits & (suctionSide | dischargeSide);
  if (moved === suctionSide || moved === dischargeSide) return moved === suctionSide;
  const served = traits & (serving.supply | serving.extract);
  if (served === serving.supply) return !isRoom;
  return served === serving.extract ? isRoom : undefined;
};

class FlowDirectionFinder {
  readonly pointOf: Int32Array;
  readonly direction: Int8Array;
  /** How often air comes to each point from outside the ducts; later to all points after it. */
  private readonly sources: Int32Array;
  /** How often air leaves the ducts at it; later at all points after it. */
  private readonly sinks: Int32Array;
  /** What is at each point, as bits. */
  private readonly traits: Uint8Array;
  /** Points in the order in which a walk comes to them, and the rank of each in it; −1 before. */
  private readonly order: number[] = [];
  private readonly rank: Int32Array;
  /** The lowest rank that is reached from after a point by a way that the walk did not take. */
  private readonly lowest: Int32Array;
  /** The duct by which the walk came, and from where; −1 at its beginning. */
  private readonly through: Int32Array;
  private readonly before: Int32Array;

  constructor(
    private readonly nodes: readonly NetworkNode[],
    private readonly connectivity: Connectivity,
  ) {
    const places = connectivity.nodeOf.length;
    this.pointOf = pointsOf(nodes, connectivity);
    this.direction = new Int8Array(connectivity.ends.length / 2);
    this.sources = new Int32Array(places);
    this.sinks = new Int32Array(places);
    this.traits = new Uint8Array(places);
    this.rank = new Int32Array(places).fill(-1);
    this.lowest = new Int32Array(places);
    this.through = new Int32Array(places).fill(-1);
    this.before = new Int32Array(places).fill(-1);
    this.mark();
    for (let place = 0; place < places; place++) {
      if (this.pointOf[place] !== place || this.rank[place] >= 0) continue;
      const first = this.order.length;
      this.walk(place);
      const part = this.order.slice(first);
      this.orientEnds(part);
      this.orient(part);
    }
  }

  /** Notes where terminals, fans and units bring air and take it. */
  private mark(): void {
    const { sources, sinks, traits } = this;
    const { firstPlace, names } = this.connectivity;
    this.nodes.forEach((node, n) => {
      if (isTerminal(node)) {
        const point = firstPlace[n];
        traits[point] |= serving[node.service];
        if (node.service === "supply") sinks[point]++;
        else sources[point]++;
      }
      for (const { from, to, service } of kindOf(node).fans(node)) {
        const [before, after] = [from, to].map((end) => names.get(end) as number);
        const serves = service === undefined ? 0 : serving[service];
        sinks[before]++;
        traits[before] |= suctionSide | serves;
        sources[after]++;
        traits[after] |= dischargeSide | serves;
      }
    });
  }

  /** The point at the other end of a duct; −1 where there is none. */
  private across(duct: number, point: number): number {
    const { ends } = this.connectivity;
    const [from, to] = [ends[2 * duct], ends[2 * duct + 1]];
    if (from < 0 || to < 0) return -1;
    return this.pointOf[from] === point ? this.pointOf[to] : this.pointOf[from];
  }

  /** Where the ducts of a point begin and end in the list of the connectivity: its places follow one another. */
  private ductsOf(point: number): [start: number, stop: number] {
    let next = point + 1;
    while (next < this.pointOf.length && this.pointOf[next] === point) next++;
    return [this.connectivity.firstDuct[point], this.connectivity.firstDuct[next]];
  }

  /** Walks to all points that ducts join to one, deep first. */
  private walk(start: number): void {
    const { before, lowest, order, rank, through } = this;
    const { ducts } = this.connectivity;
    const visit = (point: number): { point: number; next: number; stop: number } => {
      rank[point] = lowest[point] = order.length;
      order.push(point);
      const [next, stop] = this.ductsOf(point);
      return { point, next, stop };
    };
    const path = [visit(start)];
    for (let here = path[0]; here !== undefined; here = path[path.length - 1]) {
      const { point } = here;
      if (here.next === here.stop) {
        path.pop();
        const back = before[point];
        if (back >= 0) lowest[back] = Math.min(lowest[back], lowest[point]);
        continue;
      }
      const duct = ducts[here.next++];
      const other = this.across(duct, point);
      if (duct === through[point] || other < 0) continue;
      if (rank[other] >= 0) lowest[point] = Math.min(lowest[point], rank[other]);
      else {
        before[other] = point;
        through[other] = duct;
        path.push(visit(other));
      }
    }
  }

  /** Which way air goes in the ducts of a part that meet outdoors or a room. */
  private orientEnds(part: readonly number[]): void {
    const { direction, sources, pointOf, sinks } = this;
    const { ducts, ends, nodeOf } = this.connectivity;
    const traits = part.reduce((bits, point) => bits | this.traits[point], 0);
    for (const point of part) {
      const [start, stop] = this.ductsOf(point);
      for (let i = start; i < stop; i++) {
        const duct = ducts[i];
        const [from, to] = [ends[2 * duct], ends[2 * duct + 1]];
        if (from < 0 || to < 0) continue;
        const place = pointOf[from] < 0 ? from : to;
        if (pointOf[place] >= 0) continue;
        const brings = bringsAir(traits, this.nodes[nodeOf[place]].kind === "room");
        if (brings === undefined) continue;
        if (brings) sources[point]++;
        else sinks[point]++;
        direction[duct] = brings === (place === from) ? 1 : -1;
      }
    }
  }

  /** Which way air goes in the ducts between the points of a part: known where nothing but a duct joins its two sides. */
  private orient(part: readonly number[]): void {
    const { before, direction, sources, lowest, connectivity, pointOf, rank, sinks, through } = this;
    for (let i = part.length - 1; i > 0; i--) {
      sources[before[part[i]]] += sources[part[i]];
      sinks[before[part[i]]] += sinks[part[i]];
    }
    for (let i = 1; i < part.length; i++) {
      const point = part[i];
      if (lowest[point] <= rank[before[point]]) continue;
      const onwards = directionBetween(
        { sources: sources[part[0]] - sources[point], sinks: sinks[part[0]] - sinks[point] },
        { sources: sources[point], sinks: sinks[point] },
      );
      const duct = through[point];
      direction[duct] = pointOf[connectivity.ends[2 * duct + 1]] === point ? onwards : -onwards;
    }
  }
}

interface Side {
  readonly sources: number;
  readonly sinks: number;
}

/** Which way air goes between two sides: 1 from one to the other, −1 back, 0 where both ways are possible. */
const directionBetween = (one: Side, other: Side): number => {
  const [sources, otherSources] = [one.sources > 0, other.sources > 0];
  if (sources !== otherSources) return sources ? 1 : -1;
  const [sinks, otherSinks] = [one.sinks > 0, other.sinks > 0];
  if (sinks !== otherSinks) return otherSinks ? 1 : -1;
  return 0;
};

/**
 * Finds the flow directions, in a time proportional to the size of the network.
 *
 * Outdoors and rooms that ducts meet are sources on the suction side of fans, and sinks on the discharge side. If both or
 * neither apply, air enters from outdoors in supply systems and from rooms in extract systems.
 */
export const flowDirectionsOf = (nodes: readonly NetworkNode[], connectivity: Connectivity): FlowDirections =>
  new FlowDirectionFinder(nodes, connectivity);
