import { formatQuantity } from "../../input/quantities.js";
import type { Network } from "../document/document.js";
import { isTerminal, type TerminalNode } from "../elements/kinds/terminal.js";
import type { RegulatorPart } from "../format/losses.js";
import type { Layout } from "../layout/layout.js";
import type { Warning } from "../results/solution.js";

/** Share of a flow that is rounding of the numbers given [-] */
const rounding = 1e-9;

/** A regulator that all air of a terminal passes, by where it stands. */
interface Passed {
  readonly regulator: RegulatorPart;
  /** Equal regulators side by side. */
  readonly beside: number;
  readonly where: string;
  readonly path: string;
}

/** A terminal's own regulator, and those in its duct where it has one only, which holds a flow from `from` to `to`. */
function* passedBy({ id, regulator, service }: TerminalNode, layout: Layout): Generator<Passed> {
  if (regulator !== undefined) {
    yield { regulator, beside: 1, where: `at terminal '${id}'`, path: `nodes.${id}.regulator` };
  }
  const [duct, another] = layout.ductsAt(id);
  if (another !== undefined || (service === "supply" ? duct.to : duct.from) !== id) return;
  for (const [i, fitting] of duct.fittings.entries()) {
    if (fitting.kind !== "regulator") continue;
    const where = `in duct '${duct.id}' of terminal '${id}'`;
    yield { regulator: fitting, beside: duct.parallel, where, path: `ducts.${duct.id}.fittings.${i}` };
  }
}

/** Regulators that hold less than the design flow of their terminal, at any fan pressure. */
export function* designFlowWarnings({ nodes }: Network, layout: Layout): Generator<Warning> {
  for (const node of nodes) {
    if (!isTerminal(node) || node.designFlow === undefined) continue;
    for (const { beside, path, regulator, where } of passedBy(node, layout)) {
      const set = beside * regulator.flow;
      const most = set * (1 + regulator.accuracy);
      if (!(most < (1 - rounding) * node.designFlow)) continue;
      const [holds, atMost, design] = [set, most, node.designFlow].map((flow) => formatQuantity(flow, "l/s", 4));
      const message = `the regulator ${where} is set to ${holds} and passes at most ${atMost} within its pressure band, less than the design flow of ${design}`;
      yield { code: "terminal.regulator-below-design", path, message };
    }
  }
}
