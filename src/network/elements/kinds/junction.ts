import { about, exactly, object, preset, quantity, word } from "../../../input/fields.js";
import type { Form, Preset, Quantified } from "../../format/forms.js";
import { elevation, id, labels } from "../../format/identifiers.js";
import { freePressure, lossless, type NodeBase, type NodeKind, noFans, noLinks, noPorts, noProblems } from "./kind.js";

/** A meeting point without loss. */
export type JunctionNode<F extends Form = "parsed"> = NodeBase<F> & { readonly kind: "junction" } & Preset<
    F,
    { /** Brought into the network here, of the network's air [m³/s] */ readonly inflow: Quantified<F> }
  >;

export const junction: NodeKind<JunctionNode> = {
  kind: "junction",
  field: exactly<JunctionNode, JunctionNode<"written">>()(
    about(
      "A meeting point without loss.",
      object({
        id: id(),
        kind: word("junction"),
        ...labels(),
        elevation: elevation(),
        inflow: about(
          "Air brought into the network here, in the state of the network's `air`; negative takes air out.",
          preset(quantity("flow"), 0),
        ),
      }),
    ),
  ),
  ports: noPorts,
  fans: noFans,
  endsPaths: false,
  takesOpenings: true,
  air: (_, climate) => climate.network,
  ductKeys: [],
  ends: lossless,
  problems: noProblems,
  pressure: freePressure,
  links: noLinks,
  refreshPoint: ({ inflow }, point, { equations, site }) => {
    equations.inflow[point] = inflow * site.climate.network.density;
  },
};
