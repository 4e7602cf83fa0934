import type { AirProperties } from "./air.js";
import type { PlainCurve, PlainEfficiency, PlainFan, PlainPoint } from "./document.js";
import { areaOf, ratingLoss, velocityPressure } from "./losses.js";

/** Slope at the end of a monotone curve: the three-point formula, limited so that the curve keeps its direction. */
const endSlope = (h: number, nextH: number, secant: number, nextSecant: number): number => {
  const slope = ((2 * h + nextH) * secant - h * nextSecant) / (h + nextH);
  if (Math.sign(slope) !== Math.sign(secant)) return 0;
  if (Math.sign(secant) !== Math.sign(nextSecant) && Math.abs(slope) > 3 * Math.abs(secant)) return 3 * secant;
  return slope;
};

/** Slopes of the monotone piecewise cubic: inside the weighted harmonic mean of Fritsch and Butland 1984. */
const monotoneSlopes = (x: readonly number[], y: readonly number[]): number[] => {
  const h = x.slice(1).map((end, k) => end - x[k]);
  const secants = h.map((step, k) => (y[k + 1] - y[k]) / step);
  const last = secants.length - 1;
  if (last === 0) return [secants[0], secants[0]];
  const inner = secants.slice(1).map((after, k) => {
    const before = secants[k];
    if (before * after <= 0) return 0;
    const first = 2 * h[k + 1] + h[k];
    const second = h[k + 1] + 2 * h[k];
    return (first + second) / (first / before + second / after);
  });
  return [
    endSlope(h[0], h[1], secants[0], secants[1]),
    ...inner,
    endSlope(h[last], h[last - 1], secants[last], secants[last - 1]),
  ];
};

/** Slopes of a fan's pressure: a curve whose points fall at the end, but whose slope there comes out as 0, keeps falling as they last fell. */
const pressureSlopes = (x: readonly number[], y: readonly number[]): number[] => {
  const slopes = monotoneSlopes(x, y);
  const fall = (y.at(-1)! - y.at(-2)!) / (x.at(-1)! - x.at(-2)!);
  return slopes.at(-1) === 0 && fall < 0 ? [...slopes.slice(0, -1), fall] : slopes;
};

/** Value at `at` of the monotone cubic through the points; outside it goes on in a straight line by the slopes there. */
const interpolate = (
  x: readonly number[],
  y: readonly number[],
  at: number,
  outside: (first: number, last: number) => readonly [number, number],
  slopes: readonly number[] = monotoneSlopes(x, y),
): number => {
  const last = x.length - 1;
  const [left, right] = outside(slopes[0], slopes[last]);
  if (at < x[0]) return y[0] + left * (at - x[0]);
  if (at > x[last]) return y[last] + right * (at - x[last]);
  let k = 0;
  while (k < last - 1 && at > x[k + 1]) k += 1;
  const h = x[k + 1] - x[k];
  const t = (at - x[k]) / h;
  return (
    y[k] * (1 + 2 * t) * (1 - t) ** 2 +
    y[k + 1] * t ** 2 * (3 - 2 * t) +
    h * t * (1 - t) * (slopes[k] * (1 - t) - slopes[k + 1] * t)
  );
};

/** Total pressure of a fan at a flow, from its points; to the left never rising outwards. */
const pressureThrough = (x: readonly number[], y: readonly number[], at: number): number =>
  interpolate(x, y, at, (first, last) => [Math.min(first, 0), last], pressureSlopes(x, y));

/** Total pressure at the points of a curve, at its density. */
const totalPressures = (
  { pressureKind, density = 1.2, inlet, outlet }: PlainCurve,
  points: readonly { readonly flow: number; readonly pressure: number }[],
): number[] =>
  points.map(({ flow, pressure }) => {
    if (pressureKind === "total") return pressure;
    const out = velocityPressure(density, flow, areaOf(outlet!));
    return pressureKind === "static"
      ? pressure + out
      : pressure + out - velocityPressure(density, flow, areaOf(inlet!));
  });

/** Total pressure [Pa] by coefficients; beyond their range along the tangent, to the left never rising outwards. */
const polynomialPressure = (curve: PlainCurve, flow: number): number => {
  const { coefficients = [], from = 0, to = Number.POSITIVE_INFINITY } = curve;
  // A velocity pressure is one more square of flow.
  const [square] = totalPressures(curve, [{ flow: 1, pressure: 0 }]);
  const all = [0, 0, square].map((more, power) => more + (coefficients[power] ?? 0)).concat(coefficients.slice(3));
  const at = Math.min(Math.max(flow, from), to);
  const value = all.reduce((sum, c, power) => sum + c * at ** power, 0);
  const slope = all.reduce((sum, c, power) => sum + (power === 0 ? 0 : power * c * at ** (power - 1)), 0);
  return value + (flow < from ? Math.min(slope, 0) : slope) * (flow - at);
};

/** Whether a fan stands still. */
export const isStopped = ({ speed }: PlainFan): boolean => speed === 0;

/** Points that stand for a fan at its speed, over what speed of theirs it runs, and with what share they count. */
interface CurvePart {
  readonly points: readonly PlainPoint[];
  readonly ratio: number;
  readonly share: number;
}

/**
 * The points that a fan rests on: its own; of curves at several speeds both neighbours, blended by speed, or beyond them the
 * nearest. Each is scaled to the fan's speed by the fan laws.
 */
const partsOf = (curve: PlainCurve, speed: number): CurvePart[] => {
  if (curve.points !== undefined) return [{ points: curve.points, ratio: speed, share: 1 }];
  const speeds = speedsOf(curve);
  const above = speeds.findIndex((one) => one.speed > speed);
  if (above <= 0) {
    const nearest = above === 0 ? speeds[0] : speeds[speeds.length - 1];
    return [{ points: nearest.points, ratio: speed / nearest.speed, share: 1 }];
  }
  const [low, high] = [speeds[above - 1], speeds[above]];
  const share = (speed - low.speed) / (high.speed - low.speed);
  const lower = { points: low.points, ratio: speed / low.speed, share: 1 - share };
  return share === 0 ? [lower] : [lower, { points: high.points, ratio: speed / high.speed, share }];
};

const blended = (parts: readonly CurvePart[], value: (part: CurvePart) => number): number =>
  parts.reduce((sum, part) => sum + part.share * value(part), 0);

/** Rise of total pressure [Pa] of a fan at a flow [m³/s] of this air; of a stopped one its loss with the sign turned. */
export const fanPressure = (fan: PlainFan, air: AirProperties, flow: number): number => {
  if (isStopped(fan)) return -ratingLoss(fan.stopped!, air, flow);
  const { speed = 1 } = fan;
  const curve = fan.curve!;
  const heavier = air.density / (curve.density ?? 1.2);
  if (curve.coefficients !== undefined) return heavier * speed ** 2 * polynomialPressure(curve, flow / speed);
  const scaled = ({ points, ratio }: CurvePart): number =>
    ratio ** 2 *
    pressureThrough(
      points.map((point) => point.flow),
      totalPressures(curve, points),
      flow / ratio,
    );
  return heavier * blended(partsOf(curve, speed), scaled);
};

/**
 * The speeds of a fan's curves. Of settings without speeds each point tells one: that at which the last curve, by the fan
 * laws, passes through it, found by halving; their mean counts.
 */
const speedsOf = (curve: PlainCurve): { speed: number; points: readonly PlainPoint[] }[] => {
  const { speeds = [] } = curve;
  const [fastest] = speeds.slice(-1);
  const [knots, heights] = [fastest.points.map(({ flow }) => flow), totalPressures(curve, fastest.points)];
  const law = (flow: number, speed: number): number => speed ** 2 * pressureThrough(knots, heights, flow / speed);
  const through = (flow: number, pressure: number): number => {
    let [low, high] = [1e-3, 1.5];
    for (let halving = 0; halving < 60; halving++) {
      const middle = (low + high) / 2;
      if (law(flow, middle) < pressure) low = middle;
      else high = middle;
    }
    return low;
  };
  return speeds.map(({ speed, points }) => {
    const pressures = totalPressures(curve, points);
    // What the last curve would do beyond its points tells nothing.
    const told = points.flatMap(({ flow }, i) => {
      const at = through(flow, pressures[i]);
      const known = flow >= at * (knots[0] - 1e-9) && flow <= at * (knots[knots.length - 1] + 1e-9);
      return pressures[i] > 0 && known ? [at] : [];
    });
    const mean = told.reduce((sum, one) => sum + one, 0) / told.length;
    return { speed: speed ?? (points === fastest.points ? 1 : mean), points };
  });
};

/** The speed of a fan in the unit of its curve: its own, or that of its setting times its own. */
export const runningSpeed = ({ curve, setting, speed }: PlainFan): number => {
  if (speed === 0) return 0;
  if (setting === undefined) return speed ?? curve?.speeds?.at(-1)?.speed ?? 1;
  const at = curve!.speeds!.findIndex((one) => one.setting === setting);
  return (speed ?? 1) * speedsOf(curve!)[at].speed;
};

/** By how much a flow lies inside the points of a running fan, in shares of their range; negative outside. */
export const insideCurve = ({ curve, speed = 1 }: PlainFan, flow: number): number => {
  if (curve!.coefficients !== undefined) return Number.NaN; // of these only the pressure is judged
  const parts = partsOf(curve!, speed);
  const first = blended(parts, ({ points, ratio }) => ratio * points[0].flow);
  const last = blended(parts, ({ points, ratio }) => ratio * points[points.length - 1].flow);
  return Math.min(flow - first, last - flow) / (last - first);
};

/** By how much a running fan is faster or slower than the nearest of its curves: 0 between two of them. */
export const awayFromCurve = ({ curve, speed = 1 }: PlainFan): number => {
  const parts = partsOf(curve!, speed);
  return parts.length > 1 ? 0 : Math.abs(parts[0].ratio - 1);
};

/** What a fan takes, and what of it its air does [W] */
export interface FanInput {
  readonly power: number;
  /** Undefined where the motor is outside and nothing tells its output. */
  readonly heatToAir: number | undefined;
}

/** Electrical input of a running fan inside its points; undefined where the curve does not tell. */
export const fanPower = (fan: PlainFan, air: AirProperties, flow: number): FanInput | undefined => {
  const { curve, motorOutside = false, speed = 1 } = fan;
  const { coefficients, controlsPower = 0, density = 1.2 } = curve!;
  if (coefficients !== undefined) return undefined;
  const parts = partsOf(curve!, speed);
  const known = parts.every(({ points, ratio }) => {
    return flow >= ratio * points[0].flow && flow <= ratio * points[points.length - 1].flow;
  });
  if (!known) return undefined; // where one of two curves has ended, the contract does not say how it goes on
  const at = (values: (point: PlainPoint) => number): number =>
    blended(parts, ({ points, ratio }) =>
      interpolate(
        points.map((point) => point.flow),
        points.map(values),
        flow / ratio,
        () => [0, 0],
      ),
    );
  const whole = (input: number): FanInput => ({
    power: input + controlsPower,
    heatToAir: motorOutside ? undefined : input,
  });
  const [{ power, efficiency }] = parts[0].points;
  if (power !== undefined) {
    // Between two speeds power follows an exponent, which is judged where the family is.
    if (parts.length > 1) return undefined;
    return whole(parts[0].ratio ** 3 * (air.density / density) * at((point) => point.power!));
  }
  if (efficiency === undefined) return undefined;
  const input = Math.max(0, (flow * fanPressure(fan, air, flow)) / at((point) => point.efficiency!));
  if (fan.chain === undefined) return whole(input);
  const { transmission, motor, controller } = fan.chain;
  const output = throughPart(input, transmission);
  const taken = throughPart(output, motor);
  return { power: throughPart(taken, controller) + controlsPower, heatToAir: motorOutside ? output : taken };
};

/** What a part takes [W] to give a power: by its efficiency at that load, below its points by its loss at the first. */
const throughPart = (output: number, part: PlainEfficiency | undefined): number => {
  if (part === undefined) return output;
  if (typeof part === "number") return output / part;
  const [first] = part.points;
  const load = output / part.ratedOutput;
  if (load < first.load) return output + (first.load * part.ratedOutput * (1 - first.efficiency)) / first.efficiency;
  const loads = part.points.map((point) => point.load);
  const efficiencies = part.points.map((point) => point.efficiency);
  return output / interpolate(loads, efficiencies, load, () => [0, 0]);
};
