import { nearestName } from "../core/nearest.js";
import { shown } from "../core/show.js";
import type { ControlPart, SensorPart } from "./control-part.js";
import type { Duct, Opening } from "./elements.js";
import type { FanPart } from "./fan-part.js";
import type { Finding } from "./finding.js";
import type { FanOutline } from "./kinds/kind.js";
import { kindOf, type NetworkNode } from "./kinds/list.js";
import { nodeIdOf, type Plan } from "./plan.js";

/** A fault of a controller; `node` is the position of its fan's node. */
export interface ControlFinding {
  readonly node: number;
  readonly finding: Finding;
}

interface Controlled {
  readonly node: number;
  readonly fan: FanOutline;
  readonly control: ControlPart;
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

const controlledOf = (nodes: readonly NetworkNode[]): Controlled[] =>
  nodes.flatMap((node, index) =>
    kindOf(node)
      .fans(node)
      .flatMap((fan): Controlled[] => {
        const { control } = fanAt(node, fan.keys);
        return control === undefined ? [] : [{ node: index, fan, control, key: [...fan.keys, "control"].join(".") }];
      }),
  );

/** Names that a sensor or a balance refers to, and where they should lead. */
class ControlChecks {
  private readonly nodes: ReadonlyMap<string, NetworkNode>;
  private readonly ducts: ReadonlyMap<string, Duct>;
  private readonly fans: ReadonlyMap<string, FanOutline>;
  private readonly byFan: ReadonlyMap<string, Controlled>;

  constructor(
    private readonly plan: Plan,
    private readonly openings: readonly Opening[],
    private readonly controlled: readonly Controlled[],
  ) {
    const { nodes, ducts } = plan.elements;
    this.nodes = new Map(nodes.map((node) => [node.id, node]));
    this.ducts = new Map(ducts.map((duct) => [duct.id, duct]));
    this.fans = new Map(nodes.flatMap((node) => kindOf(node).fans(node)).map((fan) => [fan.name, fan]));
    this.byFan = new Map(controlled.map((one) => [one.fan.name, one]));
  }

  *run(): Generator<ControlFinding> {
    const sensed = new Map<string, string>();
    for (const one of this.controlled) {
      const { control, node } = one;
      if (control.kind === "balance") yield* this.checkBalance(one, control.to);
      else if (control.kind === "pressure") {
        let good = true;
        for (const name of ["sensor", "against"] as const) {
          const sensor = control[name];
          if (sensor === undefined) continue;
          for (const finding of this.checkSensor(`${one.key}.${name}`, sensor)) {
            good = false;
            yield { node, finding };
          }
        }
        if (!good) continue;
        yield* this.checkReach(one, control.sensor);
        const where = JSON.stringify([control.sensor, control.against]);
        const other = sensed.get(where);
        if (other === undefined) sensed.set(where, one.fan.name);
        else yield this.doubled(one, other, "the same pressure");
      }
      if (control.kind !== "pressure") yield* this.checkSeries(one);
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

  private doubled({ key, node }: Controlled, other: string, what: string): ControlFinding {
    const expected = "one controller for each thing that can be held";
    return { node, finding: { code: "control.doubled", key, expected, found: `${what} that ${shown(other)} holds` } };
  }

  /** A fan in one line with this one has its flow: both cannot hold it. */
  private *checkSeries(one: Controlled): Generator<ControlFinding> {
    const seen = new Set([one.fan.name]);
    let end: string | undefined = one.fan.to;
    while (end !== undefined) {
      end = this.onlyWayFrom(end);
      const fan: FanOutline | undefined = [...this.fans.values()].find(({ from, to }) => from === end || to === end);
      if (fan === undefined) continue;
      if (seen.has(fan.name)) return;
      seen.add(fan.name);
      const other = this.byFan.get(fan.name);
      if (other !== undefined && other.control.kind !== "pressure") {
        yield this.doubled(one, fan.name, "the flow of the one line of ducts");
        return;
      }
      end = fan.from === end ? fan.to : fan.from;
    }
  }

  /** Where the air goes on from an end through its one duct and what has but two ends; undefined where it may part. */
  private onlyWayFrom(from: string): string | undefined {
    let end = from;
    let before: string | undefined;
    for (let steps = 0; steps <= this.ducts.size; steps++) {
      const ducts = this.plan.ductsAt(end).filter(({ id }) => id !== before);
      if (ducts.length !== 1) return undefined;
      const [duct] = ducts;
      before = duct.id;
      end = duct.from === end ? duct.to : duct.from;
      const node = this.nodes.get(nodeIdOf(end)) as NetworkNode;
      const kind = kindOf(node);
      if (kind.fans(node).length > 0) return end;
      if (kind.endsPaths || kind.links(node).length > 1) return undefined;
      const links = kind.links(node);
      if (links.length === 1) {
        const [{ from: a, to: b }] = links;
        if (kind.ports(node).length === 0) return undefined; // a terminal: the way ends here
        end = a === end ? b : a;
        before = undefined;
      } else if (this.openings.some((opening) => opening.from === end || opening.to === end)) return undefined;
      else if (node.kind === "junction" && node.inflow !== 0) return undefined;
    }
    return undefined;
  }

  /** A sensor must stand where the fan is felt: beyond a place of given pressure it is not. */
  private *checkReach({ fan, key, node }: Controlled, sensor: SensorPart): Generator<ControlFinding> {
    const reached = new Set([fan.from, fan.to]);
    // A set grows while it is walked through.
    for (const end of reached) {
      const here = this.nodes.get(nodeIdOf(end)) as NetworkNode;
      const kind = kindOf(here);
      if (kind.pressure(here) !== undefined) continue;
      for (const { from, to } of this.plan.ductsAt(end)) reached.add(from).add(to);
      for (const { from, to } of kind.links(here)) {
        if (from !== end && to !== end) continue;
        for (const next of [from, to]) if (next !== "") reached.add(next);
      }
      for (const { from, to } of this.openings) if (from === end || to === end) reached.add(from).add(to);
      for (const other of this.plan.elements.nodes) {
        if (other.kind === "terminal" && other.room === end) reached.add(other.id);
      }
    }
    const duct = "duct" in sensor ? this.ducts.get(sensor.duct) : undefined;
    const ends = duct === undefined ? ["node" in sensor ? sensor.node : ""] : [duct.from, duct.to];
    const felt = ends.some((end) => {
      const at = this.nodes.get(nodeIdOf(end)) as NetworkNode;
      return reached.has(end) && kindOf(at).pressure(at) === undefined;
    });
    if (felt) return;
    const expected = `a place whose pressure the fan ${shown(fan.name)} can change`;
    const found = "one in another part of the network, or of given pressure";
    yield { node, finding: { code: "sensor.isolated", key: `${key}.sensor`, expected, found } };
  }
}

/** Faults of controllers that show only in the whole of a network that is well formed. */
export const controlFindings = (plan: Plan, openings: readonly Opening[]): ControlFinding[] => {
  const controlled = controlledOf(plan.elements.nodes);
  return controlled.length === 0 ? [] : [...new ControlChecks(plan, openings, controlled).run()];
};
