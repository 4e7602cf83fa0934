import { standardGravity } from "../air/atmosphere.js";
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

/** A duct's end where it meets a node: what it loses there, as the document says now. */
export interface Meeting {
  readonly node: { readonly elevation: number };
  /** Coefficient on ½ρv² for air that enters the duct here [-] */
  entry(): number;
  /** Coefficient on ½ρv² for air that leaves the duct here [-] */
  exit(): number;
  /** The section of that velocity; default: the duct's own. */
  face(): SectionPart | undefined;
}

/** What elements know of the network around them. */
export interface Site {
  readonly climate: Climate;
  /** The ducts that meet a node (`box`) or a port (`unit.supply`). */
  ductsAt(end: string): readonly DuctEnd[];
  /** The node at a duct's or an opening's end. */
  nodeAt(end: string): { readonly elevation: number };
  /** The air in a node. */
  airOf(node: string): AirState;
  /** How a duct meets what is at its end. */
  meetingAt(end: string): Meeting;
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
  (site.airOf(node).density - site.climate.outdoor.density) * standardGravity * (height - site.nodeAt(node).elevation);
