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

/** Half the width of the corner where a tee takes no power, over the product of the three legs' shares of the sum [-] */
const corner = 0.1;

/** Flows of the legs over the summed flow, positive into the tee. */
type Shares = LegFlows;

/** Power that differences take from the air, over the summed flow [-]. */
const powerOf = ([overA, overB]: Differences, { a, b }: Shares): number => a * overA + b * overB;

/** The loss on both ways of the air that makes up for power which it would gain, the corner rounded by a parabola [-]. */
const makingUp = (power: number, { a, b, branch }: Shares): number => {
  const width = corner * Math.abs(a * b * branch);
  if (power >= width) return 0;
  return power <= -width ? -power : (width - power) ** 2 / (4 * width);
};

/** Differences with a loss more on both ways: the leg that carries the sum stands apart from the two others by it. */
const withLoss = ([overA, overB]: Differences, { a, b, branch }: Shares, loss: number): Differences => {
  const largest = Math.max(Math.abs(a), Math.abs(b), Math.abs(branch));
  if (Math.abs(a) === largest) return [overA + Math.sign(a) * loss, overB];
  if (Math.abs(b) === largest) return [overA, overB + Math.sign(b) * loss];
  return [overA - Math.sign(branch) * loss, overB - Math.sign(branch) * loss];
};

/** The published forms by the four patterns in which a straight leg carries the sum. */
const publishedForms = ({ model, angle, ratio, edgeRadius }: TeeGeometry, side: Sides) => {
  const { diverging, converging } = teeModels[model];
  const toB = Math.PI - angle;
  const split = (q: number, turn: number) => ({ q, a: ratio, turn, edgeRadius });
  const fromLeg = ({ branch, run }: Coefficients): Differences => [branch, branch - run];
  const toLeg = ({ branch, run }: Coefficients): Differences => [-branch, run - branch];
  const swap = ([first, second]: Differences): Differences => [second, first];
  return {
    fromA: (q: number): Differences => fromLeg(diverging(split(q, angle), side)),
    fromB: (q: number): Differences => swap(fromLeg(diverging(split(q, toB), side))),
    toA: (q: number): Differences => toLeg(converging(split(q, angle), side)),
    toB: (q: number): Differences => swap(toLeg(converging(split(q, toB), side))),
  };
};

/** The forms of a side and our bridges between them, over the velocity pressure of the summed flow in the main. */
const inside = (geometry: TeeGeometry, { a, b, branch }: LegFlows, side: Sides): Differences => {
  const total = Math.max(Math.abs(a), Math.abs(b), Math.abs(branch));
  if (total === 0) return [0, 0];
  const forms = publishedForms(geometry, side);
  if (Math.abs(branch) === total) {
    const weight = smooth(Math.min(Math.abs(b) / total, 1));
    const sign = Math.sign(branch);
    const end = (differences: Differences, leg: "a" | "b"): Differences => {
      const shares = { a: 0, b: 0, [leg]: -sign, branch: sign };
      return withLoss(differences, shares, makingUp(powerOf(differences, shares), shares));
    };
    const [allByA, allByB] = branch > 0 ? [forms.toA(1), forms.toB(1)] : [forms.fromA(1), forms.fromB(1)];
    return mix(weight, end(allByA, "a"), end(allByB, "b"));
  }
  const [diverging, converging] = a > b ? [forms.fromA, forms.toB] : [forms.fromB, forms.toA];
  const leaving = -branch / total;
  if (teeModels[geometry.model].meets || Math.abs(leaving) >= blended)
    return leaving > 0 ? diverging(leaving) : converging(-leaving);
  const weight = smooth((leaving + blended) / (2 * blended));
  return mix(weight, converging(Math.max(-leaving, 0)), diverging(Math.max(leaving, 0)));
};

/** Loss [Pa] between a smaller straight leg and the main, by a cone of 30°; with the sign of the flow into the tee. */
const coneLoss = (density: number, area: number, main: number, flow: number): number => {
  const share = area / main;
  if (share >= 1) return 0;
  const shape = flow > 0 ? 2.6 * (1 - share) ** 2 : 0.8 * (1 - share);
  return Math.sign(flow) * Math.sin(Math.PI / 12) * shape * velocityPressure(density, flow, area);
};

/** Least and most that is added to both ways [-]: they part near a step of a printed table only. */
interface Added {
  readonly least: number;
  readonly most: number;
}

const addedTo = (lawful: readonly Differences[], shares: Shares): Added => {
  const added = lawful.map((differences) => makingUp(powerOf(differences, shares), shares));
  return { least: Math.min(...added), most: Math.max(...added) };
};

const sharesOf = ({ a, b, branch }: LegFlows): Shares => {
  const total = Math.max(Math.abs(a), Math.abs(b), Math.abs(branch)) || 1;
  return { a: a / total, b: b / total, branch: branch / total };
};

/**
 * Lowest and highest lawful P_a − P_branch and P_b − P_branch [Pa], and what is added to both ways of the air [-]: they
 * part near a step of a printed table only.
 *
 * @param areas - Of the straight legs and of the main [m²].
 */
export const teePressures = (
  geometry: TeeGeometry,
  areas: Readonly<Record<"a" | "b" | "main", number>>,
  density: number,
  flows: LegFlows,
): Record<"a" | "b", { readonly low: number; readonly high: number }> & { readonly added: Added } => {
  const total = Math.max(...Object.values(flows).map(Math.abs));
  const size = velocityPressure(density, total, areas.main);
  const forms = sides.map((side) => inside(geometry, flows, side));
  const shares = sharesOf(flows);
  const added = addedTo(forms, shares);
  // Between the sides of a step a smaller loss may be enough than on either of them.
  const lawful = forms.flatMap((differences) =>
    [added.least, added.most].map((loss) => withLoss(differences, shares, loss)),
  );
  const of = (leg: "a" | "b", k: 0 | 1) => {
    const pressures = lawful.map(
      (differences) => differences[k] * size + coneLoss(density, areas[leg], areas.main, flows[leg]),
    );
    return { low: Math.min(...pressures), high: Math.max(...pressures) };
  };
  return { a: of("a", 0), b: of("b", 1), added };
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
  // Legs meet within the mass tolerance of the whole network, which can be much of what a small tee carries.
  const largest = Math.max(...Object.values(reading.solution.ducts ?? {}).map(({ massFlow }) => Math.abs(massFlow)));
  const noise = (1e-8 * largest) / density;
  evaluateLosses(reading, id, geometry, { flows, main, density, added: lawful.added, noise });
  evaluatePower(reading, id, flows, noise);
};

/** Whatever the model: a tee has no power to give, beyond what the tolerance of pressures and of mass leaves open. */
const evaluatePower = (reading: Reading, id: string, flows: LegFlows, noise: number): void => {
  const legs = ["a", "b", "branch"] as const;
  const over = legs.map((leg) => reading.pressureAt(`${id}.${leg}`) - reading.pressureAt(`${id}.branch`));
  const power = legs.reduce((sum, leg, k) => sum + flows[leg] * over[k], 0);
  const slack = legs.reduce(
    (sum, leg, k) => sum + pressureTolerance * Math.abs(flows[leg]) + noise * Math.abs(over[k]),
    0,
  );
  if (!(power >= -slack)) reading.findings.problem(`nodes.${id}: gives ${-power} W to the air`);
};

/** What the answer says of a tee's losses. */
const evaluateLosses = (
  reading: Reading,
  id: string,
  geometry: TeeGeometry,
  state: {
    readonly flows: LegFlows;
    readonly main: number;
    readonly density: number;
    readonly added: Added;
    /** What flows may be off by [m³/s] */
    readonly noise: number;
  },
): void => {
  const { findings } = reading;
  const place = `nodes.${id}.losses`;
  const { model, angle, ratio } = geometry;
  const { flows, main, density, added, noise } = state;
  const losses = reading.lossesAt(id);
  if (losses === undefined) {
    findings.missing(`nodes.${id}`, "losses");
    return;
  }
  const { pattern, model: named, bridged, withinRange, paths } = losses;
  if (typeof pattern !== "string") findings.missing(place, "pattern");
  else if ((pattern === "no flow") !== (flows.a === 0 && flows.b === 0))
    findings.problem(`${place}.pattern: '${pattern}' at ${flows.a} and ${flows.b} m³/s in the run`);
  if (named !== model) findings.problem(`${place}.model: expected ${model}, got ${named}`);

  const [a, b, branch] = [flows.a, flows.b, flows.branch].map(Math.abs);
  const total = Math.max(a, b, branch);
  const size = velocityPressure(density, total, main);
  findings.equal(place, losses, "velocityPressure", size, rounding);
  // Above 0 a published form holds as it is; about 0 rounding decides.
  const published =
    Math.min(Math.max(a, b) - branch, teeModels[model].meets ? total : branch - blended * total) / total;
  const doubt = 1e-9 + noise / total;
  const loses = added.least > doubt;
  if (loses || (Math.abs(published) > doubt && (published < 0 || added.most === 0)))
    if (bridged !== (loses || published < 0))
      findings.problem(`${place}.bridged: expected ${loses || published < 0}, got ${bridged}`);
  if (losses.added === undefined) findings.missing(place, "added");
  else if (total > 10 * noise) {
    // A coefficient of a small branch changes with its flow by the square of its area ratio.
    const open = (1 + 1 / ratio ** 2) * (1e-9 + (10 * noise) / total);
    if (!(losses.added >= added.least - open && losses.added <= added.most + open))
      findings.problem(`${place}.added: expected ${added.least} to ${added.most}, got ${losses.added}`);
  }
  if (typeof withinRange !== "boolean") findings.missing(place, "withinRange");
  else if (model === "gardel") {
    const degrees = (angle * 180) / Math.PI;
    // Air at rest turns by no angle.
    const turns = pattern === "no flow" ? [] : [degrees / 45 - 1, 1 - degrees / 135];
    const room = Math.min(...turns, ratio / 0.4 - 1, 1 - ratio);
    if (Math.abs(room) > 1e-9 && withinRange !== room > 0)
      findings.problem(`${place}.withinRange: expected ${room > 0}, got ${withinRange}`);
  }

  const count = pattern === "no flow" ? 0 : 2;
  if (paths?.length !== count) findings.problem(`${place}.paths: expected ${count}, got ${paths?.length}`);
  const slack = 1e-9 * total + noise;
  (paths ?? []).forEach((path, k) => {
    const { from, to } = path;
    const here = `${place}.paths.${k}`;
    const [into, outOf] = [from, to].map((port) => flows[port as keyof LegFlows]);
    if (!(into >= -slack && outOf <= slack)) findings.problem(`${here}: no air goes from ${from} to ${to}`);
    const lost = reading.pressureAt(`${id}.${from}`) - reading.pressureAt(`${id}.${to}`);
    findings.equal(here, path, "loss", lost, pressureTolerance);
    if (total > 10 * noise) {
      const off = 1e-9 + (4 * noise * Math.abs(path.coefficient)) / total;
      findings.equal(here, path, "coefficient", path.loss / size, off);
    }
  });
};
