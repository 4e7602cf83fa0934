import { InputError } from "../core/errors.js";
import { unknownName } from "../core/nearest.js";
import { regulatorNeed } from "../fittings/regulator.js";
import { valueAt } from "../numerics/interpolation.js";
import { assemble } from "./assemble.js";
import { type Network, type NetworkDocument, parseNetwork } from "./document.js";
import type { FanOutline } from "./kinds/kind.js";
import { kindOf, type NetworkNode } from "./kinds/list.js";
import { isTerminal, type TerminalNode, terminalLaw, terminalLoss } from "./kinds/terminal.js";
import { facedPressure, falling, follow, type PathStep, type Stretch, startOf } from "./paths.js";
import { nodeIdOf, Plan } from "./plan.js";
import type { Solution } from "./results.js";
import { requireSolutionOf } from "./solution-check.js";
import { emptySolution, limitsOf, solveFrom } from "./solve.js";
import { solverOf } from "./solver-of.js";

/** What one terminal needs of its fan at design flow. */
export interface TerminalRequirement {
  readonly terminal: string;
  /** Fan total pressure that the path through this terminal needs, its valve fully open [Pa] */
  readonly requiredPressure: number;
  /** What its valve, or a regulator on its path, must take beside the index run [Pa] */
  readonly shortfall: number;
}

/** The path that needs most of a fan at design flow. */
export interface IndexRun {
  readonly fan: string;
  /** The index terminal. */
  readonly terminal: string;
  /** Fan total pressure that the index run needs [Pa] */
  readonly requiredPressure: number;
  /** The index run in the order of the flow, with the fan at `requiredPressure`. */
  readonly path: readonly PathStep[];
  /** All terminals of the fan, the most demanding first. */
  readonly terminals: readonly TerminalRequirement[];
}

/** The terminal with the smallest flow over design flow. */
export interface LeastFavoured {
  readonly terminal: string;
  /** [m³/s] */
  readonly flow: number;
  /** [m³/s] */
  readonly designFlow: number;
  /** flow over design flow [-] */
  readonly ratio: number;
}

/** The fan of a name. */
export const fanOf = (network: Network, name: string): FanOutline => {
  const fans = network.nodes.flatMap((node) => kindOf(node).fans(node));
  const found = fans.find((fan) => fan.name === name);
  if (found !== undefined) return found;
  const known = fans.map((fan) => fan.name);
  throw unknownName("fan", "fanName", name, known);
};

/** The terminals that a fan serves: those that ducts, fans and other passages join to it without passing a place of rest. */
const terminalsOf = (plan: Plan, fan: FanOutline): TerminalNode[] => {
  const terminals: TerminalNode[] = [];
  const reached = new Set([fan.from, fan.to]);
  // A set grows while it is walked through: each end is visited once.
  for (const end of reached) {
    const node = plan.node(nodeIdOf(end)) as NetworkNode;
    if (isTerminal(node)) terminals.push(node);
    if (kindOf(node).endsPaths) continue;
    const isPort = (name: string): boolean => name.startsWith(`${node.id}.`);
    for (const { from, to } of kindOf(node).links(node)) {
      if ((from === end || to === end) && isPort(from) && isPort(to)) reached.add(from).add(to);
    }
    for (const { from, to } of plan.ductsAt(end)) reached.add(from === end ? to : from);
  }
  return terminals;
};

const needDesignFlows = (fanName: string, terminals: readonly TerminalNode[]): void => {
  const problems = terminals
    .filter((terminal) => terminal.designFlow === undefined)
    .map(({ id }) => {
      const [expected, found] = ["a design flow, which the index run needs of every terminal of the fan", "nothing"];
      const path = `nodes.${id}.designFlow`;
      const message = `${path}: expected ${expected}, got ${found}`;
      return { code: "terminal.design-flow-missing", path, id, message, expected, found };
    });
  if (problems.length > 0) throw new InputError(problems);
  if (terminals.length > 0) return;
  const [expected, found] = ["a fan that serves terminals", `'${fanName}', which no duct joins to any`];
  const message = `fanName: expected ${expected}, got ${found}`;
  throw new InputError([{ code: "fan.no-terminals", path: "fanName", message, expected, found }]);
};

/** A terminal's design mass flow, positive in the direction of its service [kg/s]. */
const designMass = (plan: Plan, { id, designFlow = 0 }: TerminalNode): number =>
  designFlow * plan.airIn(plan.ductsAt(id)[0]).density;

/** Rooms without a pressure of their own are taken as neutral: balancing is there to make them so. */
const withNeutralRooms = (network: Network): Network => ({
  ...network,
  nodes: network.nodes.map((node) =>
    node.kind === "room" && node.pressure === undefined ? { ...node, pressure: 0 } : node,
  ),
});

/**
 * The index run of a fan: the path that needs most pressure when every terminal of the fan runs at its design flow with
 * its valve fully open (`open`, default its `loss`). What the other paths need less, their valves must take. A constant-flow
 * regulator counts with what it needs: its `minPressure` for flows within its accuracy, as open below, as shut above.
 *
 * Flows follow from the design flows; round loops they are those solved with the terminals held there. Rooms without a
 * pressure of their own count as neutral (0 Pa). Dampers in ducts count as they stand.
 *
 * @param network - The network, parsed or as a document.
 * @param fanName - A fan's node id, or `unit.supply`.
 * @returns The index terminal, the fan total pressure needed [Pa], the path in the order of the flow, and every terminal's
 *   own need and shortfall [Pa].
 * @throws DocumentError for a wrong document; InputError `unknown-fan`, `fan.no-terminals`, or
 *   `terminal.design-flow-missing` for every terminal without one; SolveError where the flows round loops are not found.
 *
 * Source: index run as in duct design practice (common practice, no source).
 * @example indexRun(network, "unit.supply").requiredPressure; // Pa
 */
export function indexRun(network: Network | NetworkDocument, fanName: string): IndexRun {
  const parsed = withNeutralRooms(parseNetwork(network));
  const plan = new Plan(parsed);
  const fan = fanOf(parsed, fanName);
  const terminals = terminalsOf(plan, fan);
  needDesignFlows(fanName, terminals);
  const held = new Map(
    terminals.map((terminal) => {
      const mass = designMass(plan, terminal);
      return [terminal.id, terminal.service === "supply" ? -mass : mass];
    }),
  );
  const design = solveHeld(parsed, held);
  const rise = design.fans[fanName].totalPressure;
  const needs = terminals.map((terminal) => {
    const loss = openLoss(plan, terminal);
    const inside = design.nodes[terminal.id].totalPressure ?? 0;
    const faced = facedPressure(plan, design, terminal);
    const left = terminal.service === "supply" ? inside - faced : faced - inside;
    return { terminal, requiredPressure: rise + loss - left };
  });
  needs.sort((a, b) => b.requiredPressure - a.requiredPressure);
  const [{ terminal, requiredPressure }] = needs;
  return {
    fan: fanName,
    terminal: terminal.id,
    requiredPressure,
    path: indexPath(plan, design, terminal, { path: `fans.${fanName}`, excess: rise - requiredPressure }),
    terminals: needs.map((need) => ({
      terminal: need.terminal.id,
      requiredPressure: need.requiredPressure,
      shortfall: requiredPressure - need.requiredPressure,
    })),
  };
}

/** The state with terminals held at given mass flows. */
const solveHeld = (network: Network, held: ReadonlyMap<string, number>): Solution => {
  const system = assemble(network, { held });
  const solver = solverOf(system.equations);
  const design = emptySolution(solveFrom(solver, undefined, limitsOf()));
  system.elements.reportAll(solver, design);
  return design;
};

/** What a terminal loses at design flow, fully open, with what its regulator needs [Pa]. */
const openLoss = (plan: Plan, terminal: TerminalNode): number => {
  const { designFlow = 0, regulator } = terminal;
  const law = terminalLaw(terminal.open ?? terminal.loss, terminal.service, plan.ductsAt(terminal.id), plan);
  const held = regulator === undefined ? 0 : valueAt(regulatorNeed(regulator), designFlow);
  return terminalLoss(law, designMass(plan, terminal)) + held;
};

/** The path through a terminal in the design state, with the fan giving just what the path needs. */
const indexPath = (
  plan: Plan,
  design: Solution,
  terminal: TerminalNode,
  fan: { readonly path: string; readonly excess: number },
): PathStep[] => {
  const supply = terminal.service === "supply";
  const valve = { path: `terminals.${terminal.id}`, loss: openLoss(plan, terminal) };
  const ducts = follow(plan, design, terminal.id, supply);
  const needed = ({ path, loss }: Stretch): Omit<Stretch, "end"> => ({
    path,
    loss: path === fan.path ? loss + fan.excess : loss,
  });
  if (supply) {
    const source = ducts.length === 0 ? terminal.id : ducts[ducts.length - 1].end;
    return falling(startOf(design, source), [...ducts.reverse().map(needed), valve]);
  }
  const from = terminal.room === undefined ? `terminals.${terminal.id}` : `nodes.${terminal.room}`;
  const start = { path: from, loss: 0, totalPressure: facedPressure(plan, design, terminal) };
  return falling(start, [valve, ...ducts.map(needed)]);
};

/**
 * The least favoured terminal of a fan in a solved network: the one with the smallest flow over design flow.
 *
 * @param network - The network, parsed or as a document.
 * @param solution - Its solution [SI].
 * @param fanName - A fan's node id, or `unit.supply`.
 * @returns The terminal, its flow and design flow [m³/s] and their ratio [-].
 * @throws DocumentError for a wrong document; InputError `unknown-fan`, `fan.no-terminals`, or
 *   `terminal.design-flow-missing` where no terminal of the fan has a design flow; `solution.mismatch` for the solution
 *   of another network, `not-an-object` for no solution.
 *
 * Source: definition (common practice, no source).
 * @example leastFavoured(network, solution, "unit.supply").ratio;
 */
export function leastFavoured(network: Network | NetworkDocument, solution: Solution, fanName: string): LeastFavoured {
  const parsed = parseNetwork(network);
  const terminals = terminalsOf(new Plan(parsed), fanOf(parsed, fanName));
  const designed = terminals.filter((terminal) => terminal.designFlow !== undefined);
  if (designed.length === 0) needDesignFlows(fanName, terminals);
  requireSolutionOf(parsed, solution);
  const found = designed.map(({ id, designFlow = 0 }) => {
    const { flow } = solution.terminals[id];
    return { terminal: id, flow, designFlow, ratio: flow / designFlow };
  });
  return found.reduce((least, one) => (one.ratio < least.ratio ? one : least));
}
