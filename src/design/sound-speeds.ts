import type { FanData } from "../fans/data.js";
import { stallOf } from "../fans/stall.js";
import { crossings } from "../numerics/roots.js";

/** The flows at which a fan is to run at a speed: within its curve and right of its stall region [m³/s]. */
export interface SoundFlows {
  readonly from: number;
  readonly to: number;
}

/** The sound flows of a fan at a speed, in any air. */
export const soundFlows = (fan: FanData, speed: number): SoundFlows => {
  const pressure = fan.pressureAt(speed);
  const { knots } = pressure.curve;
  const [first, last] = [knots[0], knots[knots.length - 1]];
  return { from: stallOf(pressure)?.to ?? pressure.speed * first, to: pressure.speed * last };
};

/** Whether a fan at a speed is to run at a flow. */
const runsSoundly = (fan: FanData, flow: number, speed: number): boolean => {
  const { from, to } = soundFlows(fan, speed);
  return flow >= from && flow <= to;
};

/**
 * The first sound speed from one speed towards another, which is sound, in steps that double: from the edge of a range of
 * sound speeds it is the edge itself, to rounding.
 */
export const soundFrom = (fan: FanData, flow: number, speed: number, sound: number): number => {
  if (runsSoundly(fan, flow, speed)) return speed;
  for (let share = Number.EPSILON; share < 1; share *= 2) {
    const at = speed + share * (sound - speed);
    if (runsSoundly(fan, flow, at)) return at;
  }
  return sound;
};

/** Into so many parts the speeds between two curves are cut. */
const parts = 8;

/** On both sides of a speed at which the stall region changes, so near to it [-] */
const beside = 1e-9;

/**
 * Speeds from the slowest to the fastest, both included, between which the limits of the sound flows rise or are looked at
 * closely enough. With one curve, and beyond the curves of a family, they rise. Between two curves the stall region
 * jumps where a hump of the one gives way to the other, and the ends of the points may turn.
 */
export const speedMarks = (fan: FanData, [slowest, fastest]: readonly [number, number]): number[] => {
  const steps = fan.steps.flatMap(({ speed }, i) => {
    const next = fan.steps[i + 1]?.speed ?? speed;
    return Array.from({ length: parts }, (_, part) => speed + (part / parts) * (next - speed));
  });
  const turns = fan.turningSpeeds().flatMap((speed) => [speed * (1 - beside), speed * (1 + beside)]);
  const inner = [...steps, ...turns].filter((speed) => speed > slowest && speed < fastest);
  return [...new Set([slowest, ...inner, fastest])].sort((a, b) => a - b);
};

/** The ranges of speeds at which a fan is to run at a flow, the slowest first; their ends are sound themselves. */
export const soundSpeeds = (fan: FanData, flow: number, marks: readonly number[]): (readonly [number, number])[] => {
  const edges = [
    ...crossings((speed) => soundFlows(fan, speed).to - flow, marks, 0),
    ...crossings((speed) => flow - soundFlows(fan, speed).from, marks, 0),
  ];
  const breaks = [...new Set([...marks, ...edges.map(({ at }) => at)])].sort((a, b) => a - b);
  // What holds in the middle between two breaks holds everywhere between them; a break itself may be an edge to either side.
  const speeds = breaks.flatMap((at, i) => (i === 0 ? [at] : [(breaks[i - 1] + at) / 2, at]));
  const sound = speeds.map((speed) => runsSoundly(fan, flow, speed));
  const edge = (inside: number, outside: number): number =>
    soundFrom(fan, flow, speeds[outside] ?? speeds[inside], speeds[inside]);
  const ends = (step: -1 | 1): number[] =>
    speeds.flatMap((_, i) => (sound[i] && !sound[i + step] ? [edge(i, i + step)] : []));
  const [from, to] = [ends(-1), ends(1)];
  return from.map((slowest, i) => [slowest, to[i]] as const);
};
