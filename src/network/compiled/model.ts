import { isControlled } from "../document/control-checks.js";
import { connectivityOf, type Network } from "../document/document.js";
import { shareFanReading } from "../elements/curve-cache.js";
import { kindOf, type NetworkNode } from "../elements/kinds/list.js";
import { isTerminal } from "../elements/kinds/terminal.js";
import { type NetworkSolver, solverOf } from "../equations/solver.js";
import type { Duct } from "../format/elements.js";
import type { CurvePart } from "../format/parts.js";
import { endsOf } from "../layout/connectivity.js";
import { nodeIdOf } from "../layout/layout.js";
import { assemble, type System } from "../solve/assemble.js";
import { copyOf, holderOf, NetworkIndex, type Owner } from "./paths.js";

/** What of an element is to be refreshed: of a duct the coefficients of its fixed fittings, or all. */
export type Reach = "fixed fittings" | "everything";
const clean = 0;
const fixedFittings = 1;
const everything = 2;

/** Keys of rooms, units, terminals and ducts on which inherited air depends. */
const airKeys = ["air", "exchanger", "frost", "designFlow"];
/** Keys of a duct on which the nodes at its ends depend. */
const endKeys = ["section", "air", "parallel"];
/** Keys of a duct on which depends what a sensor at one of its ends reads. */
const sensedKeys = [...endKeys, "entry"];

const at = (positions: ReadonlyMap<string, number>, id: string): number => positions.get(id) as number;

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
  /** Nodes with a controlled fan, whose sensors may stand anywhere. */
  private readonly sensing: readonly number[];
  private leaning: ReadonlyMap<string, readonly number[]> | undefined;

  constructor(network: Network) {
    // Ducts and most nodes are copied when one of their numbers is asked for: few ever are.
    this.ducts = network.ducts.slice();
    this.nodes = network.nodes.map((node) => (kindOf(node).keeps ? keptCopy(node) : node));
    const rest = copyOf({ ...network, nodes: [], ducts: [] });
    this.network = { ...rest, nodes: this.nodes, ducts: this.ducts };
    this.index = new NetworkIndex(this.network);
    this.sensing = this.nodes.flatMap((node, index) => (isControlled(node) ? [index] : []));
    this.system = assemble(this.network, { connectivity: connectivityOf(network) });
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
  changesAirs({ list }: Owner, [key]: readonly string[]): boolean {
    if (list === "air" || list === "outdoorAir") return true;
    return this.system.layout.inherits && airKeys.includes(key);
  }

  /** The nodes at the ends of a duct that a change below some keys of it concerns. */
  endsReading(duct: Duct, [key]: readonly string[]): readonly number[] {
    if (!endKeys.includes(key)) return [];
    const nodes = this.index.positions("nodes");
    return [duct.from, duct.to].map((end) => at(nodes, nodeIdOf(end)));
  }

  /** How far a change below some keys of an owner reaches into the elements that read it. */
  reachOf({ list, index }: Owner, [key, which, last]: readonly string[]): Reach {
    if (list !== "ducts" || key !== "fittings" || last !== "coefficient") return "everything";
    return this.ducts[index].fittings[Number(which)].kind === "fixed" ? "fixed fittings" : "everything";
  }

  /** The elements that read an owner's numbers: its own, its neighbours', and controllers, which may sense it. */
  elementsReading(owner: Owner, keys: readonly string[]): readonly number[] | "all" {
    if (this.changesAirs(owner, keys)) return "all";
    const { list, index } = owner;
    const firstDuct = this.nodes.length;
    if (list === "openings") return [firstDuct + this.ducts.length + index];
    if (list === "ducts") {
      const own = [firstDuct + index, ...this.endsReading(this.ducts[index], keys)];
      return sensedKeys.includes(keys[0]) ? [...own, ...this.sensing] : own;
    }
    const node = this.nodes[index];
    const ducts = this.index.positions("ducts");
    const beside = endsOf(node).flatMap((end) =>
      this.system.layout.ductsAt(end).map(({ id }) => firstDuct + at(ducts, id)),
    );
    return [index, ...beside, ...this.dependentsOf(node.id), ...this.sensing];
  }

  /** The elements of openings that lead to a node and of terminals in it. */
  private dependentsOf(id: string): readonly number[] {
    if (this.leaning === undefined) {
      const { network } = this;
      const leaning = new Map<string, number[]>();
      const lean = (node: string, element: number): void => {
        const already = leaning.get(node);
        if (already === undefined) leaning.set(node, [element]);
        else already.push(element);
      };
      network.nodes.forEach((node, element) => {
        if (isTerminal(node) && node.room !== undefined) lean(node.room, element);
      });
      network.openings.forEach(({ from, to }, i) => {
        const element = network.nodes.length + network.ducts.length + i;
        lean(from, element);
        lean(to, element);
      });
      this.leaning = leaning;
    }
    return this.leaning.get(id) ?? [];
  }
}
