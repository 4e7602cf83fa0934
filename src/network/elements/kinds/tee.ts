import { areaOf } from "../../../ducts/geometry.js";
import { onVelocity } from "../../../ducts/ratings.js";
import { describeTee, type TeeLosses } from "../../../fittings/tees/describe.js";
import { type TeeGeometry, teeProblems } from "../../../fittings/tees/geometry.js";
import { type TeeLaw, teeConeSource, teeLaw } from "../../../fittings/tees/law.js";
import type { TeeModelName } from "../../../fittings/tees/model.js";
import { teeModels } from "../../../fittings/tees/models.js";
import { about, choice, exactly, number, object, optional, preset, quantity, word } from "../../../input/fields.js";
import { type Duct, ductArea } from "../../format/elements.js";
import type { Form, Preset, Quantified } from "../../format/forms.js";
import { elevation, id, labels } from "../../format/identifiers.js";
import { type SectionPart, section } from "../../format/section.js";
import type { ElementProblem } from "../../results/element-problem.js";
import type { Provenance } from "../../results/provenance.js";
import type { Solution, Warning } from "../../results/solution.js";
import { flowInto, restFlow, resumeBranch, resumePoint, type Site } from "../element.js";
import { airText, outsideText } from "../messages.js";
import { freePressure, lossless, type NodeBase, type NodeKind, noFans, type Surroundings } from "./kind.js";

/** A tee or wye: a straight main from its port `a` to its port `b`, and a branch that leaves it. */
export type TeeNode<F extends Form = "parsed"> = NodeBase<F> & {
  readonly kind: "tee";
  /** Of the main, to which the coefficients refer; default: the larger straight leg's. */
  readonly main?: SectionPart<F>;
} & Preset<
    F,
    {
      /** Between the branch leg and leg b, seen from the middle [rad] */
      readonly angle: Quantified<F>;
      readonly model: TeeModelName;
      /** Radius of the edge between main and branch, over the diameter of the main [-] */
      readonly edgeRadius: number;
    }
  >;

const ports = ["a", "b", "branch"] as const;
const degree: number = Math.PI / 180;

type Legs = Readonly<Record<(typeof ports)[number], Duct>>;

/** A leg's section is all its runs together. */
const geometryOf = (node: TeeNode, { a, b, branch }: Legs): TeeGeometry => {
  const [areaA, areaB] = [ductArea(a), ductArea(b)];
  const areaMain = node.main === undefined ? Math.max(areaA, areaB) : areaOf(node.main);
  const { angle, edgeRadius, model } = node;
  return { areaMain, areaBranch: ductArea(branch), areaA, areaB, angle, edgeRadius, model };
};

/** Where a fault of the geometry stands in the document; the sections of the legs stand with their ducts. */
const keyOf = (key: string, node: TeeNode): string => {
  if (key === "angle" || key === "edgeRadius") return key;
  return node.main === undefined ? "" : "main";
};

const problems = function* (node: TeeNode, { airIn, inherits, portDuct }: Surroundings): Generator<ElementProblem> {
  const [a, b, branch] = ports.map((port) => portDuct(port));
  if (a === undefined || b === undefined || branch === undefined) return;
  for (const { key, expected, found } of teeProblems(geometryOf(node, { a, b, branch }))) {
    const at = keyOf(key, node);
    const what =
      at === key
        ? expected
        : `${{ areaA: "leg a", areaB: "leg b", areaBranch: "the branch" }[key] ?? "legs"} ${expected}`;
    yield { code: "tee.geometry", key: at, expected: what, found };
  }
  const air = airIn(a);
  for (const other of [b, branch]) {
    const otherAir = airIn(other);
    if (air === undefined || otherAir === undefined) continue;
    if (air.density === otherAir.density && air.viscosity === otherAir.viscosity) continue;
    const expected = inherits
      ? "legs with the same air; inherited air comes from outdoors, rooms and units: name 'air' on these ducts, or give their rooms the same air"
      : "legs with the same air";
    const found = `${airText(otherAir)} in '${other.id}' and ${airText(air)} in '${a.id}'`;
    yield { code: "tee.air", key: "", expected, found };
  }
};

/** What a tee rests on: its model, and the cones of straight legs that are smaller than the main. */
const provenance = function* (node: TeeNode, site: Site, { nodes }: Solution): Generator<Provenance> {
  const { sources, spread } = teeModels[node.model];
  const least = `coefficients below ${spread.least} have the spread of ${spread.least}`;
  const { bridged, added = 0 } = nodes[node.id].losses ?? {};
  const ours =
    added > 0
      ? `; bridged, with ${added.toPrecision(2)} added to both coefficients, without which the form would give power to the air`
      : bridged === true
        ? "; bridged, as no form is published for these flows"
        : "";
  for (const source of sources) yield { source, of: `nodes.${node.id}.model`, spread, note: `${least}${ours}` };
  const [a, b, branch] = ports.map((port) => site.placeAt(`${node.id}.${port}`).duct(0));
  const { areaMain, areaA, areaB } = geometryOf(node, { a, b, branch });
  if (Math.min(areaA, areaB) < areaMain) yield { source: teeConeSource, of: `nodes.${node.id}.main` };
};

/** Flows into the straight legs, 0 in the legs that carry less than `rest`: there rounding would choose the flow pattern. */
const withoutRest = (a: number, b: number, rest: number): [a: number, b: number] => {
  const movingA = Math.abs(a) < rest ? 0 : a;
  if (Math.abs(a + b) < rest) return [movingA, -movingA + 0];
  return [movingA, Math.abs(b) < rest ? 0 : b];
};

const teeWarnings = function* (id: string, { againstFlow, outside, paths, turn }: TeeLosses): Generator<Warning> {
  const path = `nodes.${id}`;
  for (const one of outside) {
    yield { code: "tee.outside-range", path, message: outsideText(`tee '${id}'`, one) };
  }
  if (againstFlow === undefined || turn === undefined) return;
  const [{ coefficient }] = paths;
  const message = `tee '${id}' turns its branch air by ${(turn / degree).toFixed(0)}°: a coefficient of ${coefficient.toFixed(2)}; the right way round it would be ${againstFlow.toFixed(2)}`;
  yield { code: "tee.against-flow", path: `${path}.angle`, message };
};

export const tee: NodeKind<TeeNode> = {
  kind: "tee",
  field: exactly<TeeNode, TeeNode<"written">>()(
    about(
      "A tee or wye: a straight main from its port `a` to its port `b`, and a `branch` that leaves it. Its losses follow the flows.",
      object({
        id: id(),
        kind: word("tee"),
        ...labels(),
        elevation: elevation(),
        main: about("Section of the main. Default: the larger straight leg's.", optional(section)),
        angle: about(
          "Between the branch leg and leg b, seen from the middle: the angle by which air turns between a and the branch.",
          preset(quantity("angle", { min: 20 * degree - 1e-9, max: 160 * degree + 1e-9 }), 90 * degree),
        ),
        model: about(
          "The published model of the losses.",
          preset(choice(["gardel", "idelchik", "momentum"]), "gardel" as const),
        ),
        edgeRadius: about(
          "Radius of the edge between main and branch, divided by the diameter of the main.",
          preset(number({ min: 0, max: 0.12 }), 0),
        ),
      }),
    ),
  ),
  ports: () => ports,
  fans: noFans,
  endsPaths: false,
  oneAir: true,
  keeps: true,
  takesOpenings: false,
  air: (_, climate) => climate.network,
  ductKeys: ["section", "air", "parallel"],
  ends: lossless,
  problems,
  pressure: freePressure,
  links: ({ id: name }) => [
    { from: `${name}.a`, to: `${name}.branch`, resists: true },
    { from: `${name}.b`, to: `${name}.branch`, resists: true },
  ],
  provenance,
  assemble: (node, { points, branches: [fromA, fromB] }, assembly) => {
    const { builder, site } = assembly;
    const term = builder.tee(fromA, fromB);
    const legAt = (port: string): Duct => site.placeAt(`${node.id}.${port}`).duct(0);
    const density = (): number => site.airIn(legAt("a")).density;
    let law: TeeLaw;
    return {
      refresh: () => {
        const { equations } = assembly;
        const geometry = geometryOf(node, { a: legAt("a"), b: legAt("b"), branch: legAt("branch") });
        const rho = density();
        law = teeLaw(geometry);
        equations.setTee(term, onVelocity(rho, geometry.areaMain), law);
        equations.setStart(fromA, rho, 0);
        equations.setStart(fromB, rho, 0);
      },
      resume: (solution, start) => {
        const known = solution.nodes[node.id]?.ports;
        for (let i = 0; i < ports.length; i++) {
          resumePoint(known?.[ports[i]]?.totalPressure, points[i], start.pressure);
        }
        resumeBranch(flowInto(`${node.id}.a`, legAt("a"), solution), fromA, start.massFlow);
        resumeBranch(flowInto(`${node.id}.b`, legAt("b"), solution), fromB, start.massFlow);
      },
      report: ({ massFlow, pressure }, { nodes, warnings }) => {
        const [a, b, rho] = [massFlow[fromA], massFlow[fromB], density()];
        const losses = describeTee(law, a, b, rho);
        const { pattern, model, bridged, added, withinRange, outside, velocityPressure, paths } = losses;
        nodes[node.id] = {
          ports: Object.fromEntries(ports.map((port, i) => [port, { totalPressure: pressure[points[i]] }])),
          losses: {
            pattern,
            model,
            bridged,
            added,
            withinRange,
            ...(outside.length === 0 ? {} : { outside: outside.map((one) => ({ ...one })) }),
            velocityPressure,
            paths: paths.map((one) => ({ ...one })),
          },
        };
        const moving = withoutRest(a, b, restFlow * rho);
        const judged = moving[0] === a && moving[1] === b ? losses : describeTee(law, ...moving, rho);
        warnings.push(...teeWarnings(node.id, judged));
      },
    };
  },
};
