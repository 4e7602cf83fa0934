import { InputError, problemOf, SolveError } from "../../core/errors.js";
import { requireAll } from "../../core/gather.js";
import { readObject, requireKeys } from "../../core/keys.js";
import { isWithin, requireRange } from "../../core/ranges.js";
import { shown } from "../../core/show.js";
import { type ComputedMeetings, computedIntersections } from "../../fans/computed-system.js";
import type { Intersection, SystemPoint } from "../../fans/intersections.js";
import type { FanModel } from "../../fans/model.js";
import { layoutOf, type Network, type NetworkDocument, parseNetwork } from "../document/document.js";
import { solveNetwork } from "../solve/solve.js";
import { atFixedSpeed, type Demand, demandOf, hasController, type Need, undefinedIfUnsolved } from "./fan-demand.js";
import { fanOf } from "./index-run.js";

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
  /**
   * Flows between `from` and `to` at which it jumps across the fan's own curve, as other fans go over into another state
   * [m³/s]. The two do not meet there. Mostly empty.
   */
  readonly jumps: readonly number[];
}

/** Steps in which a range is walked at least, so that where the fan meets the network hangs little on the points asked for. */
const leastSteps = 20;
/** Share of a step to which the flow is found at which answers end. */
const edgeResolution = 1e-9;
/** Steps of flow in which a state is followed where one step loses it: steep laws may lie between. */
const shorterSteps = 16;
/** Share of the flow where the network runs at which it is asked on either side too: fan and network change sides between. */
const besideSolved = 1e-6;
/** How often in a walk a flow that its state does not reach is sought again in vain: that is costly if fans are controlled. */
const newSearches = 3;

const requireFlows = (range: SystemCurveRange): void => {
  const { from, to, points } = range;
  requireAll(
    () => requireKeys("range", range, ["from", "to", "points"]),
    () => requireRange("from", from, {}),
    () => requireRange("to", to, {}),
    () => {
      if (typeof from !== "number" || typeof to !== "number" || !(to <= from)) return;
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

const rising = (flows: readonly number[]): number[] => [...new Set(flows)].sort((a, b) => a - b);

/** The flows at which the needs are computed: those asked for, some between if they are few, and no flow. */
const walkedFlows = (asked: readonly number[]): number[] => {
  const parts = Math.ceil(leastSteps / (asked.length - 1));
  const between = asked.slice(1).flatMap((to, i) => flowsBetween(asked[i], to, parts + 1).slice(0, -1));
  const last = asked[asked.length - 1];
  // Where a network is shut both ways, it has answers next to no flow only.
  const still = asked[0] < 0 && last > 0 ? [0] : [];
  return rising([...between, last, ...still]);
};

const isNeed = (one: Need | UnreachableFlow | undefined): one is Need => one !== undefined && "state" in one;

const pointOf = ({ flow, pressure }: Need): SystemPoint => ({ flow, pressure });

/** What a search finds at a flow, or why there is no answer. */
const attempt = (flow: number, search: () => Need): Need | UnreachableFlow => {
  try {
    return search();
  } catch (error) {
    if (!(error instanceof SolveError)) throw error;
    return { flow, reason: error.message };
  }
};

/** The need at a flow in the state of another, in short steps. */
const continueInSubsteps = (demand: Demand, near: Need, flow: number): Need => {
  let need = near;
  for (let i = 1; i < shorterSteps; i++) {
    need = demand.from(need, near.flow + ((flow - near.flow) * i) / shorterSteps);
  }
  return demand.from(need, flow);
};

/** The needs at flows on the way away from one that may be known, each found from the one before. */
const walk = (demand: Demand, flows: readonly number[], start: Need | undefined): (Need | UnreachableFlow)[] => {
  let last = start;
  let lost = false;
  let searches = newSearches;
  return flows.map((flow) => {
    const near = last;
    let found = attempt(flow, () => demand.from(near, flow));
    // Where short steps have not led to a flow, they do not lead beyond it.
    if (!isNeed(found) && near !== undefined && !lost)
      found = attempt(flow, () => continueInSubsteps(demand, near, flow));
    if (!isNeed(found) && searches > 0) {
      found = attempt(flow, () => demand.at(flow));
      if (!isNeed(found)) searches--;
    }
    lost = !isNeed(found);
    if (isNeed(found)) last = found;
    return found;
  });
};

/** The needs at rising flows, on the way up and down from where the network itself runs; from the first where it is not solved. */
const walkAll = (demand: Demand, flows: readonly number[]): (Need | UnreachableFlow)[] => {
  const { solved } = demand;
  if (solved === undefined) return walk(demand, flows, undefined);
  const off = besideSolved * Math.abs(solved.flow);
  const isInside = (flow: number): boolean => flow >= flows[0] && flow <= flows[flows.length - 1];
  const beside = [solved.flow - off, solved.flow + off].filter(isInside);
  const all = rising([...flows, ...beside]);
  const down = all.filter((flow) => flow < solved.flow).reverse();
  const up = all.filter((flow) => flow >= solved.flow);
  return [...walk(demand, down, solved).reverse(), ...walk(demand, up, solved)];
};

/** The last flow with an answer on the way from one with an answer to one without. */
const edge = (demand: Demand, inside: Need, { flow: outside }: UnreachableFlow): Need => {
  const resolution = edgeResolution * Math.abs(outside - inside.flow);
  let last = inside;
  for (let end = outside; Math.abs(end - last.flow) > resolution; ) {
    const middle = (last.flow + end) / 2;
    const found = attempt(middle, () => demand.from(last, middle));
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

/** Where a fan meets its network on a stretch, each need found from that beside it from which the walk came. */
const meetingsOn = (model: FanModel, demand: Demand, needs: readonly Need[]): ComputedMeetings => {
  if (needs.length < 2) return { intersections: [], jumps: [] };
  const started = demand.solved?.flow ?? needs[0].flow;
  return computedIntersections(model, needs.map(pointOf), (flow) => {
    const after = needs.findIndex((need) => need.flow > flow);
    const sides = [needs[after - 1], needs[after]];
    const [near, far] = flow < started ? sides.reverse() : sides;
    const found =
      undefinedIfUnsolved(() => demand.from(near, flow)) ?? undefinedIfUnsolved(() => demand.from(far, flow));
    return (found ?? demand.at(flow)).pressure;
  });
};

/**
 * What the rest of a network needs of one of its fans, flow by flow, and every point at which the fan can run in it.
 *
 * The fan is taken out and a flow is imposed in its place. Everything else follows its own laws, including other fans,
 * each at its own speed or at the speed its controller finds. Losses inside the fan's own air handler count as the
 * network's. A controlled fan is compared at the speed that its controller finds.
 *
 * If several states of the other fans are possible at one flow, the curve begins with the state in which `solveNetwork`
 * solves the network, and follows it up and down from there. The solved point is among the intersections if it lies in
 * the range. The one exception is a pressure controller at its limit whose reading responds to its fan in the opposite
 * direction once the flow is imposed: it would then leave the limit. Other states appear only where the solved one
 * ends, or where a step is too long to keep it. So the points where the fan meets them may depend on the range and the
 * number of points, and some may be missing.
 *
 * @param network - A parsed network, or a document, which is parsed first.
 * @param fanName - A fan's node id, or `unit.supply`.
 * @param range - `from` and `to`, flows at the density of the fan's air [m³/s], `to` above `from`; `points`, how many
 *   at equal steps [-], 2 to 1000. Intersections are looked for in this range; two that lie between the same two
 *   points may be missed if the points do not show the bend between them.
 * @returns `points` with the fan total pressure needed [Pa] at each flow [m³/s]; `unreachable`, flows without an answer
 *   below 1e5 Pa, for example against a shut backdraught damper, or beyond the end of the state followed if no other
 *   was found, with the reason; `jumps`, flows at which the curve jumps across the fan's; `intersections` with the
 *   fan's curve at its speed and density, on both of which fan and network agree to rounding of the flow: flow,
 *   pressure, `stable` (the fan's slope is below the system's), `withinCurve`, `aboveStall` (flow above the stall
 *   region [m³/s], negative in and below it) and `toCurveEnd` (flow left to the last point [m³/s]).
 * @throws DocumentError for a wrong document; InputError `unknown-fan`, `out-of-range` or `unknown-key` for a wrong
 *   range, `fan.no-way-round` where a flow through the fan has no other way back; SolveError where the network of a
 *   controlled fan is not solved, or where it has no answer between two flows that have one, at which they change sides.
 *
 * Source: definition of the system curve (common practice, no source).
 * @example systemCurve(network, "unit.supply", { from: 0, to: 0.1, points: 21 }).intersections[0].flow; // m³/s
 */
export function systemCurve(
  network: Network | NetworkDocument,
  fanName: string,
  range: SystemCurveRange,
): NetworkCurve {
  const given = readObject("range", range);
  requireFlows(given);
  const parsed = parseNetwork(network);
  const layout = layoutOf(parsed);
  const fan = fanOf(parsed, fanName);
  const solution = hasController(parsed, fan) ? solveNetwork(parsed) : undefinedIfUnsolved(() => solveNetwork(parsed));
  const demand = demandOf(
    solution === undefined ? layout : layout.withElements(atFixedSpeed(parsed, fan, solution)),
    fan,
    solution,
  );
  const { from, to } = given;
  const asked = flowsBetween(from, to, given.points);
  const walked = walkAll(demand, walkedFlows(asked));
  const answers = walked.filter(({ flow }) => asked.includes(flow));
  const { fan: model } = demand;
  const connectivity =
    model === undefined ? [] : stretchesOf(demand, walked).map((needs) => meetingsOn(model, demand, needs));
  return {
    fan: fanName,
    points: answers.filter(isNeed).map(pointOf),
    unreachable: answers.filter((one): one is UnreachableFlow => !isNeed(one)),
    intersections: connectivity.flatMap(({ intersections }) => intersections),
    jumps: connectivity.flatMap(({ jumps }) => jumps),
  };
}
