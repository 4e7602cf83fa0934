import { frictionLaws } from "../ducts/friction.js";
import type { Network } from "./document.js";
import { joinDuct } from "./duct.js";
import { Equations, EquationsBuilder } from "./equations.js";
import { joinPoint } from "./kinds/kind.js";
import { kindOf, type NetworkNode } from "./kinds/list.js";
import { joinOpening } from "./opening.js";
import { Plan } from "./plan.js";
import type { Assembly, Block, Joining } from "./site.js";

/** A network made ready to solve. */
export interface System {
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
  const points = new Map<string, number>();
  const still = builder.point("", true);
  const outlines = network.nodes.map((node) => kindOf(node).outline(node));
  for (const outline of outlines) {
    for (const { name, pressure } of outline.points) points.set(name, builder.point(name, pressure !== undefined));
  }
  const point = (end: string): number => (end === "" ? still : (points.get(end) as number));
  const assembly: Assembly = { builder, site: plan, point };

  const joinings: Joining[] = network.nodes.map((node, i) => {
    const inflow = held.get(node.id);
    if (inflow !== undefined) return joinHeld(node, point(outlines[i].points[0].name), inflow);
    const places = {
      points: outlines[i].points.map(({ name }) => point(name)),
      branches: outlines[i].links.map(({ from, to }) => builder.branch(node.id, point(from), point(to))),
    };
    return kindOf(node).join(node, places, assembly);
  });
  for (const duct of network.ducts) joinings.push(joinDuct(duct, assembly));
  for (const opening of network.openings) joinings.push(joinOpening(opening, assembly));

  const equations = new Equations(builder, frictionLaws[network.friction]);
  const blocks = joinings.map((joining) => joining(equations));
  for (const block of blocks) block.refresh();
  return { equations, blocks };
};

const joinHeld = (node: NetworkNode, point: number, inflow: number): Joining =>
  joinPoint(node, { points: [point], branches: [] }, (equations) => {
    equations.inflow[point] = inflow;
  });
