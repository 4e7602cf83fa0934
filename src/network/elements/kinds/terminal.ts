import type { AirState } from "../../../air/state.js";
import { rounded, shown } from "../../../core/show.js";
import { areaOf } from "../../../ducts/geometry.js";
import { onVelocity, ratingCoefficient } from "../../../ducts/ratings.js";
import {
  about,
  choice,
  exactly,
  flag,
  number,
  object,
  optional,
  preset,
  quantity,
  word,
} from "../../../input/fields.js";
import { formatQuantity } from "../../../input/quantities.js";
import type { Answer } from "../../equations/state.js";
import { type Duct, ductArea } from "../../format/elements.js";
import type { Form, Preset, Quantified } from "../../format/forms.js";
import { elevation, id, labels } from "../../format/identifiers.js";
import { type LossPart, loss, type RegulatorPart, regulator } from "../../format/losses.js";
import type { ElementProblem } from "../../results/element-problem.js";
import { givenProvenance, type Provenance } from "../../results/provenance.js";
import type { Solution, TerminalResult, Warning } from "../../results/solution.js";
import { type Assembly, type Block, columnAt, columnKeys, restFlow, resumeBranch, resumePoint } from "../element.js";
import { bandWarning, regulatorProblems, regulatorResult, regulatorTerm } from "../regulator.js";
import { stillAirProvenance } from "../still-air-provenance.js";
import { freePressure, type NodeBase, type NodeKind, noFans, noPorts, type Surroundings } from "./kind.js";

/** A supply or extract valve, grille or diffuser, with or without a box in which its ducts end. */
export type TerminalNode<F extends Form = "parsed"> = NodeBase<F> & {
  readonly kind: "terminal";
  readonly service: "supply" | "extract";
  /** Between the duct and the still room, as set. */
  readonly loss: LossPart<F>;
  /** The same fully open; default: `loss`. */
  readonly open?: LossPart<F>;
  /** In series with `loss`; it holds a flow in the direction of the service. */
  readonly regulator?: RegulatorPart<F>;
  /** The room it serves; without one it faces gauge 0 at its own height. */
  readonly room?: string;
  /** [m³/s] */
  readonly designFlow?: Quantified<F>;
  /** Whether its ducts end in a box, which acts as a plenum; default: true where two or more runs meet it. */
  readonly box?: boolean;
} & Preset<F, { /** Loss of a duct that takes air from the box, on its ½ρv² [-] */ readonly entry: number }>;

/** Whether a node is a terminal. */
export const isTerminal = (node: NodeBase & { readonly kind: string }): node is TerminalNode =>
  node.kind === "terminal";

/** A terminal's loss as the two terms Δp = square·m|m| + coefficient·|m|ⁿ, odd in m [Pa, kg/s]. */
export interface TerminalLaw {
  readonly square: number;
  readonly coefficient: number;
  readonly exponent: number;
}

/** By how much a coefficient that is 1, as at a static pressure of 0, can come out lower [-]; chosen well above it. */
const rounding = 1e-9;

const totalArea = (ducts: readonly Duct[]): number => ducts.reduce((sum, duct) => sum + ductArea(duct), 0);

/** The area of the velocity that a loss refers to [m²]. */
const referenceArea = ({ section: given }: LossPart, ducts: readonly Duct[]): number =>
  given === undefined ? totalArea(ducts) : areaOf(given);

/** Whether ducts end in a box before the valve: where several runs meet it they must. */
const hasBox = ({ box }: TerminalNode, runs: number): boolean => box ?? runs > 1;

/** Ratio of areas from which two sections count as the same [-] */
const sameSection = 0.999;

/** A rating that was measured in another section than the valve's own ducts; in a box they end before it. */
const ratingWarnings = function* (node: TerminalNode, ducts: readonly Duct[], runs: number): Generator<Warning> {
  if (hasBox(node, runs)) return;
  for (const key of ["loss", "open"] as const) {
    const part = node[key];
    if (part === undefined || "coefficient" in part || part.section === undefined) continue;
    const [measured, built] = [areaOf(part.section), totalArea(ducts)];
    if (Math.min(measured, built) / Math.max(measured, built) >= sameSection) continue;
    const [inRating, inDuct] = [measured, built].map((area) => formatQuantity(area, "cm2"));
    const message = `the '${key}' of terminal '${node.id}' was measured in a section of ${inRating}, and duct '${ducts[0].id}' has ${inDuct}: the pressure drop of the change of section is in neither; put a transition there, or a box`;
    yield { code: "terminal.rating-section", path: `nodes.${node.id}.${key}`, message };
  }
};

/** The law of a terminal's loss in the air of its first duct. */
export const terminalLaw = (
  part: LossPart,
  service: TerminalNode["service"],
  ducts: readonly Duct[],
  air: AirState,
): TerminalLaw => {
  if ("coefficient" in part) {
    return {
      square: part.coefficient * onVelocity(air.density, referenceArea(part, ducts)),
      coefficient: 0,
      exponent: 2,
    };
  }
  // The static pressure in a supply duct lacks the velocity pressure there; that in an extract duct contains it.
  const velocityPart = part.pressureKind === "total" ? 0 : service === "supply" ? 1 : -1;
  return {
    square: velocityPart * onVelocity(air.density, referenceArea(part, ducts)),
    coefficient: ratingCoefficient(part, part.pressure, part.flow, air),
    exponent: part.exponent,
  };
};

/** The loss of a terminal at a mass flow [Pa]. */
export const terminalLoss = ({ square, coefficient, exponent }: TerminalLaw, massFlow: number): number => {
  const size = Math.abs(massFlow);
  return massFlow * size * square + Math.sign(massFlow) * coefficient * size ** exponent;
};

/** Share by which a terminal may lose more fully open than as set: what rounding does. */
const touching = 1e-9;

/**
 * A terminal that would lose more fully open than as set, at the flow that the document speaks of: the design flow, at
 * which the index run takes it fully open, or else a rated one. Elsewhere two exponents may cross by extrapolation alone.
 */
const openProblems = function* (
  node: TerminalNode,
  open: LossPart,
  ducts: readonly Duct[],
  air: AirState,
): Generator<ElementProblem> {
  const rated = [node.loss, open].flatMap((part) => ("flow" in part ? [part.flow] : []));
  const flow = node.designFlow ?? rated[0] ?? totalArea(ducts);
  const lossOf = (part: LossPart): number =>
    terminalLoss(terminalLaw(part, node.service, ducts, air), air.density * flow);
  const [set, opened] = [lossOf(node.loss), lossOf(open)];
  if (!(opened > set * (1 + touching))) return;
  const key = `open.${"coefficient" in open ? "coefficient" : "pressure"}`;
  const expected = `a loss of at most ${rounded(set)} Pa at ${rounded(flow)} m³/s, as 'loss' gives there, since it is the same valve fully open`;
  yield { code: "terminal.open-above-loss", key, expected, found: `${rounded(opened)} Pa there` };
};

const problems = function* (node: TerminalNode, surroundings: Surroundings): Generator<ElementProblem> {
  const { kindOf, nearestOf, runs } = surroundings;
  if (node.room !== undefined) {
    const kind = kindOf(node.room);
    if (kind !== "room") {
      const what = kind === undefined ? "which no node has" : `a node of kind '${kind}'`;
      const nearest = nearestOf(node.room, "room");
      const found = `${shown(node.room)}, ${what}`;
      const problem = { code: "reference.room", key: "room", expected: "the id of a room", found };
      yield nearest === undefined ? problem : { ...problem, nearest };
    }
  }
  if (node.regulator !== undefined) yield* regulatorProblems(node.regulator, "regulator");
  if (runs > 1 && node.box === false) {
    const expected = `true, or no 'box', where ${runs} runs meet the terminal: they join in a box`;
    yield { code: "terminal.box-needed", key: "box", expected, found: "false" };
  }
  if (runs === 0) return;
  const ducts = surroundings.ducts();
  const air = surroundings.airIn(ducts[0]);
  if (node.open !== undefined && air !== undefined) yield* openProblems(node, node.open, ducts, air);
  for (const key of ["loss", "open"] as const) {
    const part = node[key];
    if (part === undefined || "coefficient" in part || part.pressureKind === "total" || node.service === "supply")
      continue;
    const velocityPressure = (part.density / 2) * (part.flow / referenceArea(part, ducts)) ** 2;
    if (part.pressure > velocityPressure) continue;
    yield {
      code: "terminal.static-too-small",
      key: `${key}.pressure`,
      expected: `a static pressure above the velocity pressure of ${velocityPressure.toPrecision(3)} Pa in the ${part.section === undefined ? "duct" : "section of the rating"}`,
      found: `${part.pressure}`,
    };
  }
};

export const terminal: NodeKind<TerminalNode> = {
  kind: "terminal",
  field: exactly<TerminalNode, TerminalNode<"written">>()(
    about(
      "A supply or extract valve, grille or diffuser. With a box its ducts meet still air, as at a plenum: `entry` where their air comes from the box, all velocity pressure where it enters it.",
      object({
        id: id(),
        kind: word("terminal"),
        ...labels(),
        elevation: elevation(),
        service: choice(["supply", "extract"]),
        loss,
        open: about("The loss fully open. Default: `loss`.", optional(loss)),
        regulator: about("A constant-flow regulator in series with `loss`; default: none.", optional(regulator)),
        room: about("The id of its room. Without one it faces 0 Pa at its own height.", optional(id())),
        designFlow: optional(quantity("flow", { above: 0 })),
        box: about(
          "Whether its ducts end in a box before the valve, as semi-rigid runs do. Default: true where two or more runs meet it, else false.",
          optional(flag()),
        ),
        entry: about("Loss of a duct that takes air from the box.", preset(number({ min: 0 }), 0.5)),
      }),
    ),
  ),
  ports: noPorts,
  fans: noFans,
  endsPaths: false,
  takesOpenings: false,
  air: (_, climate) => climate.network,
  ductKeys: ["section", "air", "parallel"],
  reads: ({ room }) => (room === undefined ? [] : [{ list: "nodes", id: room, keys: columnKeys }]),
  airKeys: ["designFlow"],
  ends: {
    keys: ["entry"],
    sharedKeys: ["parallel"],
    entry: (node, runs, duct) => (hasBox(node, runs()) ? (duct.entry ?? node.entry) : 0),
    exit: (node, runs) => (hasBox(node, runs()) ? 1 : 0),
  },
  problems,
  pressure: freePressure,
  links: (node) => [{ from: node.id, to: node.room ?? "", resists: resists(node) }],
  provenance: function* (node, site, solution): Generator<Provenance> {
    yield givenProvenance(`nodes.${node.id}.loss`);
    if (node.regulator !== undefined) yield givenProvenance(`nodes.${node.id}.regulator`);
    if (hasBox(node, site.placeAt(node.id).runs)) yield* stillAirProvenance(node, site, solution);
  },
  assemble: (node, { points: [point], branches: [branch] }, assembly) =>
    new TerminalBlock(node, point, branch, assembly),
};

const resists = ({ loss: part, regulator: held }: TerminalNode): boolean =>
  held !== undefined ||
  ("coefficient" in part ? part.coefficient > 0 : part.pressure > 0 || part.pressureKind === "static");

class TerminalBlock implements Block {
  private readonly term: number;
  /** Of its regulator; undefined where it has none. */
  private readonly curve: number | undefined;
  private law: TerminalLaw = { square: 0, coefficient: 0, exponent: 2 };

  constructor(
    private node: TerminalNode,
    private readonly point: number,
    private readonly branch: number,
    private readonly assembly: Assembly,
  ) {
    this.term = assembly.builder.power(branch);
    if (node.regulator !== undefined) this.curve = assembly.builder.fan(branch);
  }

  adopt(node: unknown): void {
    this.node = node as TerminalNode;
  }

  refresh(): void {
    const { node, branch } = this;
    const { equations, site } = this.assembly;
    const ducts = site.ductsAt(node.id);
    const law = terminalLaw(node.loss, node.service, ducts, site.airIn(ducts[0]));
    equations.setPower(this.term, law.coefficient, law.exponent);
    equations.setOffset(branch, node.room === undefined ? 0 : -columnAt(site, node.room, node.elevation));
    equations.setQuadratic(branch, law.square);
    const density = densityIn(ducts, site);
    equations.setStart(branch, density, signOf(node) * startFlow(node, ducts));
    if (this.curve !== undefined && node.regulator !== undefined) {
      equations.setFan(this.curve, regulatorTerm(node.regulator, true, signOf(node) / density));
    }
    this.law = law;
  }

  resume({ nodes, terminals }: Solution, start: Answer): void {
    const { node } = this;
    const known = terminals[node.id]?.massFlow;
    resumePoint(nodes[node.id]?.totalPressure, this.point, start.pressure);
    resumeBranch(known === undefined ? undefined : signOf(node) * known, this.branch, start.massFlow);
  }

  report({ massFlow, pressure }: Answer, { nodes, terminals, warnings }: Solution): void {
    const { law, node } = this;
    const { equations, site } = this.assembly;
    const ducts = site.ductsAt(node.id);
    const density = densityIn(ducts, site);
    const m = signOf(node) * massFlow[this.branch];
    const flow = m / density;
    nodes[node.id] = { totalPressure: pressure[this.point] };
    const ownLoss = terminalLoss(law, m);
    const result: TerminalResult = { flow, massFlow: m, pressureLoss: ownLoss };
    if (node.designFlow !== undefined) {
      result.designFlow = node.designFlow;
      result.ratio = flow / node.designFlow;
    }
    if (this.curve !== undefined && node.regulator !== undefined) {
      const taken = -signOf(node) * equations.fanPressure(this.curve, massFlow[this.branch]);
      result.regulator = regulatorResult(node.regulator, taken);
      result.pressureLoss += taken;
      for (const one of result.regulator.outside ?? []) {
        warnings.push(bandWarning(`at terminal '${node.id}'`, `nodes.${node.id}.regulator`, one));
      }
    }
    terminals[node.id] = result;
    warnings.push(...ratingWarnings(node, ducts, site.placeAt(node.id).runs));
    if (flow < -restFlow) {
      const message = `terminal '${node.id}' runs backwards: its ${node.service} flow is ${(1000 * flow).toFixed(2)} l/s`;
      warnings.push({ code: "terminal.reversed", path: `terminals.${node.id}.flow`, message });
    }
    if (ownLoss * flow < 0) {
      const message = `terminal '${node.id}' would gain pressure: its static rating is below the velocity pressure of this flow`;
      warnings.push({ code: "terminal.loss-negative", path: `nodes.${node.id}.loss`, message });
    }
    const coefficient = suppliedCoefficient(node, ducts, law, m, density);
    if (coefficient !== undefined && coefficient < 1 - rounding) {
      const message = `supply terminal '${node.id}' has a loss coefficient of ${coefficient.toPrecision(3)} on its duct; below 1 the loss leaves out velocity pressure that the jet carries away`;
      warnings.push({ code: "terminal.coefficient-below-one", path: `nodes.${node.id}.loss`, message });
    }
  }
}

/** A branch counts from the duct to the room, a result in the direction of the service. */
const signOf = ({ service }: TerminalNode): number => (service === "supply" ? 1 : -1);

const densityIn = (ducts: readonly Duct[], site: Assembly["site"]): number => site.airIn(ducts[0]).density;

/** The coefficient of a supply terminal on ½ρv² of its ducts, or as it is given; undefined where there is none. */
const suppliedCoefficient = (
  node: TerminalNode,
  ducts: readonly Duct[],
  law: TerminalLaw,
  massFlow: number,
  density: number,
): number | undefined => {
  if (node.service !== "supply") return undefined;
  if ("coefficient" in node.loss) return node.loss.coefficient;
  if (massFlow < restFlow * density) return undefined;
  const velocityPressure = (massFlow / referenceArea(node.loss, ducts)) ** 2 / (2 * density);
  return terminalLoss(law, massFlow) / velocityPressure;
};

/** Where a cold solve starts [m³/s]: the design flow, its regulator's, the rated flow, or 2 m/s in the ducts. */
const startFlow = ({ designFlow, loss: part, regulator: held }: TerminalNode, ducts: readonly Duct[]): number =>
  designFlow ?? held?.flow ?? ("flow" in part ? part.flow : 2 * totalArea(ducts));
