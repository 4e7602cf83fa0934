import { lowestBetween } from "../numerics/minima.js";
import { type Crossing, crossings } from "../numerics/roots.js";
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

/** Where a fan and a system change sides. */
export interface ComputedMeetings {
  /** In rising order of flow. */
  readonly intersections: readonly Intersection[];
  /** Flows at which they change sides without meeting, rising [m³/s] */
  readonly jumps: readonly number[];
}

/**
 * Where a fan meets a system that can be asked at any flow between its first and its last known point.
 *
 * The known points are joined by a curve. Where that comes near the fan's and parts again, the system itself is asked for
 * the nearest flow; where fan and system have changed sides between two neighbours, for the flow at which both agree, or
 * for that at which the system jumps.
 *
 * @param points - Two or more, of strictly rising flow [m³/s, Pa].
 * @param pressureAt - What the system takes [Pa] at a flow [m³/s].
 */
export const computedIntersections = (
  model: FanModel,
  points: readonly SystemPoint[],
  pressureAt: (flow: number) => number,
): ComputedMeetings => {
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
  const found = crossings(excess, flows, tolerance);
  const isMet = ({ at }: Crossing): boolean => Math.abs(excess(at)) <= agreeing * largest;
  return {
    intersections: found
      .filter(isMet)
      .map(({ at, before, after }) => intersectionAt(model, at, before >= 0 && after <= 0 && before !== after)),
    jumps: found.filter((one) => !isMet(one)).map(({ at }) => at),
  };
};

const rising = (flows: readonly number[]): number[] => [...new Set(flows)].sort((a, b) => a - b);

/** Flows at which a difference comes nearest to 0, or passes it, near flows of a list where it does so and moves away again. */
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
