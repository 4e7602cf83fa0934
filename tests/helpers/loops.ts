import type { Network, Solution } from "../../src/index.js";
import { openingPressure } from "./evaluator/losses.js";
import { Reading } from "./evaluator/reading.js";

/** What an element takes from the pressure between two points [Pa]; the empty text is the still outdoor air. */
interface Fall {
  readonly from: string;
  readonly to: string;
  readonly fall: number;
}

/** The fall across every element by the losses, rises and columns of the answer, not by the pressures of its nodes. */
const fallsOf = (network: Network, solution: Solution): Fall[] => {
  const reading = new Reading(network, solution);
  const columnAt = (id: string, height: number): number =>
    reading.pressureAt(id) - reading.pressureAtHeight(id, height);
  const falls: Fall[] = [];
  for (const { id, from, to } of network.ducts) {
    const { totalLoss, buoyancy } = solution.ducts[id];
    falls.push({ from, to, fall: totalLoss + buoyancy });
  }
  for (const opening of network.openings) {
    const { id, from, to } = opening;
    const { massFlow, flow } = solution.openings[id];
    const { density } = reading.airIn(reading.nodeOf(massFlow < 0 ? to : from));
    const height = opening.elevation ?? (reading.elevationOf(from) + reading.elevationOf(to)) / 2;
    falls.push({
      from,
      to,
      fall: openingPressure(opening, density, flow) + columnAt(from, height) - columnAt(to, height),
    });
  }
  for (const node of network.nodes) {
    const { id } = node;
    if (node.kind === "terminal") {
      const { room = "", service, elevation } = node;
      const loss = solution.terminals[id].pressureLoss * (service === "supply" ? 1 : -1);
      falls.push({ from: id, to: room, fall: loss - (room === "" ? 0 : columnAt(room, elevation)) });
    }
    if (node.kind === "fan") {
      falls.push({ from: `${id}.inlet`, to: `${id}.outlet`, fall: -solution.fans[id].totalPressure });
    }
    if (node.kind === "airHandler") {
      for (const [side, from, to] of [
        ["supply", "intake", "supply"],
        ["extract", "extract", "exhaust"],
      ] as const) {
        const stream = node[side];
        if (stream === undefined) continue;
        let fall = -solution.fans[`${id}.${side}`].totalPressure;
        stream.components.forEach(({ name, clean, pressure }, i) => {
          const lost = solution.airHandlers[id][side]?.components[i].pressure ?? Number.NaN;
          // A unit curve contains what the component loses when it is clean.
          fall += stream.includes?.includes(name) ? lost * (1 - (clean ?? pressure) / pressure) : lost;
        });
        falls.push({ from: `${id}.${from}`, to: `${id}.${to}`, fall });
      }
    }
    const given = "pressure" in node ? node.pressure : undefined;
    if (given !== undefined) falls.push({ from: id, to: "", fall: given });
  }
  return falls;
};

/**
 * The sum of pressures round every independent loop of a network [Pa]: pressures are carried along the branches of a tree,
 * and each branch beside the tree closes one loop. Given pressures count as branches to the still outdoor air.
 */
export const loopSums = (network: Network, solution: Solution): number[] => {
  const left = new Set(fallsOf(network, solution));
  const level = new Map<string, number>();
  const spread = (): boolean => {
    const before = level.size;
    for (const branch of left) {
      const [a, b] = [level.get(branch.from), level.get(branch.to)];
      if ((a === undefined) === (b === undefined)) continue;
      if (a === undefined) level.set(branch.from, b! + branch.fall);
      else level.set(branch.to, a - branch.fall);
      left.delete(branch);
    }
    return level.size > before;
  };
  level.set("", 0);
  while (spread());
  return [...left].map(({ from, to, fall }) => level.get(from)! - level.get(to)! - fall);
};
