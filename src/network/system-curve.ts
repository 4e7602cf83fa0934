import { InputError, problemOf, SolveError } from "../core/errors.js";
import { requireAll } from "../core/gather.js";
import { requireKeys, requireObject } from "../core/keys.js";
import { isWithin, requireRange } from "../core/ranges.js";
import { shown } from "../core/show.js";
import { computedIntersections } from "../fans/computed-system.js";
import type { Intersection, SystemPoint } from "../fans/intersections.js";
import type { FanModel } from "../fans/model.js";
import { atFixedSpeed, type Demand, demandOf, type Need } from "./demand.js";
import { type Network, type NetworkDocument, parseNetwork } from "./document.js";
import { fanOf } from "./runs.js";

/** The flows at which a system curve is computed. */
export interface SystemCurveRange {
  /** Smallest flow [m³/s]; may be negative, against the fan. */
  readonly from: number;
  /** Largest flow [m³/s]. */
  readonly to: number;
  /** Number of flows at equal steps [-], 2 to 1000. */
  readonly points: number;
}

/** A flow that a network cannot pass through its fan. */
export interface UnreachableFlow {
  /** [m³/s] */
  readonly flow: number;
  /** Why, in a sentence. */
  readonly reason: string;
}

/** What a network needs of one of its fans, and where that fan can run in it. */
export interface NetworkCurve {
  readonly fan: string;
  /** At equal steps of the fan's flow: the total pressure that the rest of the network needs of it [m³/s, Pa] */
  readonly points: readonly SystemPoint[];
  /** The flows among these steps at which it has no answer, and why; they are not among `points`. Mostly empty. */
  readonly unreachable: readonly UnreachableFlow[];
  /** Where the fan's own curve meets it between `from` and `to`, in rising order of flow; none of a fan that stands still. */
  readonly intersections: readonly Intersection[];
}

/** Steps in which a range is walked at least, so that where the fan meets the network hangs little on the points asked for. */
const leastSteps = 20;
/** Share of a step to which the flow is found at which answers end. */
const edgeResolution = 1e-9;

const requireFlows = (range: SystemCurveRange): void => {
  requireObject("range", range);
  const { from, to, points } = range;
  requireAll(
    () => requireKeys("range", range, ["from", "to", "points"]),
    () => requireRange("from", from, {}),
    () => requireRange("to", to, {}),
    () => {
      if (!(to <= from)) return;
      throw new InputError([problemOf("out-of-range", "to", `above ${from}, the flow it begins with`, `${to}`)]);
    },
    () => {
      if (Number.isInteger(points) && isWithin(points, { min: 2, max: 1000 })) return;
      throw new InputError([problemOf("out-of-range", "points", "a whole number, 2 to 1000", shown(points))]);
    },
  );
};

const flowsBetween = (from: number, to: number, count: number): number[] => {
  const step = (to - from) / (count - 1);
  return Array.from({ length: count }, (_, i) => (i + 1 === count ? to : from + i * step));
};

/** The flows at which the needs are computed: those asked for, some between if they are few, and no flow. */
const walkedFlows = (asked: readonly number[]): number[] => {
  const parts = Math.ceil(leastSteps / (asked.length - 1));
  const between = asked.slice(1).flatMap((to, i) => flowsBetween(asked[i], to, parts + 1).slice(0, -1));
  const last = asked[asked.length - 1];
  // Where a network is shut both ways, it has answers next to no flow only.
  const still = asked[0] < 0 && last > 0 ? [0] : [];
  return [...new Set([...between, last, ...still])].sort((a, b) => a - b);
};

/** What is needed at a flow, or why there is no answer. */
const attempt = (demand: Demand, flow: number, near: Need | undefined): Need | UnreachableFlow => {
  try {
    return demand.at(flow, near);
  } catch (error) {
    if (!(error instanceof SolveError)) throw error;
    return { flow, reason: error.message };
  }
};

const isNeed = (one: Need | UnreachableFlow | undefined): one is Need => one !== undefined && "state" in one;

const pointOf = ({ flow, pressure }: Need): SystemPoint => ({ flow, pressure });

/** The needs at rising flows, each found from the one before. */
const walk = (demand: Demand, flows: readonly number[]): (Need | UnreachableFlow)[] => {
  let last: Need | undefined;
  return flows.map((flow) => {
    const found = attempt(demand, flow, last);
    if (isNeed(found)) last = found;
    return found;
  });
};

/** The last flow with an answer on the way from one with an answer to one without. */
const edge = (demand: Demand, inside: Need, { flow: outside }: UnreachableFlow): Need => {
  const resolution = edgeResolution * Math.abs(outside - inside.flow);
  let last = inside;
  for (let end = outside; Math.abs(end - last.flow) > resolution; ) {
    const found = attempt(demand, (last.flow + end) / 2, last);
    if (isNeed(found)) last = found;
    else end = found.flow;
  }
  return last;
};

/** Unbroken stretches of flows with answers, each up to where its answers end. */
const stretchesOf = (demand: Demand, walked: readonly (Need | UnreachableFlow)[]): Need[][] => {
  const stretches: Need[][] = [];
  walked.forEach((one, i) => {
    const before = walked[i - 1];
    if (!isNeed(one)) {
      if (isNeed(before)) stretches[stretches.length - 1].push(edge(demand, before, one));
      return;
    }
    if (i === 0) stretches.push([]);
    else if (!isNeed(before)) stretches.push([edge(demand, one, before)]);
    stretches[stretches.length - 1].push(one);
  });
  // Where an answer ends just where it was asked for, that edge is the point itself.
  return stretches.map((needs) => needs.filter(({ flow }, i) => i === 0 || flow > needs[i - 1].flow));
};

/** Where a fan meets its network on a stretch, each need found from the last one below it. */
const meetingsOn = (model: FanModel, demand: Demand, needs: readonly Need[]): Intersection[] => {
  if (needs.length < 2) return [];
  return computedIntersections(model, needs.map(pointOf), (flow) => {
    const below = needs.filter((need) => need.flow <= flow);
    return demand.at(flow, below[below.length - 1]).pressure;
  });
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
 * @returns `points` with the fan total pressure needed [Pa] at each flow [m³/s]; `unreachable`, flows without an answer
 *   below 1e5 Pa, as against a shut backdraught damper, with the reason; `intersections` with the fan's curve at its speed
 *   and density, on both of which fan and network agree to rounding of the flow: flow, pressure, `stable` (the fan's slope is below the system's), `withinCurve`, `aboveStall`
 *   (flow above the stall region [m³/s], negative in and below it) and `toCurveEnd` (flow left to the last point [m³/s]).
 * @throws DocumentError for a wrong document; InputError `unknown-fan`, `out-of-range` or `unknown-key` for a wrong
 *   range, `fan.no-way-round` where a flow through the fan has no other way back; SolveError where the network of a
 *   controlled fan is not solved, or where fan and network change sides without meeting, as other fans go over into another
 *   state.
 *
 * Source: definition of the system curve (common practice, no source).
 * @example systemCurve(network, "unit.supply", { from: 0, to: 0.1, points: 21 }).intersections[0].flow; // m³/s
 */
export function systemCurve(
  network: Network | NetworkDocument,
  fanName: string,
  range: SystemCurveRange,
): NetworkCurve {
  requireFlows(range);
  const parsed = parseNetwork(network);
  const fan = fanOf(parsed, fanName);
  const fixed = atFixedSpeed(parsed, fan);
  const demand = demandOf(fixed, fan);
  const { from, to } = range;
  const asked = flowsBetween(from, to, range.points);
  const walked = walk(demand, walkedFlows(asked));
  const answers = walked.filter(({ flow }) => asked.includes(flow));
  const { fan: model } = demand;
  return {
    fan: fanName,
    points: answers.filter(isNeed).map(pointOf),
    unreachable: answers.filter((one): one is UnreachableFlow => !isNeed(one)),
    intersections:
      model === undefined ? [] : stretchesOf(demand, walked).flatMap((needs) => meetingsOn(model, demand, needs)),
  };
}
