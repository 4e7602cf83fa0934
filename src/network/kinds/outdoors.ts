import { about, exactly, number, object, optional, preset, quantity, word } from "../../input/fields.js";
import type { Form, Preset, Quantified } from "../forms.js";
import { elevation, id, labels, type SectionPart, section } from "../parts.js";
import { type Finding, type NodeBase, type NodeKind, noFans, noLinks, noPorts } from "./kind.js";

/** The outdoor air at an intake, an exhaust or a window. */
export type OutdoorsNode<F extends Form = "parsed"> = NodeBase<F> & {
  readonly kind: "outdoors";
  /** Loss of air that enters a duct here [-] */
  readonly entry?: number;
  /** Loss of air that leaves a duct here, velocity pressure included [-] */
  readonly exit?: number;
  /** Both in one. */
  readonly coefficient?: number;
  /** The section of the coefficients, for the whole flow of a duct; default: that of one run of it. */
  readonly section?: SectionPart<F>;
} & Preset<F, { /** Gauge, wind for instance [Pa] */ readonly pressure: Quantified<F> }>;

const endFindings = function* ({ entry, exit, coefficient }: OutdoorsNode, met: boolean): Generator<Finding> {
  const both = "entry and exit, or coefficient for both";
  if (coefficient !== undefined) {
    for (const [key, given] of [["entry", entry] as const, ["exit", exit] as const]) {
      if (given !== undefined) yield { code: "key.conflict", key, expected: both, found: `coefficient and ${key}` };
    }
  } else if (met) {
    const expected = `${both}, since a duct meets this node`;
    if (entry === undefined) yield { code: "key.missing", key: "entry", expected, found: "nothing" };
    if (exit === undefined) yield { code: "key.missing", key: "exit", expected, found: "nothing" };
  }
};

export const outdoors: NodeKind<OutdoorsNode> = {
  kind: "outdoors",
  field: exactly<OutdoorsNode, OutdoorsNode<"written">>()(
    about(
      "The outdoor air at an intake, an exhaust or a window. Where a duct meets it: `entry` and `exit`, or `coefficient`.",
      object({
        id: id(),
        kind: word("outdoors"),
        ...labels(),
        elevation: elevation(),
        pressure: about("Gauge, of wind for instance.", preset(quantity("pressure"), 0)),
        entry: about("Loss of air that enters a duct here.", optional(number({ min: 0 }))),
        exit: about(
          "Loss of air that leaves a duct here; 1 is all its velocity pressure.",
          optional(number({ min: 0 })),
        ),
        coefficient: about("For `entry` and `exit` alike.", optional(number({ min: 0 }))),
        section: about(
          "Where the coefficients hold, for a duct's whole flow. Default: the section of one run of the duct.",
          optional(section),
        ),
      }),
    ),
  ),
  ports: noPorts,
  fans: noFans,
  endsPaths: true,
  takesOpenings: true,
  air: (_, climate) => climate.outdoor,
  ends: {
    entry: ({ entry, coefficient = 0 }) => entry ?? coefficient,
    exit: ({ exit, coefficient = 0 }) => exit ?? coefficient,
    face: (node) => node.section,
  },
  findings: (node, { runs }) => endFindings(node, runs > 0),
  pressure: (node) => node.pressure,
  links: noLinks,
  refreshPoint: ({ pressure }, point, { equations }) => {
    equations.fixedPressure[point] = pressure;
  },
  remarks: function* (node, runs) {
    const key = node.exit === undefined ? "coefficient" : "exit";
    const exit = node[key];
    if (exit === undefined || exit >= 1 || runs === 0) return;
    const message = `outdoors '${node.id}' has an exit coefficient of ${exit}: below 1 it recovers velocity pressure, as only a diffuser does`;
    yield { code: "outdoors.recovers-velocity", path: `nodes.${node.id}.${key}`, message };
  },
};
