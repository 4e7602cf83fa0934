import { about, exactly, word } from "../../../input/fields.js";
import type { Form } from "../../format/forms.js";
import { elevation, id, labels } from "../../format/identifiers.js";
import { resumeBranch, resumePoint } from "../element.js";
import { FanBlock, type FanPart, fanProvenance, fanResists, fanWith, sensorReads } from "../fan.js";
import { fanProblems } from "../fan-checks.js";
import { freePressure, lossless, type NodeBase, type NodeKind } from "./kind.js";

/** A fan in the duct, from its port `inlet` to its port `outlet`. It has the flow and density of the duct at the inlet. */
export type FanNode<F extends Form = "parsed"> = NodeBase<F> & { readonly kind: "fan" } & FanPart<F>;

export const fan: NodeKind<FanNode> = {
  kind: "fan",
  field: exactly<FanNode, FanNode<"written">>()(
    about(
      "A fan in the duct, from its port `inlet` to its port `outlet`; the duct at the inlet sets its flow and density.",
      fanWith({ id: id(), kind: word("fan"), ...labels(), elevation: elevation() }),
    ),
  ),
  ports: () => ["inlet", "outlet"],
  fans: ({ id: name }) => [{ name, keys: [], from: `${name}.inlet`, to: `${name}.outlet`, at: `${name}.inlet` }],
  endsPaths: false,
  keeps: true,
  takesOpenings: false,
  air: (_, climate) => climate.network,
  ductKeys: ["air"],
  reads: sensorReads,
  ends: lossless,
  problems: (node) => fanProblems(node, ""),
  pressure: freePressure,
  links: (node) => [{ from: `${node.id}.inlet`, to: `${node.id}.outlet`, resists: fanResists(node) }],
  provenance: (node, _, solution) => fanProvenance(node.id, node, solution),
  assemble: (node, { points: [inlet, outlet], branches: [branch] }, assembly) => {
    const { site } = assembly;
    const running = new FanBlock(node, node.id, branch, assembly);
    const place = site.placeAt(`${node.id}.inlet`);
    return {
      refresh: () => {
        const air = site.airIn(place.duct(0));
        assembly.equations.setStart(branch, air.density, running.refresh(air));
      },
      resume: ({ fans, nodes }, start) => {
        const { ports } = nodes[node.id] ?? {};
        resumePoint(ports?.inlet?.totalPressure, inlet, start.pressure);
        resumePoint(ports?.outlet?.totalPressure, outlet, start.pressure);
        resumeBranch(fans[node.id]?.massFlow, branch, start.massFlow);
        running.resume(fans[node.id], start);
      },
      report: (answer, { fans, nodes, warnings }) => {
        const { pressure } = answer;
        fans[node.id] = running.result(answer, warnings);
        nodes[node.id] = {
          ports: { inlet: { totalPressure: pressure[inlet] }, outlet: { totalPressure: pressure[outlet] } },
        };
      },
    };
  },
};
