import type { Network } from "./document.js";
import { isTerminal, type TerminalNode } from "./kinds/terminal.js";
import { Plan } from "./plan.js";
import type { Solution, Warning } from "./results.js";

/** Extract flow over supply flow above which the building counts as held below outdoors. */
const extractExcess = 1.05;
/** Densities that differ by more than this share are not the same air. */
const sameDensity = 1e-6;

/** Warnings that concern a network as a whole. */
export const networkWarnings = (network: Network, solution: Solution): Warning[] => {
  const terminals = network.nodes.filter(isTerminal);
  return [...columnWarning(network, terminals), ...combustionWarning(terminals, solution), ...stableWarning(solution)];
};

/** Terminals without rooms face gauge 0 at their own heights; with other air than outdoors a room's column is missing. */
const columnWarning = (network: Network, terminals: readonly TerminalNode[]): Warning[] => {
  const free = terminals.filter((terminal) => terminal.room === undefined);
  if (new Set(free.map((terminal) => terminal.elevation)).size < 2) return [];
  const plan = new Plan(network);
  const outdoor = plan.climate.outdoor.density;
  const other = free.find(({ id }) => {
    const density = plan.climate.of(plan.ductsAt(id)[0].air).density;
    return Math.abs(density / outdoor - 1) > sameDensity;
  });
  if (other === undefined) return [];
  const message = `terminals without a room stand at different heights and their air is not outdoor air ('${other.id}' for one): the columns of air in the rooms are missing; give them rooms`;
  return [{ code: "room.column-missing", path: `nodes.${other.id}.room`, message }];
};

/** More extract than supply lowers the pressure indoors, which can pull flue gas back. */
const combustionWarning = (terminals: readonly TerminalNode[], solution: Solution): Warning[] => {
  let supply = 0;
  let extract = 0;
  for (const { id, service } of terminals) {
    if (service === "supply") supply += solution.terminals[id].massFlow;
    else extract += solution.terminals[id].massFlow;
  }
  if (!(extract > extractExcess * Math.max(supply, 0)) || extract <= 0) return [];
  const message =
    "extract exceeds supply, so that rooms may fall below outdoor pressure: with any open-flued appliance or stove, flue gas with carbon monoxide can be drawn back; have a registered person check air supply, interlock and spillage with all fans at full rate, and follow the local code";
  return [{ code: "caution.combustion", path: "terminals", message }];
};

const stableWarning = ({ convergence }: Solution): Warning[] => {
  if (convergence.stable !== false) return [];
  const message =
    "a fan runs where a small disturbance grows (its curve rises more steeply than the system): the real system will settle elsewhere or hunt";
  return [{ code: "solution.unstable", path: "convergence.stable", message }];
};
