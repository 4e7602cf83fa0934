import { about, exactly, number, object, optional, preset, quantity, word } from "../../../input/fields.js";
import { type AirPart, air } from "../../format/air.js";
import type { Form, Preset, Quantified } from "../../format/forms.js";
import { elevation, id, labels } from "../../format/identifiers.js";
import { airProblems } from "../air-checks.js";
import { stillAirProvenance } from "../still-air-provenance.js";
import { type NodeBase, type NodeKind, noFans, noLinks, noPorts, stillAir } from "./kind.js";

/** A room: still air. Without `pressure` its pressure is found. */
export type RoomNode<F extends Form = "parsed"> = NodeBase<F> & {
  readonly kind: "room";
  /** Gauge, at the room's elevation [Pa] */
  readonly pressure?: Quantified<F>;
  /** Default: the network's air. */
  readonly air?: AirPart<F>;
} & Preset<F, { /** Loss of a duct that takes air from the room, on its ½ρv² [-] */ readonly entry: number }>;

export const room: NodeKind<RoomNode> = {
  kind: "room",
  field: exactly<RoomNode, RoomNode<"written">>()(
    about(
      "A room: still air.",
      object({
        id: id(),
        kind: word("room"),
        ...labels(),
        elevation: elevation(),
        pressure: about(
          "Gauge pressure, at the room's elevation. Without it, the pressure is computed.",
          optional(quantity("pressure")),
        ),
        air: about("Default: the network's.", optional(air)),
        entry: about("Loss of a duct that takes air from the room.", preset(number({ min: 0 }), 0.5)),
      }),
    ),
  ),
  ports: noPorts,
  fans: noFans,
  endsPaths: true,
  takesOpenings: true,
  air: (node, climate) => climate.of(node.air),
  ductKeys: [],
  airKeys: ["air"],
  ends: stillAir,
  problems: (node, { air: base }) => airProblems(node.air, base, "air"),
  pressure: (node) => node.pressure,
  links: noLinks,
  provenance: stillAirProvenance,
  refreshPoint: (node, point, { equations }) => {
    equations.fixedPressure[point] = node.pressure ?? 0;
  },
};
