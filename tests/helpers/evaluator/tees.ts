import type { PlainNode } from "./document.js";
import { pressureTolerance, rounding } from "./findings.js";
import { areaOf, velocityPressure } from "./losses.js";
import { ductAt, portsOf } from "./ports.js";
import type { Reading } from "./reading.js";
import { type Coefficients, type Sides, teeModels } from "./tee-forms.js";

/** Geometry of a tee with its defaults. */
export interface TeeGeometry {
  readonly model: string;
  /** Between the branch and leg b [rad] */
  readonly angle: number;
  /** Area of the branch over that of the main [-] */
  readonly ratio: number;
  readonly edgeRadius: number;
}

/** Flows into a tee by its legs [m³/s]. */
export type LegFlows = Readonly<Record<"a" | "b" | "branch", number>>;

/** P_a − P_branch and P_b − P_branch. */
type Differences = readonly [a: number, b: number];

/** Within this share of the branch, forms that do not meet are blended. */
const blended = 0.1;
/** Shares and area ratios this near to a step of a printed table may follow either side of it. */
const near = { share: 0.05, area: 0.01 };
const sides: readonly Sides[] = [1, -1].flatMap((share) =>
  [1, -1].map((area) => ({
    share: (q: number, step: number) => q <= step + share * near.share,
    area: (a: number, step: number) => a <= step + area * near.area,
  })),
);

const smooth = (t: number): number => t * t * (3 - 2 * t);
const mix = (weight: number, first: Differences, second: Differences): Differences => [
  (1 - weight) * first[0] + weight * second[0],
  (1 - weight) * first[1] + weight * second[1],
];

/** The published forms by the four patterns in which a straight leg carries the sum. */
const publishedForms = ({ model, angle, ratio, edgeRadius }: TeeGeometry, side: Sides) => {
  const { dividing, gathering } = teeModels[model];
  const toB = Math.PI - angle;
  const split = (q: number, turn: number) => ({ q, a: ratio, turn, edgeRadius });
  const fromLeg = ({ branch, run }: Coefficients): Differences => [branch, branch - run];
  const toLeg = ({ branch, run }: Coefficients): Differences => [-branch, run - branch];
  const swap = ([first, second]: Differences): Differences => [second, first];
  return {
    fromA: (q: number): Differences => fromLeg(dividing(split(q, angle), side)),
    fromB: (q: number): Differences => swap(fromLeg(dividing(split(q, toB), side))),
    toA: (q: number): Differences => toLeg(gathering(split(q, angle), side)),
    toB: (q: number): Differences => swap(toLeg(gathering(split(q, toB), side))),
  };
};

/** Differences of total pressure inside the tee, over the velocity pressure of the summed flow in the main. */
const inside = (geometry: TeeGeometry, { a, b, branch }: LegFlows, side: Sides): Differences => {
  const total = Math.max(Math.abs(a), Math.abs(b), Math.abs(branch));
  if (total === 0) return [0, 0];
  const forms = publishedForms(geometry, side);
  if (Math.abs(branch) === total) {
    const weight = smooth(Math.min(Math.abs(b) / total, 1));
    return branch > 0 ? mix(weight, forms.toA(1), forms.toB(1)) : mix(weight, forms.fromA(1), forms.fromB(1));
  }
  const [dividing, gathering] = a > b ? [forms.fromA, forms.toB] : [forms.fromB, forms.toA];
  const leaving = -branch / total;
  if (teeModels[geometry.model].meets || Math.abs(leaving) >= blended)
    return leaving > 0 ? dividing(leaving) : gathering(-leaving);
  const weight = smooth((leaving + blended) / (2 * blended));
  return mix(weight, gathering(Math.max(-leaving, 0)), dividing(Math.max(leaving, 0)));
};

/** Loss [Pa] between a smaller straight leg and the main, by a cone of 30°; with the sign of the flow into the tee. */
const coneLoss = (density: number, area: number, main: number, flow: number): number => {
  const share = area / main;
  if (share >= 1) return 0;
  const shape = flow > 0 ? 2.6 * (1 - share) ** 2 : 0.8 * (1 - share);
  return Math.sign(flow) * Math.sin(Math.PI / 12) * shape * velocityPressure(density, flow, area);
};

/**
 * Lowest and highest lawful P_a − P_branch and P_b − P_branch [Pa]: they part near a step of a printed table only.
 *
 * @param areas - Of the straight legs and of the main [m²].
 */
export const teePressures = (
  geometry: TeeGeometry,
  areas: Readonly<Record<"a" | "b" | "main", number>>,
  density: number,
  flows: LegFlows,
): Record<"a" | "b", { readonly low: number; readonly high: number }> => {
  const total = Math.max(...Object.values(flows).map(Math.abs));
  const size = velocityPressure(density, total, areas.main);
  const lawful = sides.map((side) => inside(geometry, flows, side));
  const of = (leg: "a" | "b", k: 0 | 1) => {
    const pressures = lawful.map(
      (differences) => differences[k] * size + coneLoss(density, areas[leg], areas.main, flows[leg]),
    );
    return { low: Math.min(...pressures), high: Math.max(...pressures) };
  };
  return { a: of("a", 0), b: of("b", 1) };
};

/** A tee: the pressures of its legs against each other, mass, and its record. */
export const evaluateTee = (reading: Reading, node: PlainNode): void => {
  const { findings } = reading;
  const { id, model = "gardel", angle = Math.PI / 2, edgeRadius = 0 } = node;
  if (teeModels[model] === undefined) throw new Error(`the evaluator knows no model '${model}' of a tee`);
  const [a, b, branch] = portsOf(node).map((port) => {
    const { section, parallel = 1 } = ductAt(reading, `${id}.${port}`);
    return parallel * areaOf(section);
  });
  const main = node.main === undefined ? Math.max(a, b) : areaOf(node.main);
  const { density } = reading.airInDuct(ductAt(reading, `${id}.a`));
  const flowAt = (port: string): number => reading.gatheredAt(`${id}.${port}`) / density;
  const flows = { a: flowAt("a"), b: flowAt("b"), branch: flowAt("branch") };
  findings.mass(id, (flows.a + flows.b + flows.branch) * density);

  const geometry = { model, angle, ratio: branch / main, edgeRadius };
  const lawful = teePressures(geometry, { a, b, main }, density, flows);
  for (const leg of ["a", "b"] as const) {
    const found = reading.pressureAt(`${id}.${leg}`) - reading.pressureAt(`${id}.branch`);
    const { low, high } = lawful[leg];
    findings.pressure(`nodes.${id}.${leg}`, found, Math.min(Math.max(found, low), high));
  }
  evaluateLosses(reading, id, geometry, flows, main, density);
};

/** What the answer says of a tee's losses. */
const evaluateLosses = (
  reading: Reading,
  id: string,
  geometry: TeeGeometry,
  flows: LegFlows,
  main: number,
  density: number,
): void => {
  const { findings } = reading;
  const place = `nodes.${id}.losses`;
  const { model, angle, ratio } = geometry;
  const losses = reading.lossesAt(id);
  if (losses === undefined) {
    findings.missing(`nodes.${id}`, "losses");
    return;
  }
  const { pattern, model: named, bridged, withinRange, paths } = losses;
  if (typeof pattern !== "string") findings.missing(place, "pattern");
  if (named !== model) findings.problem(`${place}.model: expected ${model}, got ${named}`);

  const [a, b, branch] = [flows.a, flows.b, flows.branch].map(Math.abs);
  const total = Math.max(a, b, branch);
  const size = velocityPressure(density, total, main);
  findings.equal(place, losses, "velocityPressure", size, rounding);
  // Legs meet within the mass tolerance of the whole network, which can be much of what a small tee carries.
  const largest = Math.max(...Object.values(reading.solution.ducts ?? {}).map(({ massFlow }) => Math.abs(massFlow)));
  const noise = (1e-8 * largest) / density;
  // Above 0 a published form holds as it is; about 0 rounding decides.
  const published =
    Math.min(Math.max(a, b) - branch, teeModels[model].meets ? total : branch - blended * total) / total;
  if (Math.abs(published) > 1e-9 + noise / total && bridged !== published < 0)
    findings.problem(`${place}.bridged: expected ${published < 0}, got ${bridged}`);
  if (typeof withinRange !== "boolean") findings.missing(place, "withinRange");
  else if (model === "gardel") {
    const degrees = (angle * 180) / Math.PI;
    const room = Math.min(degrees / 45 - 1, 1 - degrees / 135, ratio / 0.4 - 1, 1 - ratio);
    if (Math.abs(room) > 1e-9 && withinRange !== room > 0)
      findings.problem(`${place}.withinRange: expected ${room > 0}, got ${withinRange}`);
  }

  if (paths?.length !== 2) findings.problem(`${place}.paths: expected two, got ${paths?.length}`);
  const slack = 1e-9 * total + noise;
  (paths ?? []).forEach((path, k) => {
    const { from, to } = path;
    const here = `${place}.paths.${k}`;
    const [into, outOf] = [from, to].map((port) => flows[port as keyof LegFlows]);
    if (!(into >= -slack && outOf <= slack)) findings.problem(`${here}: no air goes from ${from} to ${to}`);
    const lost = reading.pressureAt(`${id}.${from}`) - reading.pressureAt(`${id}.${to}`);
    findings.equal(here, path, "loss", lost, pressureTolerance);
    if (total > 10 * noise) {
      const doubt = 1e-9 + (4 * noise * Math.abs(path.coefficient)) / total;
      findings.equal(here, path, "coefficient", path.loss / size, doubt);
    }
  });
};
