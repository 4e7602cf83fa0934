import type { AirState } from "../air/state.js";
import type { Climate } from "./climate.js";
import type { Duct } from "./elements.js";
import type { Equations, EquationsBuilder } from "./equations.js";
import type { SectionPart } from "./parts.js";
import type { Solution } from "./results.js";

/** A duct as seen from one of its ends. */
export interface DuctEnd {
  readonly duct: Duct;
  readonly at: "from" | "to";
}

/** The loss coefficients of a duct's end, on ½ρv². */
export interface EndLoss {
  /** For air that enters the duct here [-] */
  readonly entry: number;
  /** For air that leaves the duct here [-] */
  readonly exit: number;
  /** The section of the velocity; default: the duct's own. */
  readonly section?: SectionPart;
}

/** What elements know of the network around them. */
export interface Site {
  readonly climate: Climate;
  /** The ducts that meet a node (`box`) or a port (`unit.supply`). */
  ductsAt(end: string): readonly DuctEnd[];
  /** Height of the node, or of the node of a port [m]. */
  elevationOf(end: string): number;
  /** The air in a node. */
  airOf(node: string): AirState;
  /** What a duct loses where it meets a node or port. */
  endLoss(end: string): EndLoss;
}

/** The numbers of a solved network, by point and by branch. */
export interface Answer {
  /** [Pa] */
  readonly pressure: Float64Array;
  /** [kg/s] */
  readonly massFlow: Float64Array;
}

/** An element at work in the equations. */
export interface Block {
  /** Writes the element's coefficients into the equations, from what the document says now. */
  refresh(): void;
  /** Writes the element's results, and its warnings, into a solution. Blocks report in the order of the document. */
  report(answer: Answer, solution: Solution): void;
}

/** How an element joins the equations: it takes its places first, and sets to work when the equations are made. */
export type Joining = (equations: Equations) => Block;

/** What an element is given to join the equations. */
export interface Assembly {
  readonly builder: EquationsBuilder;
  readonly site: Site;
  /** The point of a node or port; of the still outdoor air for the empty text. */
  point(end: string): number;
}

/** Column of air between a node and a height above it, against outdoor air [Pa]: (ρ − ρ_outdoor)·g·(z − z_node). */
export const columnAt = (site: Site, node: string, height: number): number =>
  (site.airOf(node).density - site.climate.outdoor.density) * 9.80665 * (height - site.elevationOf(node));
