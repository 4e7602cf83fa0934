import type { AirState } from "../../../air/state.js";
import type { EquipmentRating } from "../../../fittings/fitting.js";
import type { Field } from "../../../input/fields.js";
import type { AirPart } from "../../format/air.js";
import type { Duct } from "../../format/elements.js";
import type { Form, Labelled, Preset, Quantified } from "../../format/forms.js";
import type { ElementProblem } from "../../results/element-problem.js";
import type { Provenance } from "../../results/provenance.js";
import type { Solution, Warning } from "../../results/solution.js";
import type { Climate } from "../climate.js";
import type { Assembly, Block, NumbersRead, Site } from "../element.js";
import type { AirTreatment } from "../heat-recovery.js";

/** What every node has. */
export type NodeBase<F extends Form = "parsed"> = Labelled & { readonly id: string } & Preset<
    F,
    { /** [m] */ readonly elevation: Quantified<F> }
  >;

/** A branch that a node brings into the equations. */
export interface LinkOutline {
  readonly from: string;
  /** A point; the empty text is the still outdoor air. */
  readonly to: string;
  /** Whether air that flows through it loses or gains pressure, in either direction. */
  readonly resists: boolean;
}

/** A fan of a node, with the points before and after it. */
export interface FanOutline {
  readonly name: string;
  /** Where the fan's own keys stand below the node. */
  readonly keys: readonly string[];
  readonly from: string;
  readonly to: string;
  /** The end at whose duct its flow and density are meant. */
  readonly at: string;
  /** The stream of a unit to which it belongs. */
  readonly service?: "supply" | "extract";
  /** Whether its node keeps it still, regardless of its own keys. */
  readonly still?: boolean;
}

/** What a node is checked against: its ducts, and the other nodes by id. */
export interface Surroundings {
  /** How many runs of ducts meet the node by its id. */
  readonly runs: number;
  /** These ducts. */
  ducts(): readonly Duct[];
  /** The duct at one of its ports; undefined where there is none. */
  portDuct(port: string): Duct | undefined;
  /** The kind of a node; undefined where there is none. */
  kindOf(id: string): string | undefined;
  /** The nearest id of a node of that kind. */
  nearestOf(id: string, kind: string): string | undefined;
  /** The air in a duct; undefined where an air of the document is at odds with itself, which is a fault of its own. */
  airIn(duct: Duct): AirState | undefined;
  /** Whether ducts that name no air inherit it from outdoors, rooms and units. */
  readonly inherits: boolean;
  /** The network's air, from which others take what they do not give. */
  readonly air: AirPart;
}

/**
 * A kind of node: how it is written, which ports it has, what it brings into the equations and what it reports. One
 * object a kind; the rest of the network knows kinds only through this.
 */
export interface NodeKind<N extends NodeBase & { readonly kind: string }> {
  readonly kind: N["kind"];
  readonly field: Field<N, unknown>;
  /** The ports of a node, each for exactly one duct; none means that ducts meet the node by its id. */
  ports(node: N): readonly string[];
  /** The fans of a node, by the names that results know them by. */
  fans(node: N): readonly FanOutline[];
  /** Whether air comes to rest here, so that a path of the air begins or ends. */
  readonly endsPaths: boolean;
  /** Whether its block keeps the node that it was given, so that a compiled network needs a copy from the start. */
  readonly keeps?: true;
  /** Whether openings may lead here. */
  readonly takesOpenings: boolean;
  /** The air inside. */
  air(node: N, climate: Climate): AirState;
  /** Keys of the ducts that meet it that its coefficients and its faults depend on. */
  readonly ductKeys: readonly string[];
  /** What else its coefficients depend on, in elements that it names; absent if it names none. */
  reads?(node: N): Iterable<NumbersRead>;
  /** Its own keys that the air which ducts inherit depends on; absent if there are none. */
  readonly airKeys?: readonly string[];
  /** Whether the ducts at its ports must carry one air. */
  readonly oneAir?: true;
  /** What it does to the air that its fans move; undefined where it leaves that as it is, as a kind without does. */
  treatment?(node: N): AirTreatment | undefined;
  /** Pressure drop of a duct where it meets the node. */
  readonly ends: EndLaw<N>;
  /** Faults that show only beside other keys or elements. */
  problems(node: N, surroundings: Surroundings): Iterable<ElementProblem>;
  /** The pressure of the node's point, where it is given [Pa]; a node with ports has none. */
  pressure(node: N): number | undefined;
  /** The branches that the node brings into the equations. */
  links(node: N): readonly LinkOutline[];
  /**
   * Joins the equations, where the node's points (its ports' or its own) and links have their numbers. A kind that is one
   * point and nothing else has none.
   */
  assemble?(node: N, numbers: NodeNumbers, assembly: Assembly): Block;
  /** Of a kind without `join`: writes what is given of its point into the equations. */
  refreshPoint?(node: N, point: number, assembly: Assembly): void;
  /** Of a kind without `join`: what a reader of its pressure should know, with the number of runs that meet it. */
  remarks?(node: N, runs: number): Iterable<Warning>;
  /** What its part of an answer rests on; a kind without loses and gives nothing. */
  provenance?(node: N, site: Site, solution: Solution): Iterable<Provenance>;
}

/** The numbers of a node's points and branches in the equations. */
export interface NodeNumbers {
  readonly points: readonly number[];
  readonly branches: readonly number[];
}

/** The loss coefficients of a duct's end, on ½ρv²; `runs` says how many runs of ducts meet the node. */
export interface EndLaw<N> {
  /** Keys of the node on which they hang. */
  readonly keys: readonly string[];
  /** Keys of the ducts that meet the node on which the ends of all of them depend. */
  readonly sharedKeys?: readonly string[];
  /** For air that enters the duct here [-] */
  entry(node: N, runs: () => number, duct: Duct): number;
  /** For air that leaves the duct here [-] */
  exit(node: N, runs: () => number, duct: Duct): number;
  /** The area of the velocity, for the whole flow [m²]; default: the duct's, all runs together. */
  face?(node: N, duct: Duct): number | undefined;
  /** A rated loss for air either way, of the whole flow. */
  rating?(node: N, duct: Duct): EquipmentRating | undefined;
}

/** A duct that meets a node without loss. */
export const lossless: EndLaw<unknown> = { keys: [], entry: () => 0, exit: () => 0 };

/**
 * A duct that meets still air: all velocity pressure is lost on the way in, `entry` of it on the way out, be it the
 * duct's own or the node's.
 */
export const stillAir: EndLaw<{ readonly entry: number }> = {
  keys: ["entry"],
  entry: (node, _, duct) => duct.entry ?? node.entry,
  exit: () => 1,
};

const none: readonly never[] = [];

/** The ports of a kind that ducts meet by its id. */
export const noPorts = (): readonly string[] => none;

/** The branches of a kind that brings none. */
export const noLinks = (): readonly LinkOutline[] => none;

/** The pressure of a kind that has none given. */
export const freePressure = (): undefined => undefined;

/** The fans of a kind that has none. */
export const noFans = (): readonly FanOutline[] => none;

/** Problems of a kind that has none. */
export const noProblems = (): readonly ElementProblem[] => none;
