import { frictionLaws } from "../ducts/friction.js";
import type { Network } from "./document.js";
import { joinDuct } from "./duct.js";
import { Equations, EquationsBuilder } from "./equations.js";
import { PointBlock } from "./kinds/kind.js";
import { kindOf, type NetworkNode } from "./kinds/list.js";
import { joinOpening } from "./opening.js";
import { Plan } from "./plan.js";
import type { Assembly, Block } from "./site.js";

/** A network made ready to solve. */
export interface System {
  readonly plan: Plan;
  readonly equations: Equations;
  /** In the order in which they report: nodes, ducts, openings, as the document has them. */
  readonly blocks: readonly Block[];
}

/**
 * Makes the equations of a network.
 *
 * @param held - Nodes whose own branches are replaced by a mass flow brought in at their first point [kg/s].
 */
export const assemble = (network: Network, held: ReadonlyMap<string, number> = new Map()): System => {
  const builder = new EquationsBuilder();
  const plan = new Plan(network);
  const still = builder.point("", true);
  let equations: Equations | undefined;
  const assembly: Assembly = {
    builder,
    site: plan,
    get equations() {
      return equations as Equations;
    },
  };
  // Outlines are made twice: kept for a large network they would cost more than they do to make.
  for (const node of network.nodes) {
    for (const { name, pressure } of kindOf(node).outline(node).points) {
      plan.placeAt(name).point = builder.point(name, pressure !== undefined);
    }
  }
  const pointOf = (end: string): number => (end === "" ? still : plan.placeAt(end).point);

  const blocks: Block[] = [];
  for (const node of network.nodes) {
    const { points, links } = kindOf(node).outline(node);
    const numbers = points.map(({ name }) => pointOf(name));
    const inflow = held.get(node.id);
    if (inflow !== undefined) blocks.push(joinHeld(node, numbers[0], inflow, assembly));
    else {
      const branches = links.map(({ from, to }) => builder.branch(node.id, pointOf(from), pointOf(to)));
      blocks.push(kindOf(node).join(node, { points: numbers, branches }, assembly));
    }
  }
  for (const duct of network.ducts) blocks.push(joinDuct(duct, assembly));
  for (const opening of network.openings) blocks.push(joinOpening(opening, assembly));

  equations = new Equations(builder, frictionLaws[network.friction]);
  for (const block of blocks) block.refresh();
  return { plan, equations, blocks };
};

const joinHeld = (node: NetworkNode, point: number, inflow: number, assembly: Assembly): Block =>
  new PointBlock(node.id, point, () => {
    assembly.equations.inflow[point] = inflow;
  });
