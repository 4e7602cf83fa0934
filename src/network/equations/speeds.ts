import { pressureTolerance, type SolveLimits } from "./gradient-solver.js";
import type { ControlTerm } from "./terms.js";

/** Largest change of a speed in one step, as a share of it. */
export const largestChange = 0.4;
/** How far the network is solved before speeds are sought, in times the standard tolerance. */
export const firstTolerance = 1e6;
/** Pressure by speed below which a fan counts as having none [Pa per unit of speed] */
export const leastPressureBySpeed = 1e-12;

/** The speed nearest to one within the limits of its controller. */
export const within = (speed: number, { minSpeed, maxSpeed }: ControlTerm): number =>
  Math.min(Math.max(speed, minSpeed), maxSpeed);

/** The limit state of a speed: −1 at the lower limit, 1 at the upper one, 0 between. */
export const limitStateOf = (speed: number, { minSpeed, maxSpeed }: ControlTerm): number =>
  speed <= minSpeed ? -1 : speed >= maxSpeed ? 1 : 0;

/** The speed at a share of its controller's range. */
export const speedAt = (share: number, control: ControlTerm): number =>
  within(control.minSpeed + share * (control.maxSpeed - control.minSpeed), control);

/** How near a controller must come to its set value [Pa or kg/s] */
export const holdingLimit = (
  { pressures }: ControlTerm,
  massLimit: number,
  { tolerance }: Pick<SolveLimits, "tolerance">,
): number => (pressures.length > 0 ? pressureTolerance * tolerance : massLimit);
