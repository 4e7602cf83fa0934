import { type Controlled, controlledOf, helplessProblems } from "../document/control-checks.js";
import { losesBefore, ratiosAreFree } from "../document/controllability.js";
import { Read } from "../document/reading.js";
import { closedWithoutResistance, ductResists, losslessBranches } from "../document/resistance.js";
import { airProblems } from "../elements/air-checks.js";
import { ductProblems } from "../elements/duct-checks.js";
import type { Surroundings } from "../elements/kinds/kind.js";
import { kindOf, type NetworkNode } from "../elements/kinds/list.js";
import { type ControlPart, type DuctSensor, ductSensorsOf } from "../format/control.js";
import type { Duct } from "../format/elements.js";
import type { ElementProblem } from "../results/element-problem.js";
import type { Model } from "./model.js";
import { type Owner, pathOf } from "./paths.js";

/** A problem that a change has made, and the path of the element where it shows. */
export interface ChangeProblem {
  readonly element: string;
  readonly problem: ElementProblem;
}

/** Keys of a duct whose numbers may be at odds with others. */
const ductKeys = ["section", "air", "parallel", "roughness", "compression", "fittings"];

function* at(element: string, problems: Iterable<ElementProblem>): Generator<ChangeProblem> {
  for (const problem of problems) yield { element, problem };
}

const totalSensorsOf = (control: ControlPart): DuctSensor[] =>
  control.kind === "pressure" && control.pressureKind === "total" ? ductSensorsOf(control).map(([, one]) => one) : [];

const pathsOf = function* <T extends { readonly id: string }>(
  list: string,
  elements: readonly T[],
): Generator<readonly [T, string]> {
  for (const element of elements) yield [element, `${list}.${element.id}`];
};

/** What is wrong in a model after changes, beside the ranges of the numbers themselves: what the checks of a document find. */
export class ChangeChecks {
  private readonly controlled: readonly Controlled[];
  /** Sensors of total pressure in ducts. */
  private readonly sensors: readonly DuctSensor[];
  /** Which of them stand after a loss, in the document: on it depends what a controller can hold. */
  private readonly behindLoss: string;
  /** Whether any ratio of a balance will do: as connections say, which stay. */
  private freeRatios: boolean | undefined;

  constructor(private readonly model: Model) {
    const { nodes } = model.network;
    this.controlled = controlledOf(nodes.map((node, index) => new Read("nodes", index, node.id, {}, node)));
    this.sensors = this.controlled.flatMap(({ control }) => totalSensorsOf(control));
    this.behindLoss = this.lossesSensed();
  }

  /** What a change below some keys of an owner has made, with the elements that read it. */
  *after(owner: Owner, keys: readonly string[], elements: readonly number[] | "all"): Generator<ChangeProblem> {
    const { model } = this;
    const { list, index } = owner;
    if (list === "openings") return;
    if (model.changesAirs(owner, keys)) yield* this.ofAirs();
    if (list === "nodes") yield* this.ofNode(model.network.nodes[index]);
    if (list === "ducts") yield* this.ofDuct(index, keys);
    if (elements === "all") return;
    yield* this.ofResistance(elements);
    yield* this.ofControllers(keys);
  }

  /** At every air that depends on the network's, and wherever ducts must carry one air. */
  private *ofAirs(): Generator<ChangeProblem> {
    const { air, ducts, nodes, outdoorAir } = this.model.network;
    yield* at("", airProblems(air, air, "air"));
    yield* at("", airProblems(outdoorAir, air, "outdoorAir"));
    for (const { air: own, id } of ducts) yield* at(`ducts.${id}`, airProblems(own, air, "air"));
    for (const node of nodes) yield* this.ofNode(node);
  }

  private *ofDuct(index: number, keys: readonly string[]): Generator<ChangeProblem> {
    const { network } = this.model;
    const duct = network.ducts[index];
    const [key, which] = keys;
    const kind = key === "fittings" ? duct.fittings[Number(which)].kind : undefined;
    // Nothing else depends on the numbers of these.
    if (!ductKeys.includes(key) || kind === "fixed" || kind === "rating") return;
    yield* at(pathOf(network, { list: "ducts", index }), ductProblems(duct, network.air));
    for (const end of this.model.endsReading(index, keys)) yield* this.ofNode(network.nodes[end]);
  }

  private *ofNode(node: NetworkNode): Generator<ChangeProblem> {
    yield* at(`nodes.${node.id}`, kindOf(node).problems(node, this.surroundingsOf(node)));
  }

  /** Paths of the air that have lost their last resistance, where one of these elements may have had it. */
  private *ofResistance(elements: readonly number[]): Generator<ChangeProblem> {
    const { network, system } = this.model;
    if (!elements.some((element) => this.isLossless(element))) return;
    const branches = losslessBranches(pathsOf("nodes", network.nodes), pathsOf("ducts", network.ducts), system.layout);
    for (const { branch, problem } of closedWithoutResistance(branches, system.layout)) {
      yield { element: branch.path, problem };
    }
  }

  private isLossless(element: number): boolean {
    const { network, system } = this.model;
    const { ducts, nodes } = network;
    if (element < nodes.length) {
      const node = nodes[element];
      return kindOf(node)
        .links(node)
        .some(({ resists }) => !resists);
    }
    const duct: Duct | undefined = ducts[element - nodes.length];
    return duct !== undefined && !ductResists(duct, system.layout);
  }

  /** Controllers that can no longer hold what they are for: a matter of connections, and of few numbers. */
  private *ofControllers(keys: readonly string[]): Generator<ChangeProblem> {
    const { network, system } = this.model;
    if (this.lossesSensed() === this.behindLoss) {
      if (keys[keys.length - 1] !== "ratio") return;
      const acting = this.controlled.filter(({ fan }) => fan.still !== true);
      this.freeRatios ??= ratiosAreFree(system.layout, network.openings, acting);
      if (this.freeRatios) return;
    }
    for (const { read, problem } of helplessProblems(this.controlled, system.layout, network.openings)) {
      yield { element: `nodes.${read.id}`, problem };
    }
  }

  private lossesSensed(): string {
    const { index, network, system } = this.model;
    const positions = this.sensors.length > 0 ? index.positions("ducts") : undefined;
    return this.sensors
      .map(({ at, duct }) => losesBefore(system.layout, network.ducts[positions?.get(duct) as number], at))
      .join();
  }

  private surroundingsOf(node: NetworkNode): Surroundings {
    const { index, network, system } = this.model;
    const { layout } = system;
    return {
      runs: layout.runsAt(node.id),
      ducts: () => layout.ductsAt(node.id),
      portDuct: (port) => layout.ductsAt(`${node.id}.${port}`)[0],
      kindOf: (id) => network.nodes[index.positions("nodes").get(id) as number]?.kind,
      nearestOf: () => undefined,
      airIn: (duct) => layout.soundAirIn(duct),
      inherits: layout.inherits,
      air: network.air,
    };
  }
}
