import { frictionLaws } from "../ducts/friction-laws.js";
import type { Network } from "./document.js";
import { joinDuct } from "./duct.js";
import { Equations, EquationsBuilder } from "./equations.js";
import { PointBlock } from "./kinds/kind.js";
import { kindOf } from "./kinds/list.js";
import { joinOpening } from "./opening.js";
import { endsOf, Plan } from "./plan.js";
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
  for (const place of plan.places) place.point = builder.point(place.name, place.given !== undefined);
  const pointOf = (end: string): number => (end === "" ? still : plan.placeAt(end).point);

  const blocks: Block[] = [];
  for (const node of network.nodes) {
    const kind = kindOf(node);
    const points = endsOf(node).map(pointOf);
    const inflow = held.get(node.id);
    if (inflow === undefined) {
      const branches = kind.links(node).map(({ from, to }) => builder.branch(node.id, pointOf(from), pointOf(to)));
      blocks.push(kind.join(node, { points, branches }, assembly));
    } else blocks.push(new HeldBlock(node.id, points[0], inflow, assembly));
  }
  for (let position = 0; position < network.ducts.length; position++) {
    const [from, to] = [plan.placeOf(position, "from"), plan.placeOf(position, "to")];
    blocks.push(joinDuct(network.ducts[position], from, to, assembly));
  }
  for (const opening of network.openings) blocks.push(joinOpening(opening, assembly));

  equations = new Equations(builder, frictionLaws[network.friction]);
  for (const block of blocks) block.refresh();
  return { plan, equations, blocks };
};

/** A node in whose place a mass flow is brought in. */
class HeldBlock extends PointBlock {
  constructor(
    id: string,
    point: number,
    private readonly inflow: number,
    private readonly assembly: Assembly,
  ) {
    super(id, point);
  }

  override refresh(): void {
    this.assembly.equations.inflow[this.point] = this.inflow;
  }
}
