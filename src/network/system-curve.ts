import { InputError } from "../core/errors.js";
import { requireKeys } from "../core/keys.js";
import { requireRange } from "../core/ranges.js";
import { fanData } from "../fans/data.js";
import { type Intersection, intersections, type SystemPoint } from "../fans/intersections.js";
import type { FanModel } from "../fans/model.js";
import { assemble } from "./assemble.js";
import { type Network, type NetworkDocument, parseNetwork } from "./document.js";
import type { Equations } from "./equations.js";
import type { FanPart } from "./fan-part.js";
import type { FanOutline } from "./kinds/kind.js";
import type { NetworkNode } from "./kinds/list.js";
import { nodeIdOf } from "./plan.js";
import type { FanResult } from "./results.js";
import { fanOf } from "./runs.js";
import type { Answer } from "./site.js";
import { emptySolution, limitsOf, solveFrom, solveNetwork } from "./solve.js";
import { solverOf } from "./solver-of.js";

/** The flows at which a system curve is computed. */
export interface SystemCurveRange {
  /** Smallest flow [m³/s]; may be negative, against the fan. */
  readonly from: number;
  /** Largest flow [m³/s]. */
  readonly to: number;
  /** Number of flows at equal steps [-], 2 to 1000. */
  readonly points: number;
}

/** What a network needs of one of its fans, and where that fan can run in it. */
export interface NetworkCurve {
  readonly fan: string;
  /** At equal steps of the fan's flow: the total pressure that the rest of the network needs of it [m³/s, Pa] */
  readonly points: readonly SystemPoint[];
  /** Where the fan's own curve meets it between `from` and `to`, in rising order of flow; none of a fan that stands still. */
  readonly intersections: readonly Intersection[];
}

/** Difference of pressures, over the larger, from which fan and system meet [-]. */
const meetsWithin = 1e-11;
/** Points added next to where they meet, at most. */
const refinements = 12;
/** Flows nearer to each other than this share of the range are one. */
const sameFlow = 1e-10;

const fault = (code: string, path: string, expected: string, found: string): InputError =>
  new InputError([{ code, path, message: `${path}: expected ${expected}, got ${found}`, expected, found }]);

const requireFlows = ({ from, to, points }: SystemCurveRange): void => {
  requireRange("from", from, {});
  requireRange("to", to, {});
  requireRange("points", points, { min: 2, max: 1000 });
  if (!Number.isInteger(points)) throw fault("out-of-range", "points", "a whole number", `${points}`);
  if (!(to > from)) throw fault("out-of-range", "to", `above ${from}, the flow it begins with`, `${to}`);
};

const nodeOf = (network: Network, { name }: FanOutline): NetworkNode =>
  network.nodes.find(({ id }) => id === nodeIdOf(name)) as NetworkNode;

const partOf = (network: Network, fan: FanOutline): FanPart =>
  fan.keys.reduce<object>((held, key) => held[key as never], nodeOf(network, fan)) as FanPart;

/** The network with other keys of one of its fans. */
const withFan = (network: Network, fan: FanOutline, part: FanPart): Network => {
  const put = (held: object, [key, ...rest]: readonly string[]): object =>
    key === undefined ? { ...held, ...part } : { ...held, [key]: put(held[key as never], rest) };
  const node = nodeOf(network, fan);
  return {
    ...network,
    nodes: network.nodes.map((one) => (one === node ? (put(node, fan.keys) as NetworkNode) : one)),
  };
};

/** The network with the fan at a fixed speed: that which its controller, if it has one, finds. */
const atFixedSpeed = (network: Network, fan: FanOutline): Network => {
  const part = partOf(network, fan);
  if (part.control === undefined) return network;
  const { airHandlers, fans } = solveNetwork(network);
  // Frost protection will leave of a fixed speed what it left of the set value.
  const left = fan.service === "supply" ? (airHandlers[nodeIdOf(fan.name)].frostSpeedFactor ?? 1) : 1;
  const speed = fans[fan.name].speed / left;
  return withFan(network, fan, { ...part, speed, setting: undefined, control: undefined });
};

/** Whether branches lead from a point to one of given pressure. */
const hasReference = ({ from, to, freeIndex }: Equations, start: number): boolean => {
  const beside = new Map<number, number[]>();
  const join = (one: number, other: number): void => {
    const already = beside.get(one);
    if (already === undefined) beside.set(one, [other]);
    else already.push(other);
  };
  for (let e = 0; e < from.length; e++) {
    join(from[e], to[e]);
    join(to[e], from[e]);
  }
  const reached = new Set([start]);
  for (const point of reached) {
    if (freeIndex[point] < 0) return true;
    for (const next of beside.get(point) ?? []) reached.add(next);
  }
  return false;
};

/** A network without one of its fans, ready to say what it needs of it. */
interface Demand {
  /** Total pressure needed at a flow of the fan [Pa] */
  at(flow: number): number;
  /** The fan by its own curve; undefined where it stands still. */
  readonly fan: FanModel | undefined;
}

const demandOf = (network: Network, fan: FanOutline): Demand => {
  // The fan's branch is cut off where it begins: what enters the network there is imposed, and the pressure on both sides
  // of the cut differs by what the fan gives too little.
  const { plan, equations, elements } = assemble(network, { cut: fan.from });
  const before = plan.placeAt(fan.from).point;
  const cut = elements.cutPoint as number;
  for (const point of [before, cut]) {
    if (hasReference(equations, point)) continue;
    const expected = "a fan whose air has another way back than through itself";
    throw fault("fan.no-way-round", "fanName", expected, `'${fan.name}', before or behind which the network ends`);
  }
  const { density } = plan.airIn(plan.placeAt(fan.at).duct(0));
  const position = network.nodes.indexOf(nodeOf(network, fan));
  const solver = solverOf(equations);
  const limits = limitsOf({ tolerance: 1e-4 });
  const reported = (): FanResult => {
    const state = emptySolution({ iterations: 0, massResidual: 0, pressureResidual: 0 });
    elements.report(position, solver, state);
    return state.fans[fan.name];
  };
  // Its unit may run it at another speed than its own, or not at all.
  const { speed } = reported();
  const { curve } = partOf(network, fan);
  let last: Answer | undefined;
  return {
    at: (flow) => {
      equations.inflow[before] = -flow * density;
      equations.inflow[cut] = flow * density;
      solveFrom(solver, last, limits);
      last = solver;
      return reported().totalPressure + solver.pressure[cut] - solver.pressure[before];
    },
    fan: curve === undefined || speed === 0 ? undefined : fanData(curve).at(speed, density),
  };
};

/**
 * Where a fan meets a system that is computed as it is needed: the system's points are joined by a curve, which the
 * system itself corrects where the fan meets it, until both agree there.
 */
const meetings = (
  model: FanModel,
  points: readonly SystemPoint[],
  demand: (flow: number) => number,
): readonly Intersection[] => {
  const known = [...points];
  const apart = sameFlow * (points[points.length - 1].flow - points[0].flow);
  let found = intersections(model, known);
  for (let round = 0; round < refinements; round++) {
    const added = found
      .map(({ flow }) => flow)
      .filter((flow) => known.every((point) => Math.abs(point.flow - flow) > apart))
      .map((flow) => ({ flow, pressure: demand(flow) }))
      .filter(({ flow, pressure }) => {
        const given = model.pressure(flow);
        return !(Math.abs(given - pressure) <= meetsWithin * Math.max(Math.abs(given), Math.abs(pressure)));
      });
    if (added.length === 0) break;
    known.push(...added);
    known.sort((a, b) => a.flow - b.flow);
    found = intersections(model, known);
  }
  return found;
};

/**
 * What the rest of a network needs of one of its fans, flow by flow, and every point at which the fan can run in it.
 *
 * The fan is taken out of its place and a flow imposed there; all else follows its own laws, other fans included: each at
 * its own speed, or at that which its controller finds. What the air of the fan loses inside its own air handler counts
 * as the network's. A controlled fan is compared at the speed that its controller finds. Where several states of the
 * other fans are possible at one flow, the curve follows the one it came from.
 *
 * @param network - A parsed network, or a document, which is parsed first.
 * @param fanName - A fan's node id, or `unit.supply`.
 * @param range - `from` and `to`, flows at the density of the fan's air [m³/s], `to` above `from`; `points`, how many
 *   at equal steps [-], 2 to 1000. Intersections are looked for in this range; two that lie between the same two
 *   points may be missed if the points do not show the bend between them.
 * @returns `points` with the fan total pressure needed [Pa] at each flow [m³/s]; `intersections` with the fan's curve at
 *   its speed and density: flow, pressure, `stable` (the fan's slope is below the system's), `withinCurve`, `aboveStall`
 *   (flow above the stall region [m³/s], negative in and below it) and `toCurveEnd` (flow left to the last point [m³/s]).
 * @throws DocumentError for a wrong document; InputError `unknown-fan`, `out-of-range` or `unknown-key` for a wrong
 *   range, `fan.no-way-round` where a flow through the fan has no other way back; SolveError where a flow has no answer,
 *   as against a backdraught damper.
 *
 * Source: definition of the system curve (common practice, no source).
 * @example systemCurve(network, "unit.supply", { from: 0, to: 0.1, points: 21 }).intersections[0].flow; // m³/s
 */
export function systemCurve(
  network: Network | NetworkDocument,
  fanName: string,
  range: SystemCurveRange,
): NetworkCurve {
  requireKeys("range", range, ["from", "to", "points"]);
  requireFlows(range);
  const parsed = parseNetwork(network);
  const fan = fanOf(parsed, fanName);
  const fixed = atFixedSpeed(parsed, fan);
  const demand = demandOf(fixed, fan);
  const { from, to } = range;
  const step = (to - from) / (range.points - 1);
  const points = Array.from({ length: range.points }, (_, i) => {
    const flow = i + 1 === range.points ? to : from + i * step;
    return { flow, pressure: demand.at(flow) };
  });
  const { fan: model } = demand;
  return { fan: fanName, points, intersections: model === undefined ? [] : meetings(model, points, demand.at) };
}
