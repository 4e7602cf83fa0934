import { layoutOf, type Network } from "../document/document.js";
import { shareFanReading } from "../elements/curve-cache.js";
import type { NumbersRead } from "../elements/element.js";
import { kindOf, type NetworkNode } from "../elements/kinds/list.js";
import { openingReads } from "../elements/opening.js";
import { type NetworkSolver, solverOf } from "../equations/solver.js";
import type { Duct } from "../format/elements.js";
import type { CurvePart } from "../format/fan-curve.js";
import { assemble, type System } from "../solve/assemble.js";
import { ductAirKeys, ductEndKeys } from "../solve/ducts.js";
import { copyOf, holderOf, NetworkIndex, type Owner } from "./paths.js";

/** What of an element is to be refreshed: of a duct the coefficients of its fixed fittings, or all. */
export type Reach = "fixed fittings" | "everything";
const clean = 0;
const fixedFittings = 1;
const everything = 2;

/** What an element reads of another that it names. */
interface Reader {
  readonly element: number;
  readonly read: NumbersRead;
}
const noReaders: readonly Reader[] = [];
const elementOf = ({ element }: Reader): number => element;

/** The curve of a fan below an element. */
export const curveAt = (element: unknown, keysToFan: readonly string[]): CurvePart | undefined =>
  holderOf(element, [...keysToFan, "curve", ""]).holder as unknown as CurvePart | undefined;

/** A copy of a node that may be changed, the curves of its fans being known as they were read. */
const keptCopy = (node: NetworkNode): NetworkNode => {
  const copy = copyOf(node);
  for (const { keys } of kindOf(node).fans(node)) {
    const [curve, copied] = [curveAt(node, keys), curveAt(copy, keys)];
    if (curve !== undefined && copied !== undefined) shareFanReading(curve, copied);
  }
  return copy;
};

/** A network with values of its own, its equations, and the state of its last solve. */
export class Model {
  readonly network: Network;
  readonly system: System;
  readonly solver: NetworkSolver;
  readonly index: NetworkIndex;
  /** How many of its numbers differ from the document's. */
  changed = 0;
  /** Whether a parameter was set since the last solve, whose flows would then stand beside numbers of another network. */
  unsolved = false;
  private readonly ducts: Duct[];
  private readonly nodes: NetworkNode[];
  private readonly dirty: Uint8Array;
  private readonly waiting: number[] = [];
  private airChanged = false;
  private readers: Readonly<Record<NumbersRead["list"], ReadonlyMap<string, readonly Reader[]>>> | undefined;

  constructor(network: Network) {
    // Ducts and most nodes are copied when one of their numbers is asked for: few ever are.
    this.ducts = network.ducts.slice();
    this.nodes = network.nodes.map((node) => (kindOf(node).keeps ? keptCopy(node) : node));
    const rest = copyOf({ ...network, nodes: [], ducts: [] });
    this.network = { ...rest, nodes: this.nodes, ducts: this.ducts };
    this.index = new NetworkIndex(this.network);
    this.system = assemble(layoutOf(network).withElements(this.network));
    this.solver = solverOf(this.system.equations);
    this.dirty = new Uint8Array(this.system.elements.count);
  }

  /** Puts a copy in the place of an element that is still the frozen network's. */
  own({ list, index }: Owner): void {
    if (list === "ducts" && Object.isFrozen(this.ducts[index])) this.ducts[index] = copyOf(this.ducts[index]);
    if (list === "nodes" && Object.isFrozen(this.nodes[index])) {
      this.nodes[index] = copyOf(this.nodes[index]);
      this.system.elements.adopt(index);
    }
  }

  /** Marks elements to be refreshed; all of them where the air of the network has changed. */
  markDirty(elements: readonly number[] | "all", reach: Reach): void {
    if (elements === "all") {
      this.system.layout.forgetClimate();
      this.airChanged = true;
      return;
    }
    const level = reach === "everything" ? everything : fixedFittings;
    for (const element of elements) {
      if (this.dirty[element] === clean) this.waiting.push(element);
      if (this.dirty[element] < level) this.dirty[element] = level;
    }
  }

  /** Writes the coefficients of what has changed. */
  refresh(): void {
    const { elements } = this.system;
    if (this.airChanged) {
      elements.refreshAll();
      this.airChanged = false;
    } else {
      for (const element of this.waiting) {
        if (this.dirty[element] === fixedFittings) elements.refreshFittings(element);
        else elements.refresh(element);
      }
    }
    for (const element of this.waiting) this.dirty[element] = clean;
    this.waiting.length = 0;
  }

  /** Whether a change below some keys of an owner may change the air of elements far from it. */
  changesAirs({ list, index }: Owner, [key]: readonly string[]): boolean {
    if (list === "air" || list === "outdoorAir") return true;
    if (list === "openings" || !this.system.layout.inherits) return false;
    return (list === "ducts" ? ductAirKeys : kindOf(this.nodes[index]).airKeys)?.includes(key) === true;
  }

  /** The nodes at the ends of a duct that read its numbers below some keys. */
  endsReading(duct: number, [key]: readonly string[]): readonly number[] {
    const { ends, kinds, nodeOf } = this.system.layout.connectivity;
    return [nodeOf[ends[2 * duct]], nodeOf[ends[2 * duct + 1]]].filter((node) => kinds[node].ductKeys.includes(key));
  }

  /** How far a change below some keys of an owner reaches into the elements that read it. */
  reachOf({ list, index }: Owner, [key, which, last]: readonly string[]): Reach {
    if (list !== "ducts" || key !== "fittings" || last !== "coefficient") return "everything";
    return this.ducts[index].fittings[Number(which)].kind === "fixed" ? "fixed fittings" : "everything";
  }

  /** The elements that read an owner's numbers below some keys: its own, and others that declare it. */
  elementsReading(owner: Owner, keys: readonly string[]): readonly number[] | "all" {
    if (this.changesAirs(owner, keys)) return "all";
    const { list, index } = owner;
    const own = this.index.elementOf(owner);
    if (list === "nodes") return [own, ...this.readersOfNode(index, keys[0])];
    if (list !== "ducts") return [own];
    const naming = this.naming("ducts", this.ducts[index].id).filter(({ read }) => read.keys.includes(keys[0]));
    return [own, ...this.endsReading(index, keys), ...this.besideDuct(index, keys), ...naming.map(elementOf)];
  }

  /** The ducts whose ends depend on a duct's numbers below some keys, and the elements that read these ends. */
  private *besideDuct(duct: number, [key]: readonly string[]): Generator<number> {
    const { ends, kinds, nodeOf } = this.system.layout.connectivity;
    for (const place of ends.subarray(2 * duct, 2 * duct + 2)) {
      const node = nodeOf[place];
      if (kinds[node].ends.sharedKeys?.includes(key)) yield* this.ductsEndingAt(node);
    }
  }

  /** The ducts that meet a node, and the elements that read their ends. */
  private *ductsEndingAt(node: number): Generator<number> {
    const { ducts, firstDuct, firstPlace } = this.system.layout.connectivity;
    for (const duct of ducts.subarray(firstDuct[firstPlace[node]], firstDuct[firstPlace[node + 1]])) {
      yield this.nodes.length + duct;
      for (const { element, read } of this.naming("ducts", this.ducts[duct].id)) if (read.ends === true) yield element;
    }
  }

  private *readersOfNode(index: number, key: string): Generator<number> {
    for (const { element, read } of this.naming("nodes", this.nodes[index].id)) {
      if (read.keys.includes(key)) yield element;
    }
    const { kinds } = this.system.layout.connectivity;
    if (kinds[index].ends.keys.includes(key) || ductEndKeys.includes(key)) yield* this.ductsEndingAt(index);
  }

  /** What elements read of one that they name. */
  private naming(list: NumbersRead["list"], id: string): readonly Reader[] {
    this.readers ??= this.allNaming();
    return this.readers[list].get(id) ?? noReaders;
  }

  private allNaming(): Readonly<Record<NumbersRead["list"], ReadonlyMap<string, readonly Reader[]>>> {
    const readers = { nodes: new Map<string, Reader[]>(), ducts: new Map<string, Reader[]>() };
    const enter = (element: number, reads: Iterable<NumbersRead>): void => {
      for (const read of reads) {
        const already = readers[read.list].get(read.id);
        if (already === undefined) readers[read.list].set(read.id, [{ element, read }]);
        else already.push({ element, read });
      }
    };
    const { nodes, ducts, openings } = this.network;
    for (const [n, node] of nodes.entries()) enter(n, kindOf(node).reads?.(node) ?? []);
    for (const [o, opening] of openings.entries()) enter(nodes.length + ducts.length + o, openingReads(opening));
    return readers;
  }
}
