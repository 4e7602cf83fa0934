import type { nearestName } from "../../core/nearest.js";
import { shown } from "../../core/show.js";
import { fanAt } from "../elements/fan.js";
import { kindOf, type NetworkNode } from "../elements/kinds/list.js";
import type { ControlPart, SensorPart } from "../format/control.js";
import type { Opening } from "../format/elements.js";
import { type Layout, nodeIdOf } from "../layout/layout.js";
import type { ElementProblem } from "../results/element-problem.js";
import { type ControlledFan, helplessControllers } from "./controllability.js";
import type { Read, ReadElements } from "./reading.js";

/** A fault of a controller, at its fan's node. */
export interface ControlProblem {
  readonly read: Read<NetworkNode>;
  readonly problem: ElementProblem;
}

/** A fan with its controller, and the node that it belongs to. */
export interface Controlled extends ControlledFan {
  readonly read: Read<NetworkNode>;
  /** Where the controller stands below the node. */
  readonly key: string;
}

/** Whether a node has a fan with a controller. */
export const isControlled = (node: NetworkNode): boolean =>
  kindOf(node)
    .fans(node)
    .some(({ keys }) => fanAt(node, keys).control !== undefined);

/** The controlled fans of the nodes that were well formed. */
export const controlledOf = (reads: readonly Read<NetworkNode>[]): Controlled[] => {
  const controlled: Controlled[] = [];
  for (const read of reads) {
    const { value: node } = read;
    if (node === undefined) continue;
    for (const fan of kindOf(node).fans(node)) {
      const { control } = fanAt(node, fan.keys);
      if (control !== undefined) controlled.push({ read, fan, control, key: [...fan.keys, "control"].join(".") });
    }
  }
  return controlled;
};

const samePlace = (one: SensorPart, other: SensorPart): boolean =>
  "duct" in one
    ? "duct" in other && one.duct === other.duct && one.at === other.at
    : "node" in other && one.node === other.node;

/** Finds the nearest of some known names, as `nearestName` does, within what one document may take. */
type Nearest = typeof nearestName;

/** Names that a sensor or a balance refers to, and where they should lead. */
class ControlChecks {
  private readonly ducts: ReadonlySet<string>;
  /** Controllers by the names of all fans; none where the fan has none, or where two fans have the name. */
  private readonly fans = new Map<string, ControlPart | undefined>();
  private knownRinged: Set<string> | undefined;

  constructor(
    private readonly elements: ReadElements,
    private readonly nodes: ReadonlyMap<string, Read<NetworkNode>>,
    private readonly nearest: Nearest,
  ) {
    this.ducts = new Set(elements.ducts.flatMap(({ id }) => id ?? []));
    for (const { value: node } of elements.nodes) {
      if (node === undefined) continue;
      for (const { keys, name } of kindOf(node).fans(node)) {
        this.fans.set(name, this.fans.has(name) ? undefined : fanAt(node, keys).control);
      }
    }
  }

  /** Fans whose balances lead back to them; found in one walk along all balances. */
  private get ringed(): ReadonlySet<string> {
    if (this.knownRinged !== undefined) return this.knownRinged;
    this.knownRinged = new Set();
    const after = (fan: string): string | undefined => {
      const control = this.fans.get(fan);
      return control?.kind === "balance" ? control.to : undefined;
    };
    // The fan from which each was met first.
    const walks = new Map<string, string>();
    for (const start of this.fans.keys()) {
      let fan: string | undefined = start;
      for (; fan !== undefined && !walks.has(fan); fan = after(fan)) walks.set(fan, start);
      if (fan === undefined || walks.get(fan) !== start) continue;
      for (; fan !== undefined && !this.knownRinged.has(fan); fan = after(fan)) this.knownRinged.add(fan);
    }
    return this.knownRinged;
  }

  *of({ control, fan, key }: Controlled): Generator<ElementProblem> {
    if (control.kind === "balance") yield* this.checkBalance(fan.name, `${key}.to`, control.to);
    if (control.kind !== "pressure") return;
    const { against, sensor } = control;
    yield* this.checkSensor(`${key}.sensor`, sensor);
    if (against === undefined) return;
    yield* this.checkSensor(`${key}.against`, against);
    if (!samePlace(sensor, against)) return;
    const expected = "a place other than `sensor`: what is held is the difference between the two";
    yield { code: "key.conflict", key: `${key}.against`, expected, found: "the same place" };
  }

  private unknown(
    code: string,
    key: string,
    expected: string,
    found: string,
    nearest: string | undefined,
  ): ElementProblem {
    return nearest === undefined ? { code, key, expected, found } : { code, key, expected, found, nearest };
  }

  private *checkBalance(fan: string, key: string, to: string): Generator<ElementProblem> {
    if (!this.fans.has(to)) {
      const read = this.nodes.get(nodeIdOf(to));
      // Which fans a node would have that was not well formed is not known.
      if (read !== undefined && read.value === undefined) return;
      const nearest = this.nearest(to, this.fans.keys());
      yield this.unknown("reference.fan", key, "the name of a fan", `${shown(to)}, which no fan has`, nearest);
      return;
    }
    if (!this.ringed.has(fan)) return;
    const expected = "a fan that is not itself balanced to this one";
    yield { code: "control.ring", key, expected, found: shown(to) };
  }

  private *checkSensor(key: string, sensor: SensorPart): Generator<ElementProblem> {
    if ("duct" in sensor) {
      if (!this.elements.ductsListed || this.ducts.has(sensor.duct)) return;
      const nearest = this.nearest(sensor.duct, this.ducts);
      const found = `${shown(sensor.duct)}, which no duct has`;
      yield this.unknown("reference.duct", `${key}.duct`, "the id of a duct", found, nearest);
      return;
    }
    const read = this.nodes.get(sensor.node);
    const expected = "the id of a node where air is at rest: a room, a plenum, a junction, a terminal or outdoors";
    if (read === undefined) {
      const nearest = this.nearest(sensor.node, this.nodes.keys());
      const found = `${shown(sensor.node)}, which no node has`;
      yield this.unknown("reference.node", `${key}.node`, expected, found, nearest);
    } else if (read.value !== undefined && kindOf(read.value).ports(read.value).length > 0) {
      const found = `${shown(sensor.node)}, a node of kind '${read.value.kind}', which has ports`;
      yield { code: "sensor.ports", key: `${key}.node`, expected, found };
    }
  }
}

/** Faults of the names and places of controllers, in addition to any others. */
export const controlNameProblems = function* (
  controlled: readonly Controlled[],
  elements: ReadElements,
  nodes: ReadonlyMap<string, Read<NetworkNode>>,
  nearest: Nearest,
): Generator<ControlProblem> {
  if (controlled.length === 0) return;
  const checks = new ControlChecks(elements, nodes, nearest);
  for (const one of controlled) for (const problem of checks.of(one)) yield { read: one.read, problem };
};

/** A fan that does not change what its controller reads. */
const withoutEffect = ({ control, fan, key, read }: Controlled): ControlProblem => {
  if (control.kind === "pressure") {
    const expected = `a place whose pressure the fan ${shown(fan.name)} can change`;
    const found = "one in another part of the network, or with a given pressure";
    return { read, problem: { code: "sensor.isolated", key: `${key}.sensor`, expected, found } };
  }
  const expected = `a flow that the fan ${shown(fan.name)} can change`;
  const found =
    control.kind === "flow"
      ? "one that the network fixes, by an inflow or a dead end"
      : `the flow of ${shown(control.to)}, since all air passes both`;
  return { read, problem: { code: "control.no-effect", key, expected, found } };
};

const heldThings = { flow: "its flow", pressure: "its pressure", balance: "its share of a flow" } as const;

/** Controllers that each follow from the others: the problem is the first one's. */
const heldTogether = ([one, ...others]: readonly Controlled[]): ControlProblem => {
  const names = others.map(({ fan }) => shown(fan.name)).join(" and ");
  const expected = "one controller for each thing that can be held";
  const what = heldThings[one.control.kind];
  const found = `${what}, which follows from what ${names} ${others.length === 1 ? "holds" : "hold"}`;
  return { read: one.read, problem: { code: "control.doubled", key: one.key, expected, found } };
};

/** Controllers that cannot hold what they are for, which shows only in the whole of a network without another fault. */
export const helplessProblems = (
  controlled: readonly Controlled[],
  layout: Layout,
  openings: readonly Opening[],
): ControlProblem[] => {
  if (controlled.length === 0) return [];
  const acting = controlled.filter(({ fan }) => fan.still !== true);
  const { without, together } = helplessControllers(layout, openings, acting);
  return [
    ...without.map((c) => withoutEffect(acting[c])),
    ...together.map((set) => heldTogether(set.map((c) => acting[c]))),
  ];
};
