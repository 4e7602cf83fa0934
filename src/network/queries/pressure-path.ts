import { unknownName } from "../../core/nearest.js";
import { layoutOf, type Network, type NetworkDocument, parseNetwork } from "../document/document.js";
import { columnAt } from "../elements/element.js";
import { kindOf, type NetworkNode } from "../elements/kinds/list.js";
import { isTerminal, type TerminalNode } from "../elements/kinds/terminal.js";
import { type Layout, nodeIdOf } from "../layout/layout.js";
import type { Solution } from "../results/solution.js";
import { requireSolutionOf } from "../solve/solution-check.js";

/** One element on the way of the air, in the order of the flow. */
export interface PathStep {
  /** Where its results stand in the solution: `ducts.main`, `fans.unit.supply`, `terminals.bedroom`, `nodes.cowl`. */
  readonly path: string;
  /** Loss of total pressure across it, buoyancy included [Pa]; negative across a fan or unit; 0 for a node. */
  readonly loss: number;
  /** Total pressure after it [Pa]. */
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

/** A stretch of the way of the air: an element, its pressure drop in the direction of the flow, and where it leads. */
export interface Stretch {
  readonly path: string;
  readonly loss: number;
  readonly end: string;
}

/** A stretch with the air that takes it [kg/s]. */
interface Way extends Stretch {
  readonly massFlow: number;
}

/** The room's side of a terminal's valve, as an end; terminals have no ports. */
const behindValve = ({ id }: TerminalNode): string => `${id}.room`;

/** The terminal beyond whose valve an end lies; undefined for all other ends. */
const terminalBehind = (layout: Layout, end: string): TerminalNode | undefined => {
  const node = layout.node(nodeIdOf(end)) as NetworkNode;
  return isTerminal(node) && end === behindValve(node) ? node : undefined;
};

const carried = (ways: readonly Way[]): number => ways.reduce((sum, { massFlow }) => sum + massFlow, 0);

/**
 * Follows the air from a node, with the flow or against it and always along the largest flow, to where it comes to
 * rest. If a way only leads back to where it has been (warm air may circulate in a loop), it goes back and takes the
 * next; it does the same if a way misses the goal, if there is one. The stretches are in the order in which they were
 * passed, none if nothing leads to the goal; losses are in the direction of the flow.
 */
export const follow = (
  layout: Layout,
  solution: Solution,
  from: string,
  upstream: boolean,
  goal?: string,
): Stretch[] => {
  const stretches: Stretch[] = [];
  const passed = new Set([from]);
  const isRest = (end: string): boolean =>
    kindOf(layout.node(nodeIdOf(end)) as NetworkNode).endsPaths || terminalBehind(layout, end) !== undefined;
  // Into dead ends flows what the tolerance leaves, and nothing more.
  const least = 1e-6 * carried(waysFrom(layout, solution, from, upstream));
  for (let end = from; end !== goal && (goal !== undefined || !isRest(end)); ) {
    const ways = isRest(end) ? [] : waysFrom(layout, solution, end, upstream);
    const next = ways.find((way) => way.massFlow > least && !passed.has(way.end));
    if (next !== undefined) {
      passed.add(next.end);
      stretches.push(next);
    } else {
      // Less air on this side than on the other: here some begins or ends, at an opening or an inflow.
      const rests = carried(ways) < (1 - 1e-6) * carried(waysFrom(layout, solution, end, !upstream));
      if ((rests && goal === undefined) || stretches.pop() === undefined) break;
    }
    end = stretches[stretches.length - 1]?.end ?? from;
  }
  return stretches;
};

const portOf = (end: string): string => end.slice(end.indexOf(".") + 1);

/** The ways on from a node or port, the largest flow first. */
const waysFrom = (layout: Layout, solution: Solution, end: string, upstream: boolean): Way[] => {
  const ways: Way[] = [];
  const add = (
    path: string,
    massFlow: number,
    fall: number,
    ends: { readonly from: string; readonly to: string },
  ): void => {
    const starts = ends.from === end;
    if (massFlow === 0 || massFlow > 0 === (starts === upstream)) return;
    const loss = massFlow > 0 ? fall : -fall;
    ways.push({ path, loss, end: starts ? ends.to : ends.from, massFlow: Math.abs(massFlow) });
  };
  const massAt = (port: string): number => Math.abs(solution.ducts[layout.ductsAt(port)[0].id].massFlow);
  for (const duct of layout.ductsAt(end)) {
    const { massFlow, totalLoss, buoyancy } = solution.ducts[duct.id];
    add(`ducts.${duct.id}`, massFlow, totalLoss + buoyancy, duct);
  }
  const node = layout.node(nodeIdOf(end)) as NetworkNode;
  for (const fan of kindOf(node).fans(node)) {
    if (fan.from !== end && fan.to !== end) continue;
    const { ports = {} } = solution.nodes[node.id];
    const rise = ports[portOf(fan.to)].totalPressure - ports[portOf(fan.from)].totalPressure;
    add(`fans.${fan.name}`, solution.fans[fan.name].massFlow, -rise, fan);
  }
  const { losses, ports = {} } = solution.nodes[node.id] ?? {};
  for (const { from, to } of losses?.paths ?? []) {
    const ends = { from: `${node.id}.${from}`, to: `${node.id}.${to}` };
    if (ends.from !== end && ends.to !== end) continue;
    const [before, after] = [massAt(ends.from), massAt(ends.to)];
    add(`nodes.${node.id}`, Math.min(before, after), ports[from].totalPressure - ports[to].totalPressure, ends);
  }
  if (isTerminal(node)) {
    const outward = (node.service === "supply" ? 1 : -1) * solution.terminals[node.id].massFlow;
    const fall = (solution.nodes[node.id].totalPressure ?? 0) - facedPressure(layout, solution, node);
    add(`terminals.${node.id}`, outward, fall, { from: node.id, to: behindValve(node) });
  }
  return ways.sort((a, b) => b.massFlow - a.massFlow);
};

/** The pressure that a terminal faces at its own height [Pa]. */
export const facedPressure = (layout: Layout, { nodes }: Pick<Solution, "nodes">, terminal: TerminalNode): number =>
  terminal.room === undefined
    ? 0
    : (nodes[terminal.room].totalPressure ?? 0) - columnAt(layout, terminal.room, terminal.elevation);

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

/** The room of a terminal as the start of a path, or the terminal itself where it has none. */
export const roomOf = (layout: Layout, solution: Solution, terminal: TerminalNode): PathStep => {
  const path = terminal.room === undefined ? `terminals.${terminal.id}` : `nodes.${terminal.room}`;
  return { path, loss: 0, totalPressure: facedPressure(layout, solution, terminal) };
};

/** The point from which the air of a way comes, with its pressure. */
export const startOf = (layout: Layout, solution: Solution, end: string): PathStep => {
  const terminal = terminalBehind(layout, end);
  if (terminal !== undefined) return roomOf(layout, solution, terminal);
  const id = nodeIdOf(end);
  const { totalPressure, ports } = solution.nodes[id];
  return { path: `nodes.${id}`, loss: 0, totalPressure: totalPressure ?? ports?.[portOf(end)].totalPressure ?? 0 };
};

/**
 * The way of the air through one terminal in a solved network, with the pressure falling along it: for supply air from
 * where it comes (mostly outdoors) through the fan to the room, for extract air from the room to where it goes. Where
 * air combines or divides, it follows the largest flow.
 *
 * @param network - The network, parsed or as a document.
 * @param solution - Its solution [SI].
 * @param terminalId - The id of a terminal.
 * @returns Steps in the order of the flow: first the place where the air comes from, then each element with its loss of
 *   total pressure [Pa] (negative for a fan) and the total pressure after it [Pa].
 * @throws DocumentError for a wrong document; InputError `unknown-terminal`, `solution.mismatch` for the solution of
 *   another network, `not-an-object` for no solution.
 *
 * Source: sums of the solution's own losses.
 * @example pressurePath(network, solution, "bedroom").map((step) => step.totalPressure);
 */
export function pressurePath(network: Network | NetworkDocument, solution: Solution, terminalId: string): PathStep[] {
  const parsed = parseNetwork(network);
  const layout = layoutOf(parsed);
  const terminal = terminalOf(parsed, terminalId);
  requireSolutionOf(parsed, solution);
  const { flow } = solution.terminals[terminal.id];
  const outward = (terminal.service === "supply") === flow >= 0;
  const faced = facedPressure(layout, solution, terminal);
  const inside = solution.nodes[terminal.id].totalPressure ?? 0;
  const valve = { path: `terminals.${terminal.id}`, loss: outward ? inside - faced : faced - inside };
  const ducts = follow(layout, solution, terminal.id, outward);
  if (!outward) return falling(roomOf(layout, solution, terminal), [valve, ...ducts]);
  const source = ducts.length === 0 ? terminal.id : ducts[ducts.length - 1].end;
  return falling(startOf(layout, solution, source), [...ducts.reverse(), valve]);
}
