import { about, exactly, object, word } from "../../input/fields.js";
import { type FanPart, fanFindings, fanKeys, joinFan } from "../fan-part.js";
import type { Form } from "../forms.js";
import { elevation, id, labels } from "../parts.js";
import { ductAt, lossless, type NodeBase, type NodeKind } from "./kind.js";

/** A fan in the duct, from its port `inlet` to its port `outlet`. Flow and density are those of the duct at the inlet. */
export type FanNode<F extends Form = "parsed"> = NodeBase<F> & { readonly kind: "fan" } & FanPart<F>;

export const fan: NodeKind<FanNode> = {
  kind: "fan",
  field: exactly<FanNode, FanNode<"written">>()(
    about(
      "A fan in the duct, from its port `inlet` to its port `outlet`; flow and density are those of the duct at the inlet.",
      object({ id: id(), kind: word("fan"), ...labels(), elevation: elevation(), ...fanKeys() }),
    ),
  ),
  ports: () => ["inlet", "outlet"],
  fans: ({ id: name }) => [{ name, from: `${name}.inlet`, to: `${name}.outlet` }],
  endsPaths: false,
  takesOpenings: false,
  air: (_, climate) => climate.network,
  ends: lossless,
  findings: (node) => fanFindings(node, ""),
  outline: ({ id: name }) => ({
    points: [{ name: `${name}.inlet` }, { name: `${name}.outlet` }],
    links: [{ from: `${name}.inlet`, to: `${name}.outlet`, resists: true }],
  }),
  join: (node, { points: [inlet, outlet], branches: [branch] }, assembly) => {
    const { builder, site } = assembly;
    const running = joinFan(node, branch, builder);
    const duct = ductAt(assembly, `${node.id}.inlet`);
    return (equations) => {
      const work = running(equations);
      return {
        refresh: () => {
          const air = site.climate.of(duct.air);
          equations.setStart(branch, air.density, work.refresh(air));
        },
        report: ({ massFlow, pressure }, { fans, nodes, warnings }) => {
          fans[node.id] = work.result(massFlow[branch], `fans.${node.id}`, warnings);
          nodes[node.id] = {
            ports: { inlet: { totalPressure: pressure[inlet] }, outlet: { totalPressure: pressure[outlet] } },
          };
        },
      };
    };
  },
};
