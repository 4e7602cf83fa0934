import type { Network } from "../document/document.js";
import type { RoomNode } from "../elements/kinds/room.js";
import { isTerminal } from "../elements/kinds/terminal.js";
import type { Solution, Warning } from "../results/solution.js";

/** Below outdoors by more than this a room can draw back the flue gas of an open-flued appliance [Pa]; from memory, common practice. */
const bearable = 4;
/** Extract flow over supply flow above which the building counts as held below outdoors. */
const extractExcess = 1.05;

const advice =
  "with any open-flued appliance or stove, flue gas with carbon monoxide can be drawn back; have a registered person check air supply, interlock and spillage with all fans at full rate, and follow the local code";

/**
 * Cautions about flue gas: each room whose pressure was found too far below outdoors, then terminals elsewhere
 * that extract more than is supplied.
 */
export const combustionWarnings = ({ nodes }: Network, solution: Solution): Warning[] => {
  const low = new Map<string, number>();
  for (const node of nodes) {
    if (node.kind !== "room" || (node as RoomNode).pressure !== undefined) continue;
    const below = -(solution.nodes[node.id].totalPressure as number);
    if (below > bearable) low.set(node.id, below);
  }
  return [...[...low].map(roomWarning), ...excessWarning(nodes, low, solution)];
};

const roomWarning = ([id, below]: readonly [string, number]): Warning => {
  const message = `room '${id}' is ${below.toFixed(1)} Pa below outdoors at its height, and ${bearable} Pa is a common limit: ${advice}`;
  return { code: "caution.combustion", path: `nodes.${id}.totalPressure`, message };
};

/** More extract than supply lowers the pressure indoors, also where no room says by how much. */
const excessWarning = (
  nodes: Network["nodes"],
  low: ReadonlyMap<string, number>,
  { terminals }: Solution,
): Warning[] => {
  let supply = 0;
  let extract = 0;
  for (const node of nodes) {
    if (!isTerminal(node) || (node.room !== undefined && low.has(node.room))) continue;
    const { massFlow } = terminals[node.id];
    if (node.service === "supply") supply += massFlow;
    else extract += massFlow;
  }
  if (!(extract > extractExcess * Math.max(supply, 0)) || extract <= 0) return [];
  const message = `extract exceeds supply, so that rooms may fall below outdoor pressure: ${advice}`;
  return [{ code: "caution.combustion", path: "terminals", message }];
};
