import { unknownName } from "../core/nearest.js";
import { type Network, type NetworkDocument, parseNetwork } from "./document.js";
import { kindOf, type NetworkNode } from "./kinds/list.js";
import { isTerminal, type TerminalNode } from "./kinds/terminal.js";
import { nodeIdOf, Plan } from "./plan.js";
import type { Solution } from "./results.js";
import { columnAt } from "./site.js";
import { requireSolutionOf } from "./solution-check.js";

/** One element on the way of the air, in the order of the flow. */
export interface PathStep {
  /** Where its results stand in the solution: `ducts.main`, `fans.unit.supply`, `terminals.bedroom`, `nodes.cowl`. */
  readonly path: string;
  /** Loss of total pressure across it, buoyancy included [Pa]; negative across a fan or unit; 0 for a node. */
  readonly loss: number;
  /** Total pressure behind it [Pa]. */
  readonly totalPressure: number;
}

/** The terminal of that id. */
export const terminalOf = (network: Network, id: string): TerminalNode => {
  const terminals = network.nodes.filter(isTerminal);
  const found = terminals.find((terminal) => terminal.id === id);
  if (found !== undefined) return found;
  const known = terminals.map((terminal) => terminal.id);
  throw unknownName("terminal", "terminalId", id, known);
};

/** A stretch of the way of the air: an element, what it loses in the direction of the flow, and where it leads. */
export interface Stretch {
  readonly path: string;
  readonly loss: number;
  readonly end: string;
}

/**
 * Follows the air from a node, with the flow or against it and always along the largest flow, to where it comes to rest.
 * The stretches are in the order in which they were passed; losses are those in the direction of the flow.
 */
export const follow = (plan: Plan, solution: Solution, from: string, upstream: boolean): Stretch[] => {
  const stretches: Stretch[] = [];
  const passed = new Set<string>();
  for (let end = from; !passed.has(end); ) {
    passed.add(end);
    const next = largestDuct(plan, solution, end, upstream);
    if (next === undefined) break;
    stretches.push(next);
    const node = plan.node(nodeIdOf(next.end)) as NetworkNode;
    const kind = kindOf(node);
    if (kind.endsPaths) break;
    end = next.end;
    const fan = kind.fans(node).find((one) => one.from === end || one.to === end);
    if (fan === undefined) continue;
    const { ports = {} } = solution.nodes[node.id];
    const rise = ports[portOf(fan.to)].totalPressure - ports[portOf(fan.from)].totalPressure;
    end = fan.from === end ? fan.to : fan.from;
    stretches.push({ path: `fans.${fan.name}`, loss: solution.fans[fan.name].massFlow >= 0 ? -rise : rise, end });
  }
  return stretches;
};

const portOf = (end: string): string => end.slice(end.indexOf(".") + 1);

const largestDuct = (plan: Plan, { ducts }: Solution, end: string, upstream: boolean): Stretch | undefined => {
  let largest = 0;
  let found: Stretch | undefined;
  for (const duct of plan.ductsAt(end)) {
    const { massFlow, totalLoss, buoyancy } = ducts[duct.id];
    const size = (duct.from === end) === upstream ? -massFlow : massFlow;
    if (size <= largest) continue;
    largest = size;
    const fall = totalLoss + buoyancy;
    found = {
      path: `ducts.${duct.id}`,
      loss: massFlow >= 0 ? fall : -fall,
      end: duct.from === end ? duct.to : duct.from,
    };
  }
  return found;
};

/** The pressure that a terminal faces at its own height [Pa]. */
export const facedPressure = (plan: Plan, { nodes }: Pick<Solution, "nodes">, terminal: TerminalNode): number =>
  terminal.room === undefined
    ? 0
    : (nodes[terminal.room].totalPressure ?? 0) - columnAt(plan, terminal.room, terminal.elevation);

/** Pressures along stretches that begin at a pressure. */
export const falling = (start: PathStep, stretches: readonly Omit<Stretch, "end">[]): PathStep[] => {
  const steps = [start];
  let totalPressure = start.totalPressure;
  for (const { path, loss } of stretches) {
    totalPressure -= loss;
    steps.push({ path, loss, totalPressure });
  }
  return steps;
};

/** The point from which the air of a way comes, with its pressure. */
export const startOf = (solution: Solution, end: string): PathStep => {
  const id = nodeIdOf(end);
  const { totalPressure, ports } = solution.nodes[id];
  return { path: `nodes.${id}`, loss: 0, totalPressure: totalPressure ?? ports?.[portOf(end)].totalPressure ?? 0 };
};

/**
 * The way of the air through one terminal in a solved network, with the pressure falling along it: for supply air from
 * where it comes (mostly outdoors) through the fan to the room, for extract air from the room to where it goes. Where
 * ways join or part, it follows the largest flow.
 *
 * @param network - The network, parsed or as a document.
 * @param solution - Its solution [SI].
 * @param terminalId - The id of a terminal.
 * @returns Steps in the order of the flow: first the place where the air comes from, then each element with its loss of
 *   total pressure [Pa] (negative for a fan) and the total pressure behind it [Pa].
 * @throws DocumentError for a wrong document; InputError `unknown-terminal`, `solution.mismatch` for the solution of
 *   another network, `not-an-object` for no solution.
 *
 * Source: sums of the solution's own losses.
 * @example pressurePath(network, solution, "bedroom").map((step) => step.totalPressure);
 */
export function pressurePath(network: Network | NetworkDocument, solution: Solution, terminalId: string): PathStep[] {
  const parsed = parseNetwork(network);
  const plan = new Plan(parsed);
  const terminal = terminalOf(parsed, terminalId);
  requireSolutionOf(parsed, solution);
  const { flow } = solution.terminals[terminal.id];
  const outward = (terminal.service === "supply") === flow >= 0;
  const faced = facedPressure(plan, solution, terminal);
  const inside = solution.nodes[terminal.id].totalPressure ?? 0;
  const valve = { path: `terminals.${terminal.id}`, loss: Math.abs(inside - faced), end: terminal.id };
  const ducts = follow(plan, solution, terminal.id, outward);
  if (!outward) {
    const from = terminal.room === undefined ? `terminals.${terminal.id}` : `nodes.${terminal.room}`;
    return falling({ path: from, loss: 0, totalPressure: faced }, [valve, ...ducts]);
  }
  const source = ducts.length === 0 ? terminal.id : ducts[ducts.length - 1].end;
  return falling(startOf(solution, source), [...ducts.reverse(), valve]);
}
