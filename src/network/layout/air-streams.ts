import { DisjointSets } from "../../numerics/disjoint-sets.js";
import { kindOf, type NetworkNode } from "../elements/kinds/list.js";
import { isTerminal } from "../elements/kinds/terminal.js";
import type { Duct } from "../format/elements.js";
import type { Connectivity } from "./connectivity.js";
import { flowDirectionsOf } from "./flow-directions.js";

/** Still air of a node at a position, where a terminal at a position may take it in; −1 is the network's. */
export interface StillSource {
  readonly node: number;
  readonly terminal?: number;
}

/** Another stream, or where it passes a duct that names its own air, that duct; stream −1 is the network's. */
export interface StreamSource {
  readonly stream: number;
  readonly duct?: number;
}

/** Air after a unit at a position, from the streams before both its streams. */
export interface UnitSource {
  readonly unit: number;
  readonly service: "supply" | "extract";
  readonly supply: number;
  readonly extract: number;
}

/** Where air comes into a stream. */
export type AirSource = StillSource | StreamSource | UnitSource;

/** Which streams meet on their way through a network, by the document alone. */
export interface AirStreams {
  /** The air that ducts carry, each by its sources; a stream comes after the streams that flow into it. */
  readonly streams: readonly (readonly AirSource[])[];
  /** The stream of each duct that inherits its air. */
  readonly streamOf: ReadonlyMap<string, number>;
}

/** A source before streams are made: a unit's are the places upstream of it, a stream's is the place it comes from. */
type Entry = StillSource | UnitSource | { readonly from: number; readonly duct?: number };

const placesBefore = (entry: Entry): readonly number[] => {
  if ("from" in entry) return [entry.from];
  return "unit" in entry ? [entry.supply, entry.extract] : [];
};

class AirStreamFinder {
  private readonly pointOf: Int32Array;
  /** Points that share one air, since the document does not tell which way air goes between them. */
  private readonly zones: DisjointSets;
  /** The place whose air each duct carries; −1 where the document does not tell. */
  private readonly carried: Int32Array;
  /** What comes to each zone. */
  private readonly entries: (Entry[] | undefined)[];
  private readonly streams: (readonly AirSource[])[] = [];
  /** The stream of each zone, and of outdoors and rooms; −1 where there is none. */
  private readonly streamBehind: Int32Array;

  constructor(
    private readonly nodes: readonly NetworkNode[],
    private readonly ducts: readonly Duct[],
    private readonly connectivity: Connectivity,
  ) {
    const places = connectivity.nodeOf.length;
    const { pointOf, direction } = flowDirectionsOf(nodes, connectivity);
    this.pointOf = pointOf;
    this.zones = new DisjointSets(places);
    this.carried = new Int32Array(ducts.length).fill(-1);
    this.entries = new Array(places);
    this.streamBehind = new Int32Array(places).fill(-1);
    this.follow(direction);
    this.enterTerminals();
    this.enterUnits();
  }

  /** Follows the ducts: those without a direction join zones, the others bring air to them. */
  private follow(direction: Int8Array): void {
    const { carried, ducts, zones, pointOf } = this;
    const { ends } = this.connectivity;
    const names = (d: number): boolean => ducts[d].air !== undefined;
    for (let d = 0; d < ducts.length; d++) {
      const [from, to] = [ends[2 * d], ends[2 * d + 1]];
      if (from < 0 || to < 0 || direction[d] !== 0) continue;
      const [one, other] = [pointOf[from], pointOf[to]];
      if (one < 0 || other < 0) continue;
      carried[d] = one;
      if (!names(d)) zones.join(one, other);
    }
    for (let d = 0; d < ducts.length; d++) {
      if (direction[d] === 0) continue;
      const [source, target] = direction[d] > 0 ? [ends[2 * d], ends[2 * d + 1]] : [ends[2 * d + 1], ends[2 * d]];
      carried[d] = pointOf[source] < 0 ? source : pointOf[source];
      if (pointOf[target] < 0) continue;
      this.enter(pointOf[target], names(d) ? { from: carried[d], duct: d } : { from: carried[d] });
    }
  }

  private enter(point: number, entry: Entry): void {
    const zone = this.zones.leaderOf(point);
    const already = this.entries[zone];
    if (already === undefined) this.entries[zone] = [entry];
    else already.push(entry);
  }

  /** Extract terminals take in the air of their rooms, those without a room the network's. */
  private enterTerminals(): void {
    const { firstPlace, nodeOf, names } = this.connectivity;
    this.nodes.forEach((node, n) => {
      if (!isTerminal(node) || node.service !== "extract") return;
      const room = node.room === undefined ? undefined : names.get(node.room);
      this.enter(firstPlace[n], { node: room === undefined ? -1 : nodeOf[room], terminal: n });
    });
  }

  /** Fans and units pass air on; a unit may change it on the way. */
  private enterUnits(): void {
    const { names } = this.connectivity;
    this.nodes.forEach((node, n) => {
      const kind = kindOf(node);
      const before = { supply: -1, extract: -1 };
      const passages = kind.fans(node).map(({ from, to, service }) => {
        const passage = { from: names.get(from) as number, to: names.get(to) as number, service };
        if (service !== undefined) before[service] = passage.from;
        return passage;
      });
      const treats = kind.treatment?.(node) !== undefined;
      for (const { from, to, service } of passages) {
        this.enter(to, treats && service !== undefined ? { unit: n, service, ...before } : { from });
      }
    });
  }

  /** The stream of a place: of its zone, once that is filled, or of outdoors or a room. */
  private streamAt(place: number): number {
    const { connectivity, zones, pointOf, streamBehind, streams } = this;
    if (place < 0) return -1;
    if (pointOf[place] >= 0) return streamBehind[zones.leaderOf(place)];
    if (streamBehind[place] < 0) streamBehind[place] = streams.push([{ node: connectivity.nodeOf[place] }]) - 1;
    return streamBehind[place];
  }

  private sourceOf(entry: Entry): AirSource {
    if ("from" in entry) {
      const { from, duct } = entry;
      if (duct !== undefined) return { stream: this.streamAt(from), duct };
      return this.pointOf[from] < 0 ? { node: this.connectivity.nodeOf[from] } : { stream: this.streamAt(from) };
    }
    if (!("unit" in entry)) return entry;
    return { ...entry, supply: this.streamAt(entry.supply), extract: this.streamAt(entry.extract) };
  }

  /** Makes the stream of a zone; where one air comes in and no more, it is that air's stream. */
  private fill(zone: number): void {
    const sources: AirSource[] = [];
    const plain = new Set<number>();
    for (const entry of this.entries[zone] ?? []) {
      const source = this.sourceOf(entry);
      if ("stream" in source && source.duct === undefined) {
        // Side by side fans bring the same air twice.
        if (plain.has(source.stream)) continue;
        plain.add(source.stream);
      }
      sources.push(source);
    }
    const [only] = sources;
    if (only === undefined) return;
    const passed = sources.length === 1 && "stream" in only && only.duct === undefined;
    this.streamBehind[zone] = passed ? only.stream : this.streams.push(sources) - 1;
  }

  /** Fills zones in an order in which the streams before each are known; those in a ring through a fan stay without. */
  find(): AirStreams {
    const { entries, zones, pointOf } = this;
    const waiting = new Int32Array(pointOf.length);
    const after: (number[] | undefined)[] = new Array(pointOf.length);
    const ready: number[] = [];
    for (let place = 0; place < pointOf.length; place++) {
      if (pointOf[place] !== place || zones.leaderOf(place) !== place) continue;
      for (const entry of entries[place] ?? []) {
        for (const before of placesBefore(entry)) {
          if (before < 0 || pointOf[before] < 0) continue;
          waiting[place]++;
          const source = zones.leaderOf(before);
          after[source] ??= [];
          after[source].push(place);
        }
      }
      if (waiting[place] === 0) ready.push(place);
    }
    for (let next = 0; next < ready.length; next++) {
      this.fill(ready[next]);
      for (const zone of after[ready[next]] ?? []) if (--waiting[zone] === 0) ready.push(zone);
    }
    const streamOf = new Map<string, number>();
    for (let d = 0; d < this.ducts.length; d++) {
      const { air, id } = this.ducts[d];
      const stream = air === undefined ? this.streamAt(this.carried[d]) : -1;
      if (stream >= 0) streamOf.set(id, stream);
    }
    return { streams: this.streams, streamOf };
  }
}

/** Finds which streams meet in a network. It does not read the document's numbers, so these may change. */
export const airStreamsOf = (
  nodes: readonly NetworkNode[],
  ducts: readonly Duct[],
  connectivity: Connectivity,
): AirStreams => new AirStreamFinder(nodes, ducts, connectivity).find();
