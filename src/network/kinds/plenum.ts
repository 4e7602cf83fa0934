import { about, exactly, number, object, preset, word } from "../../input/fields.js";
import type { Form, Preset } from "../forms.js";
import { elevation, id, labels } from "../parts.js";
import { freePressure, type NodeBase, type NodeKind, noFans, noFindings, noLinks, noPorts, stillAir } from "./kind.js";

/** A box in which the air comes to rest. */
export type PlenumNode<F extends Form = "parsed"> = NodeBase<F> & { readonly kind: "plenum" } & Preset<
    F,
    { /** Loss of a duct that takes air from the box, on its ½ρv² [-] */ readonly entry: number }
  >;

export const plenum: NodeKind<PlenumNode> = {
  kind: "plenum",
  field: exactly<PlenumNode, PlenumNode<"written">>()(
    about(
      "A box in which the air comes to rest.",
      object({
        id: id(),
        kind: word("plenum"),
        ...labels(),
        elevation: elevation(),
        entry: about("Loss of a duct that takes air from the box.", preset(number({ min: 0 }), 0.5)),
      }),
    ),
  ),
  ports: noPorts,
  fans: noFans,
  endsPaths: false,
  takesOpenings: true,
  air: (_, climate) => climate.network,
  ends: stillAir,
  findings: noFindings,
  pressure: freePressure,
  links: noLinks,
};
