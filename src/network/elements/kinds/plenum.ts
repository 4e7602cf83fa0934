import { areaOf } from "../../../ducts/geometry.js";
import { narrowingSource, wideningSource } from "../../../fittings/area-change.js";
import { boxInletLoss, boxOutletLoss } from "../../../fittings/boxes.js";
import { abruptTransition } from "../../../fittings/transitions.js";
import { about, exactly, number, object, optional, preset, quantity, word } from "../../../input/fields.js";
import type { Form, Preset, Quantified } from "../../format/forms.js";
import { elevation, id, labels } from "../../format/identifiers.js";
import type { ElementProblem } from "../../results/element-problem.js";
import { givenProvenance, type Provenance } from "../../results/provenance.js";
import type { Solution } from "../../results/solution.js";
import type { Site } from "../element.js";
import { stillAirProvenance, takesFrom } from "../still-air-provenance.js";
import {
  type EndLaw,
  freePressure,
  type NodeBase,
  type NodeKind,
  noFans,
  noLinks,
  noPorts,
  type Surroundings,
} from "./kind.js";

/** A box in which the air comes to rest. */
export type PlenumNode<F extends Form = "parsed"> = NodeBase<F> & { readonly kind: "plenum" } & Preset<
    F,
    { /** Loss of a duct that takes air from the box, on its ½ρv² [-] */ readonly entry: number }
  > & {
    /** Section of the box across its inlet, all of it [m²]; with it each run loses by its share of it, `entry` apart. */
    readonly area?: Quantified<F>;
  };

const ends: EndLaw<PlenumNode> = {
  keys: ["entry", "area"],
  entry: (node, _, duct) =>
    duct.entry ?? (node.area === undefined ? node.entry : boxOutletLoss(areaOf(duct.section), node.area)),
  exit: (node, _, duct) => (node.area === undefined ? 1 : boxInletLoss(areaOf(duct.section), node.area)),
};

const problems = function* (node: PlenumNode, { ducts }: Surroundings): Generator<ElementProblem> {
  if (node.area === undefined) return;
  const largest = Math.max(...ducts().map(({ section }) => areaOf(section)));
  if (!(largest > node.area)) return;
  const expected = `at least ${largest.toPrecision(3)} m², the section of its largest duct`;
  yield { code: "plenum.area-small", key: "area", expected, found: `${node.area}` };
};

const boxNote = "a box counts as an abrupt change of section; the effect of neighbouring spigots is left out";

function* provenance(node: PlenumNode, site: Site, solution: Solution): Generator<Provenance> {
  if (node.area === undefined) {
    yield* stillAirProvenance(node, site, solution);
    return;
  }
  for (const duct of site.ductsAt(node.id)) {
    const takes = takesFrom(node.id, duct, solution);
    if (takes && duct.entry !== undefined) yield givenProvenance(`ducts.${duct.id}.entry`);
    else {
      const source = takes ? narrowingSource : wideningSource;
      yield { source, of: `nodes.${node.id}.area`, spread: abruptTransition.spread, note: boxNote };
    }
  }
}

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
        area: about(
          "Section of the box. With it, the loss of a duct depends on its share of the box: 0.5(1 − A/area)^0.75 out of the box, (1 − A/area)² into it. A is the section of one run; each run and each duct is treated as having the whole box to itself.",
          optional(quantity("area", { above: 0 })),
        ),
      }),
    ),
  ),
  ports: noPorts,
  fans: noFans,
  endsPaths: false,
  takesOpenings: true,
  air: (_, climate) => climate.network,
  ductKeys: ["section"],
  ends,
  problems,
  pressure: freePressure,
  links: noLinks,
  provenance,
};
