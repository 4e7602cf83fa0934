import { nearestName } from "../core/nearest.js";
import { shown } from "../core/show.js";
import type { ControlPart, SensorPart } from "./control-part.js";
import { type ControlledFan, helplessControllers } from "./control-response.js";
import type { Duct, Opening } from "./elements.js";
import type { FanPart } from "./fan-part.js";
import type { Finding } from "./finding.js";
import type { FanOutline } from "./kinds/kind.js";
import { kindOf, type NetworkNode } from "./kinds/list.js";
import type { Plan } from "./plan.js";

/** A fault of a controller; `node` is the position of its fan's node. */
export interface ControlFinding {
  readonly node: number;
  readonly finding: Finding;
}

interface Controlled extends ControlledFan {
  readonly node: number;
  /** Where the controller stands below the node. */
  readonly key: string;
}

const fanAt = (node: NetworkNode, keys: readonly string[]): FanPart =>
  keys.reduce<unknown>((held, key) => (held as Readonly<Record<string, unknown>>)[key], node) as FanPart;

/** Whether a node has a fan with a controller. */
export const isControlled = (node: NetworkNode): boolean =>
  kindOf(node)
    .fans(node)
    .some(({ keys }) => fanAt(node, keys).control !== undefined);

const controlledOf = (nodes: readonly NetworkNode[]): Controlled[] => {
  const controlled: Controlled[] = [];
  for (let node = 0; node < nodes.length; node++) {
    for (const fan of kindOf(nodes[node]).fans(nodes[node])) {
      const { control } = fanAt(nodes[node], fan.keys);
      if (control !== undefined) controlled.push({ node, fan, control, key: [...fan.keys, "control"].join(".") });
    }
  }
  return controlled;
};

const samePlace = (one: SensorPart, other: SensorPart): boolean =>
  "duct" in one
    ? "duct" in other && one.duct === other.duct && one.at === other.at
    : "node" in other && one.node === other.node;

/** Names that a sensor or a balance refers to, and where they should lead. */
class ControlChecks {
  private readonly nodes: ReadonlyMap<string, NetworkNode>;
  private readonly ducts: ReadonlyMap<string, Duct>;
  private readonly fans: ReadonlyMap<string, FanOutline>;
  private readonly byFan: ReadonlyMap<string, Controlled>;

  constructor(
    plan: Plan,
    private readonly controlled: readonly Controlled[],
  ) {
    const { nodes, ducts } = plan.elements;
    this.nodes = new Map(nodes.map((node) => [node.id, node]));
    this.ducts = new Map(ducts.map((duct) => [duct.id, duct]));
    this.fans = new Map(nodes.flatMap((node) => kindOf(node).fans(node)).map((fan) => [fan.name, fan]));
    this.byFan = new Map(controlled.map((one) => [one.fan.name, one]));
  }

  /** Faults of names and places. */
  *run(): Generator<ControlFinding> {
    for (const one of this.controlled) {
      const { control, key, node } = one;
      if (control.kind === "balance") yield* this.checkBalance(one, control.to);
      if (control.kind !== "pressure") continue;
      for (const name of ["sensor", "against"] as const) {
        const sensor = control[name];
        if (sensor === undefined) continue;
        for (const finding of this.checkSensor(`${key}.${name}`, sensor)) yield { node, finding };
      }
      if (control.against !== undefined && samePlace(control.sensor, control.against)) {
        const expected = "another place than `sensor`: the two differ by what is held";
        yield { node, finding: { code: "key.conflict", key: `${key}.against`, expected, found: "the same place" } };
      }
    }
  }

  private *checkBalance({ fan, key, node }: Controlled, to: string): Generator<ControlFinding> {
    const report = (code: string, expected: string, found: string, nearest?: string): ControlFinding => ({
      node,
      finding: { code, key: `${key}.to`, expected, found, ...(nearest === undefined ? {} : { nearest }) },
    });
    if (!this.fans.has(to)) {
      const nearest = nearestName(to, this.fans.keys());
      yield report("reference.fan", "the name of a fan", `${shown(to)}, which no fan is called`, nearest);
      return;
    }
    const seen = new Set([fan.name]);
    for (let next: string | undefined = to; next !== undefined; ) {
      if (seen.has(next)) {
        if (next === fan.name) yield report("control.ring", "a fan that is not itself balanced to this one", shown(to));
        return;
      }
      seen.add(next);
      const other: ControlPart | undefined = this.byFan.get(next)?.control;
      next = other?.kind === "balance" ? other.to : undefined;
    }
  }

  private *checkSensor(key: string, sensor: SensorPart): Generator<Finding> {
    if ("duct" in sensor) {
      if (this.ducts.has(sensor.duct)) return;
      const nearest = nearestName(sensor.duct, this.ducts.keys());
      const found = `${shown(sensor.duct)}, which no duct is called`;
      const finding = { code: "reference.duct", key: `${key}.duct`, expected: "the id of a duct", found };
      yield nearest === undefined ? finding : { ...finding, nearest };
      return;
    }
    const node = this.nodes.get(sensor.node);
    const expected = "the id of a node where air rests: a room, a plenum, a junction, a terminal or outdoors";
    if (node === undefined) {
      const nearest = nearestName(sensor.node, this.nodes.keys());
      const found = `${shown(sensor.node)}, which no node is called`;
      const finding = { code: "reference.node", key: `${key}.node`, expected, found };
      yield nearest === undefined ? finding : { ...finding, nearest };
    } else if (kindOf(node).ports(node).length > 0) {
      const found = `${shown(sensor.node)}, a node of kind '${node.kind}', which has ports`;
      yield { code: "sensor.ports", key: `${key}.node`, expected, found };
    }
  }
}

/** A fan that does not change what its controller reads. */
const withoutEffect = ({ control, fan, key, node }: Controlled): ControlFinding => {
  if (control.kind === "pressure") {
    const expected = `a place whose pressure the fan ${shown(fan.name)} can change`;
    const found = "one in another part of the network, or of given pressure";
    return { node, finding: { code: "sensor.isolated", key: `${key}.sensor`, expected, found } };
  }
  const expected = `a flow that the fan ${shown(fan.name)} can change`;
  const found =
    control.kind === "flow"
      ? "one that the network fixes, by an inflow or a dead end"
      : `one that is always that of ${shown(control.to)}, since all air passes both`;
  return { node, finding: { code: "control.no-effect", key, expected, found } };
};

const heldThings = { flow: "its flow", pressure: "its pressure", balance: "its share of a flow" } as const;

/** Controllers of which each follows from the others: the first is told of them. */
const heldTogether = ([one, ...others]: readonly Controlled[]): ControlFinding => {
  const names = others.map(({ fan }) => shown(fan.name)).join(" and ");
  const expected = "one controller for each thing that can be held";
  const what = heldThings[one.control.kind];
  const found = `${what}, which follows from what ${names} ${others.length === 1 ? "holds" : "hold"}`;
  return { node: one.node, finding: { code: "control.doubled", key: one.key, expected, found } };
};

/** Faults of controllers that show only in the whole of a network that is well formed. */
export const controlFindings = (plan: Plan, openings: readonly Opening[]): ControlFinding[] => {
  const controlled = controlledOf(plan.elements.nodes);
  if (controlled.length === 0) return [];
  const findings = [...new ControlChecks(plan, controlled).run()];
  if (findings.length > 0) return findings;
  const acting = controlled.filter(({ fan }) => fan.still !== true);
  const { without, together } = helplessControllers(plan, openings, acting);
  for (const c of without) findings.push(withoutEffect(acting[c]));
  for (const set of together) findings.push(heldTogether(set.map((c) => acting[c])));
  return findings;
};
