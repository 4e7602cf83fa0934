import { standardGravity } from "../../air/atmosphere.js";
import type { AirState } from "../../air/state.js";
import type { EquationsBuilder } from "../equations/builder.js";
import type { Equations } from "../equations/equations.js";
import type { Answer } from "../equations/state.js";
import type { Reading } from "../equations/terms.js";
import type { SensorPart } from "../format/control.js";
import type { Duct } from "../format/elements.js";
import type { Solution } from "../results/solution.js";
import type { Climate } from "./climate.js";

/** A node or a port of one, where ducts end: what they meet there, as the document says now. */
export interface Place {
  readonly node: { readonly elevation: number };
  /** How many runs of ducts end here. */
  readonly runs: number;
  /** One of them. */
  duct(which: number): Duct;
  /** Its point in the equations. */
  readonly point: number;
}

/** Numbers of another element, called by its id, on which coefficients of an element hang. */
export interface NumbersRead {
  readonly list: "nodes" | "ducts";
  readonly id: string;
  /** All numbers below these keys. */
  readonly keys: readonly string[];
  /** Of a duct: what it loses where it meets its nodes, too. */
  readonly ends?: true;
}

/** Keys of a node that set the stack effect between it and another height. */
export const columnKeys: readonly string[] = ["air", "elevation"];

/** What elements know of the network around them. */
export interface Site {
  readonly climate: Climate;
  /** The place of an end: a node's id, or `node.port`. */
  placeAt(end: string): Place;
  /** The ducts at an end. */
  ductsAt(end: string): readonly Duct[];
  /** The air in a node. */
  airOf(node: string): AirState;
  /** The air in a duct. */
  airIn(duct: Duct): AirState;
}

/** An element at work in the equations. */
export interface Block {
  /** Writes the element's coefficients into the equations, from what the document says now. */
  refresh(): void;
  /** Takes another element of the same form in the place of its own; blocks of kinds that say so. */
  adopt?(element: unknown): void;
  /** Takes from a solution, which may be another network's, what it knows of this element as a start. */
  resume(solution: Solution, start: Answer): void;
  /** Writes the element's results, and its warnings, into a solution. Blocks report in the order of the document. */
  report(answer: Answer, solution: Solution): void;
}

/** What an element is given to join the equations: it takes its places now, and works with the equations later. */
export interface Assembly {
  readonly builder: EquationsBuilder;
  /** Made once every element has joined; blocks find it when they refresh and report. */
  readonly equations: Equations;
  readonly site: Site;
  /** Branches of fans by name. */
  readonly fans: Map<string, number>;
  /** Whether the regulators in a duct act; in design calculations those on the way take what they need. */
  acts(duct: string): boolean;
  /** What a sensor reads, as terms of the equations. */
  readingOf(sensor: SensorPart, kind: "static" | "total"): Reading;
}

/** A flow below which warnings take air to be at rest [m³/s]: rounding, or what a shut damper lets through. */
export const restFlow = 1e-5;

/** Speed of the air in ducts from which a cold solve starts [m/s]. */
export const startVelocity = 2;

/** Stack effect between a node and a height above it, against outdoor air [Pa]: (ρ − ρ_outdoor)·g·(z − z_node). */
export const columnAt = (site: Site, node: string, height: number): number =>
  (site.airOf(node).density - site.climate.outdoor.density) *
  standardGravity *
  (height - site.placeAt(node).node.elevation);

/** Starts a point at a known pressure. */
export const resumePoint = (known: number | undefined, point: number, pressure: Float64Array): void => {
  if (Number.isFinite(known)) pressure[point] = known as number;
};

/** Starts a branch at a known mass flow. */
export const resumeBranch = (known: number | undefined, branch: number, massFlow: Float64Array): void => {
  if (Number.isFinite(known)) massFlow[branch] = known as number;
};

/** The mass flow that an earlier solution has from a duct into its end [kg/s]; undefined where it does not know the duct. */
export const flowInto = (end: string, duct: Duct, { ducts }: Solution): number | undefined => {
  const flow = ducts[duct.id]?.massFlow;
  return flow === undefined || duct.to === end ? flow : -flow;
};
