import { SolveError } from "../core/errors.js";
import { lowestBetween } from "../numerics/minima.js";
import { crossings } from "../numerics/roots.js";
import { type Intersection, intersectionAt, type SystemPoint, turningFlows } from "./intersections.js";
import type { FanModel } from "./model.js";

/** Difference of pressures, over the largest of the fan, at which a fan and a system that touch meet [-]. */
const touching = 1e-11;
/**
 * Difference of pressures, over the largest of the fan, up to which they agree where they change sides [-]. The search ends
 * at the rounding of the flow; where a system is steep that leaves more than rounding of the pressure. What is left above
 * this is a jump of the system.
 */
const agreeing = 1e-6;

/**
 * Where a fan meets a system that can be asked at any flow between its first and its last known point.
 *
 * The known points are joined by a curve. Where that comes near the fan's and parts again, the system itself is asked for
 * the nearest flow; where fan and system have changed sides between two neighbours, for the flow at which both agree.
 *
 * @param points - Two or more, of strictly rising flow [m³/s, Pa].
 * @param pressureAt - What the system takes [Pa] at a flow [m³/s].
 * @throws SolveError where they change sides without agreeing anywhere.
 */
export const computedIntersections = (
  model: FanModel,
  points: readonly SystemPoint[],
  pressureAt: (flow: number) => number,
): Intersection[] => {
  const known = new Map(points.map(({ flow, pressure }) => [flow, pressure]));
  const needed = (flow: number): number => {
    const pressure = known.get(flow) ?? pressureAt(flow);
    known.set(flow, pressure);
    return pressure;
  };
  const excess = (flow: number): number => model.pressure(flow) - needed(flow);
  const { base, speed, density } = model;
  const largest = (density / base.density) * speed ** 2 * Math.max(...base.pressure.values.map(Math.abs));
  const tolerance = touching * largest;

  const shown = rising([...points.map(({ flow }) => flow), ...turningFlows(model, points)]);
  const flows = rising([...shown, ...nearest(excess, shown, tolerance)]);
  return crossings(excess, flows, tolerance).map(({ at, before, after }) => {
    if (!(Math.abs(excess(at)) <= agreeing * largest)) throw jump(at, model.pressure(at), needed(at));
    return intersectionAt(model, at, before >= 0 && after <= 0 && before !== after);
  });
};

const rising = (flows: readonly number[]): number[] => [...new Set(flows)].sort((a, b) => a - b);

/** Flows at which a difference comes nearest to 0, or passes it, about those of a list where it does so and parts again. */
const nearest = (difference: (flow: number) => number, flows: readonly number[], tolerance: number): number[] => {
  const values = flows.map(difference);
  return flows.slice(1, -1).flatMap((_, before) => {
    const [one, middle, other] = values.slice(before, before + 3);
    const side = Math.sign(middle);
    const dips = side * middle <= side * one && side * middle <= side * other;
    if (!dips || Math.abs(middle) <= tolerance) return [];
    return [lowestBetween((flow) => side * difference(flow), flows[before], flows[before + 2], -tolerance)];
  });
};

const jump = (flow: number, given: number, needed: number): SolveError => {
  const [gives, needs] = [given, needed].map((pressure) => `${pressure.toPrecision(4)} Pa`);
  const message = `The fan and the system change sides at ${flow} m³/s, but do not meet: the fan gives ${gives}, the system needs ${needs} and jumps there`;
  const tried = ["bisection and interpolation to the rounding of the flow"];
  return new SolveError("stalled", message, { iterations: 0, pressureResidual: Math.abs(given - needed), tried });
};
