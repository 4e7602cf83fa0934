import { InputError, problemOf } from "../../core/errors.js";
import { unknownName } from "../../core/nearest.js";
import { layoutOf, type Network, type NetworkDocument, parseNetwork } from "../document/document.js";
import type { FanOutline } from "../elements/kinds/kind.js";
import { kindOf } from "../elements/kinds/list.js";
import type { TerminalNode } from "../elements/kinds/terminal.js";
import type { Elements, Layout } from "../layout/layout.js";
import type { Solution } from "../results/solution.js";
import { assemble } from "../solve/assemble.js";
import { requireSolutionOf } from "../solve/solution-check.js";
import { resumed } from "../solve/solve.js";
import { falling, follow, type PathStep, roomOf, startOf } from "./pressure-path.js";
import { type DesignState, designSolution, openLoss, requiredState } from "./required-pressure.js";
import { fanAirIn, leastShare, shareOf, terminalsJoined } from "./served.js";

/** What one terminal needs of its fan at design flow. */
export interface TerminalRequirement {
  readonly terminal: string;
  /** Of its design air, what passes the fan, above 0 to 1 [-] */
  readonly share: number;
  /** Fan total pressure that its path takes beside the index run, its valve fully open: the index run's minus `excess` [Pa] */
  readonly requiredPressure: number;
  /** What its valve, or a regulator on its path, must take when the fan gives what the index run needs [Pa] */
  readonly excess: number;
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

const requireDesignFlows = (terminals: readonly TerminalNode[]): void => {
  const problems = terminals
    .filter((terminal) => terminal.designFlow === undefined)
    .map(({ id }) => {
      const expected = "a design flow: the index run needs one at every terminal of the fan";
      return { ...problemOf("terminal.design-flow-missing", `nodes.${id}.designFlow`, expected, "nothing"), id };
    });
  if (problems.length > 0) throw new InputError(problems);
};

const refuseWithout = (fanName: string, why: string): never => {
  throw new InputError([
    problemOf("fan.no-terminals", "fanName", "a fan that serves terminals", `'${fanName}', ${why}`),
  ]);
};

/** Rooms without a pressure of their own are taken as neutral: balancing is there to make them so. */
const withNeutralRooms = (network: Elements): Elements => ({
  ...network,
  nodes: network.nodes.map((node) =>
    node.kind === "room" && node.pressure === undefined ? { ...node, pressure: 0 } : node,
  ),
});

/**
 * The index run of a fan: the path that needs most pressure when every terminal of the fan runs at its design flow with
 * its valve fully open (`open`, default its `loss`). The valves of the other paths must take the difference. A
 * constant-flow regulator on the way counts with the pressure it needs: `minPressure` for flows within its accuracy,
 * fully open below them, shut as far as it goes above them. If it is set below a terminal's design flow, it then takes
 * more than its `maxPressure`, and that is what counts (a solution warns of it, `terminal.regulator-below-design`).
 *
 * It is found on the network itself: the fan gives one pressure at any flow, its terminals are held at their design
 * flows, and everything else is free: open ends and leaks, and other fans at their speed, or at their set value if
 * controlled. So a fan of that pressure, with valves that take the excesses, gives design flows. Rooms without a
 * given pressure count as neutral (0 Pa). Dampers in ducts count as they are set.
 *
 * A fan's terminals are those whose design air passes through it. Their `share` is 1 if all of it does, and less if
 * other fans bring the rest. A terminal upstream of a fan that gets its air only by a bypass, and no more of it at a
 * higher pressure, does not belong to the fan. If others, fans or inflows, give its terminals design flow before its air gets there,
 * the excess would flow back through it at a lower pressure: the fan is not needed, and no pressure is given. A
 * pressure below 0 is what a fan has to spare because others blow through it.
 *
 * @param network - The network, parsed or as a document.
 * @param fanName - A fan's node id, or `unit.supply`.
 * @returns The index terminal, the fan total pressure needed [Pa], −1e5 to 1e5, the path in the order of the flow, and every
 *   terminal's share [-], own need and excess [Pa].
 * @throws DocumentError for a wrong document; InputError `unknown-fan`, `fan.no-terminals`,
 *   `terminal.design-flow-missing` for every terminal without one, `fan.not-needed` where others are enough, or
 *   `fan.no-required-pressure` where no pressure gives design flows, or not in one state only, with the reason;
 *   SolveError where a state on the way is not found.
 *
 * Source: index run as in duct design practice (common practice, no source).
 * @example indexRun(network, "unit.supply").requiredPressure; // Pa
 */
export function indexRun(network: Network | NetworkDocument, fanName: string): IndexRun {
  const parsed = parseNetwork(network);
  const fan = fanOf(parsed, fanName);
  const layout = layoutOf(parsed).withElements(withNeutralRooms(parsed));
  const joined = terminalsJoined(layout, fan);
  if (joined.length === 0) refuseWithout(fanName, "which no duct connects to one");
  const state = designStateOf(layout, fan, joined);
  const served = [...state.held].sort((a, b) => a.left - b.left);
  const [{ terminal, left: least }] = served;
  return {
    fan: fanName,
    terminal: terminal.id,
    requiredPressure: state.pressure,
    path: indexPath(fan, state, terminal),
    // What the search has left at the index terminal is rounding.
    terminals: served.map(({ terminal: { id }, share, left }) => ({
      terminal: id,
      share,
      requiredPressure: state.pressure - (left - least),
      excess: left - least,
    })),
  };
}

/** The state at the pressure that a fan needs, where all its terminals have design flows. */
const designStateOf = (layout: Layout, fan: FanOutline, joined: readonly TerminalNode[]): DesignState => {
  const designed = joined.filter(({ designFlow }) => designFlow !== undefined);
  if (designed.length === 0) requireDesignFlows(joined);
  if (designed.length === joined.length) return requiredState(layout, fan, joined);
  let state: DesignState;
  try {
    state = requiredState(layout, fan, designed);
  } catch (error) {
    // What is missing may be the cause.
    requireDesignFlows(joined);
    throw error;
  }
  const { air, system } = state;
  requireDesignFlows(joined.filter((terminal) => shareOf(system, air, terminal) > leastShare));
  return state;
};

/** The path through the index terminal, by its fan where several bring or take its air. */
const indexPath = (fan: FanOutline, state: DesignState, terminal: TerminalNode): PathStep[] => {
  const { layout } = state.system;
  const design = designSolution(state);
  const supply = terminal.service === "supply";
  const valve = { path: `terminals.${terminal.id}`, loss: openLoss(layout, terminal) };
  const toFan = follow(layout, design, terminal.id, supply, supply ? fan.to : fan.from);
  const reached = toFan.length === 0 ? terminal.id : toFan[toFan.length - 1].end;
  const ducts = [...toFan, ...follow(layout, design, reached, supply)];
  if (!supply) return falling(roomOf(layout, design, terminal), [valve, ...ducts]);
  const source = ducts.length === 0 ? terminal.id : ducts[ducts.length - 1].end;
  return falling(startOf(layout, design, source), [...ducts.reverse(), valve]);
};

/**
 * The least favoured terminal of a fan in a solved network: the one with the smallest ratio of flow to design flow.
 * Here, a fan's terminals are the connected ones whose air passes it in this solution, or that have no flow or run
 * backwards.
 *
 * @param network - The network, parsed or as a document.
 * @param solution - Its solution [SI].
 * @param fanName - A fan's node id, or `unit.supply`.
 * @returns The terminal, its flow and design flow [m³/s] and their ratio [-], below 0 where it runs backwards.
 * @throws DocumentError for a wrong document; InputError `unknown-fan`, `fan.no-terminals`, or
 *   `terminal.design-flow-missing` where no terminal joined to the fan has a design flow; `solution.mismatch` for the
 *   solution of another network, `not-an-object` for no solution.
 *
 * Source: definition (common practice, no source).
 * @example leastFavoured(network, solution, "unit.supply").ratio;
 */
export function leastFavoured(network: Network | NetworkDocument, solution: Solution, fanName: string): LeastFavoured {
  const parsed = parseNetwork(network);
  const fan = fanOf(parsed, fanName);
  const layout = layoutOf(parsed);
  const joined = terminalsJoined(layout, fan);
  if (joined.length === 0) refuseWithout(fanName, "which no duct connects to one");
  const designed = joined.filter((terminal) => terminal.designFlow !== undefined);
  if (designed.length === 0) requireDesignFlows(joined);
  requireSolutionOf(parsed, solution);
  const system = assemble(layout);
  const air = fanAirIn(system, resumed(system, solution).massFlow, system.fans.get(fanName) as number);
  const served = designed.filter(
    (terminal) => !(solution.terminals[terminal.id].flow > 0) || shareOf(system, air, terminal) > leastShare,
  );
  if (served.length === 0) refuseWithout(fanName, "whose air reaches none in this solution");
  const found = served.map(({ id, designFlow = 0 }) => {
    const { flow } = solution.terminals[id];
    return { terminal: id, flow, designFlow, ratio: flow / designFlow };
  });
  return found.reduce((least, one) => (one.ratio < least.ratio ? one : least));
}
