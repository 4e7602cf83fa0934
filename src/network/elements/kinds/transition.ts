import { onVelocity } from "../../../ducts/ratings.js";
import {
  about,
  byKind,
  exactly,
  type Field,
  named,
  type ObjectWithKind,
  object,
  preset,
  word,
} from "../../../input/fields.js";
import { catalogueFields, lawsOf, partProblems, partProvenance, type TransitionPart } from "../../format/catalogue.js";
import { type Duct, ductArea } from "../../format/elements.js";
import type { Form, Preset } from "../../format/forms.js";
import { elevation, id, labels } from "../../format/identifiers.js";
import type { SectionPart } from "../../format/section.js";
import type { ElementProblem } from "../../results/element-problem.js";
import type { NodeLosses, Warning } from "../../results/solution.js";
import { flowInto, resumeBranch, resumePoint, startVelocity } from "../element.js";
import { outsideText } from "../messages.js";
import { freePressure, lossless, type NodeBase, type NodeKind, noFans, type Surroundings } from "./kind.js";

/** A change of section between the duct at its port `a` and the duct at its port `b`. */
export type TransitionNode<F extends Form = "parsed"> = NodeBase<F> & { readonly kind: "transition" } & Preset<
    F,
    { /** Of the catalogue; default: an abrupt change. */ readonly form: TransitionPart<F> }
  >;

const form = named(
  "transitionForm",
  "The form of a transition, of the catalogue.",
  byKind("a form of a transition", ...(catalogueFields("transition") as [ObjectWithKind, ...ObjectWithKind[]])),
) as unknown as Field<TransitionPart, TransitionPart<"written">>;

const ports = ["a", "b"] as const;

/** What a form joins: the duct's section, or of several runs a round one of their area together. */
const sectionOf = (duct: Duct): SectionPart =>
  duct.parallel === 1 ? duct.section : { diameter: Math.sqrt((4 * ductArea(duct)) / Math.PI) };

const problems = function* (node: TransitionNode, { portDuct }: Surroundings): Generator<ElementProblem> {
  const [a, b] = ports.map((port) => portDuct(port));
  if (a === undefined || b === undefined) return;
  for (const duct of [a, b]) {
    if (duct.parallel === 1 || node.form.kind === "abrupt") continue;
    const expected = "ducts of one run, since this form joins two sections; 'abrupt' uses their areas alone";
    yield { code: "transition.parallel", key: "form.kind", expected, found: `'${duct.id}' of ${duct.parallel} runs` };
  }
  yield* partProblems(node.form, "form", sectionOf(a), sectionOf(b));
};

export const transition: NodeKind<TransitionNode> = {
  kind: "transition",
  field: exactly<TransitionNode, TransitionNode<"written">>()(
    about(
      "A change of section from its port `a` to its port `b`; loss on the velocity pressure in the smaller duct.",
      object({
        id: id(),
        kind: word("transition"),
        ...labels(),
        elevation: elevation(),
        form: about("Default: an abrupt change.", preset(form, { kind: "abrupt" })),
      }),
    ),
  ),
  ports: () => ports,
  fans: noFans,
  endsPaths: false,
  keeps: true,
  takesOpenings: false,
  air: (_, climate) => climate.network,
  ductKeys: ["section", "air", "parallel"],
  ends: lossless,
  problems,
  pressure: freePressure,
  // Between equal sections it loses nothing, but a ring of transitions without a length of duct is not built.
  links: ({ id: name }) => [{ from: `${name}.a`, to: `${name}.b`, resists: true }],
  provenance: (node, site) => {
    const [a, b] = ports.map((port) => sectionOf(site.placeAt(`${node.id}.${port}`).duct(0)));
    return partProvenance(node.form, `nodes.${node.id}.form`, a, b);
  },
  assemble: (node, { points: [a, b], branches: [branch] }, assembly) => {
    const { site } = assembly;
    const ductAt = (port: "a" | "b") => site.placeAt(`${node.id}.${port}`).duct(0);
    const state = () => {
      const [before, after] = [ductAt("a"), ductAt("b")];
      const smaller = ductArea(before) <= ductArea(after) ? before : after;
      const area = ductArea(smaller);
      const { density } = site.airIn(smaller);
      const laws = lawsOf(node.form, sectionOf(before), sectionOf(after));
      return { laws, area, density, onFlow: onVelocity(density, area) };
    };
    return {
      refresh: () => {
        const { equations } = assembly;
        const { laws, area, density, onFlow } = state();
        const forward = (laws?.forward.coefficient ?? 0) * onFlow;
        const backward = (laws?.backward.coefficient ?? 0) * onFlow;
        equations.setDirectional(branch, forward, backward);
        equations.setStart(branch, density, startVelocity * area);
      },
      resume: (solution, start) => {
        const known = solution.nodes[node.id]?.ports;
        resumePoint(known?.a?.totalPressure, a, start.pressure);
        resumePoint(known?.b?.totalPressure, b, start.pressure);
        resumeBranch(flowInto(`${node.id}.a`, ductAt("a"), solution), branch, start.massFlow);
      },
      report: ({ massFlow, pressure }, { nodes, warnings }) => {
        const { laws, onFlow } = state();
        const m = massFlow[branch];
        const along = m >= 0;
        const velocityPressure = onFlow * m * m;
        const coefficient = (along ? laws?.forward : laws?.backward)?.coefficient ?? 0;
        const outside = (laws?.outside ?? []).map((one) => ({ ...one }));
        const losses: NodeLosses = {
          model: laws?.model ?? "",
          withinRange: outside.length === 0,
          ...(outside.length === 0 ? {} : { outside }),
          velocityPressure,
          paths: [
            { from: along ? "a" : "b", to: along ? "b" : "a", coefficient, loss: coefficient * velocityPressure },
          ],
        };
        nodes[node.id] = { ports: { a: { totalPressure: pressure[a] }, b: { totalPressure: pressure[b] } }, losses };
        warnings.push(...outsideWarnings(`nodes.${node.id}.form`, `transition '${node.id}'`, outside));
      },
    };
  },
};

/** One warning for each value outside what a source covers. */
const outsideWarnings = (path: string, what: string, outside: NonNullable<NodeLosses["outside"]>): Warning[] =>
  outside.map((one) => ({ code: "fitting.outside-range", path, message: outsideText(what, one) }));
