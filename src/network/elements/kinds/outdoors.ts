import { areaOf } from "../../../ducts/geometry.js";
import {
  about,
  byKind,
  exactly,
  type Field,
  named,
  number,
  type ObjectWithKind,
  object,
  optional,
  preset,
  quantity,
  word,
} from "../../../input/fields.js";
import {
  catalogueFields,
  type EndPart,
  equipmentRating,
  lawsOf,
  partProblems,
  partProvenance,
} from "../../format/catalogue.js";
import type { Duct } from "../../format/elements.js";
import type { Form, Preset, Quantified } from "../../format/forms.js";
import { elevation, id, labels } from "../../format/identifiers.js";
import { type SectionPart, section } from "../../format/section.js";
import type { ElementProblem } from "../../results/element-problem.js";
import { givenProvenance, type Provenance } from "../../results/provenance.js";
import { type NodeBase, type NodeKind, noFans, noLinks, noPorts, type Surroundings } from "./kind.js";

/** The outdoor air at an intake, an exhaust or a window. */
export type OutdoorsNode<F extends Form = "parsed"> = NodeBase<F> & {
  readonly kind: "outdoors";
  /** Loss of air that enters a duct here [-] */
  readonly entry?: number;
  /** Loss of air that leaves a duct here, velocity pressure included [-] */
  readonly exit?: number;
  /** Both in one. */
  readonly coefficient?: number;
  /** The section of the coefficients or the end, for the whole flow of a duct; default: the section of one run of it. */
  readonly section?: SectionPart<F>;
  /** What ducts end with here, of the catalogue; in place of the coefficients. */
  readonly end?: EndPart<F>;
} & Preset<F, { /** Gauge, wind for instance [Pa] */ readonly pressure: Quantified<F> }>;

const endProblems = function* (node: OutdoorsNode, { runs, ducts }: Surroundings): Generator<ElementProblem> {
  const { entry, exit, coefficient, end } = node;
  const both = "entry and exit, coefficient for both, or an end of the catalogue";
  if (end !== undefined) {
    for (const key of ["entry", "exit", "coefficient"] as const) {
      if (node[key] !== undefined) yield { code: "key.conflict", key, expected: both, found: `end and ${key}` };
    }
    const seen = new Set<string>();
    for (const { section: own } of ducts()) {
      for (const problem of partProblems(end, "end", node.section ?? own)) {
        if (!seen.has(problem.key)) yield problem;
        seen.add(problem.key);
      }
    }
  } else if (coefficient !== undefined) {
    for (const [key, given] of [["entry", entry] as const, ["exit", exit] as const]) {
      if (given !== undefined) yield { code: "key.conflict", key, expected: both, found: `coefficient and ${key}` };
    }
  } else if (runs > 0) {
    const expected = `${both}, since a duct meets this node`;
    if (entry === undefined) yield { code: "key.missing", key: "entry", expected, found: "nothing" };
    if (exit === undefined) yield { code: "key.missing", key: "exit", expected, found: "nothing" };
  }
};

const coefficientOf = (node: OutdoorsNode, duct: Duct, key: "entry" | "exit"): number => {
  if (node.end === undefined) return node[key] ?? node.coefficient ?? 0;
  const laws = lawsOf(node.end, node.section ?? duct.section);
  return (key === "entry" ? laws?.forward : laws?.backward)?.coefficient ?? 0;
};

/** How many ends a duct has here: one for all its runs where the node says its section, else one a run. */
const endsOf = ({ section: own }: OutdoorsNode, { parallel }: Duct): number => (own === undefined ? parallel : 1);

const end: Field<EndPart, EndPart<"written">> = named(
  "end",
  "The catalogue's end of a duct outdoors: one for each run of each duct that meets the node, or with `section` one for all runs of a duct.",
  byKind("an end of a duct", ...(catalogueFields("end") as [ObjectWithKind, ...ObjectWithKind[]])),
) as unknown as Field<EndPart, EndPart<"written">>;

export const outdoors: NodeKind<OutdoorsNode> = {
  kind: "outdoors",
  field: exactly<OutdoorsNode, OutdoorsNode<"written">>()(
    about(
      "The outdoor air at an intake, an exhaust or a window. Where a duct meets it: `end`, or `entry` and `exit`, or `coefficient`.",
      object({
        id: id(),
        kind: word("outdoors"),
        ...labels(),
        elevation: elevation(),
        pressure: about("Gauge pressure, for example of wind.", preset(quantity("pressure"), 0)),
        entry: about("Loss of air that enters a duct here.", optional(number({ min: 0 }))),
        exit: about(
          "Loss of air that leaves a duct here; 1 is all its velocity pressure.",
          optional(number({ min: 0 })),
        ),
        coefficient: about("For `entry` and `exit` alike.", optional(number({ min: 0 }))),
        end: optional(end),
        section: about(
          "Where the coefficients hold, or the end stands, for a duct's whole flow. Default: the section of one run of the duct.",
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
  ductKeys: ["section"],
  ends: {
    keys: ["entry", "exit", "coefficient", "end", "section"],
    entry: (node, _, duct) => coefficientOf(node, duct, "entry"),
    exit: (node, _, duct) => coefficientOf(node, duct, "exit"),
    face: (node, duct) => {
      const area = node.end && lawsOf(node.end, node.section ?? duct.section)?.area;
      return area === undefined ? node.section && areaOf(node.section) : area * endsOf(node, duct);
    },
    rating: (node, duct) => {
      const rated = node.end && equipmentRating(node.end);
      return rated && { ...rated, flow: rated.flow * endsOf(node, duct) };
    },
  },
  problems: endProblems,
  pressure: (node) => node.pressure,
  links: noLinks,
  provenance: function* (node, site): Generator<Provenance> {
    const of = `nodes.${node.id}`;
    for (const { section: own } of site.ductsAt(node.id)) {
      if (node.end !== undefined) yield* partProvenance(node.end, `${of}.end`, node.section ?? own);
      for (const key of ["entry", "exit", "coefficient"] as const)
        if (node[key] !== undefined) yield givenProvenance(`${of}.${key}`);
    }
  },
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
