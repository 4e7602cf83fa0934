import { type CubicCurve, valueAt } from "../../numerics/interpolation.js";

/** Pressure difference below which an opening's power law gives way to a smooth one [Pa]. */
const smoothBelow = 1e-3;

/** A fan: Δp = −scale·p₁(flow·m) with the curve p₁ of the fan at its speed 1. */
export interface FanTerm {
  readonly curve: CubicCurve;
  readonly flow: number;
  readonly scale: number;
}

/** The pressure rise of a fan at a mass flow [Pa]. */
export const fanPressure = ({ curve, flow, scale }: FanTerm, massFlow: number): number =>
  scale * valueAt(curve, flow * massFlow);

/** A fan term that does nothing, for a fan that stands still. */
export const noFan: FanTerm = {
  curve: {
    knots: new Float64Array([0, 1]),
    values: new Float64Array(2),
    slopes: new Float64Array(2),
    left: 0,
    right: 0,
  },
  flow: 1,
  scale: 0,
};

/** An opening: q = C·Δpⁿ with the air of the side that it comes from. */
export interface OpeningTerm {
  /** C for flow along the branch [m³/(s·Paⁿ)] */
  readonly forward: number;
  /** C for flow against it */
  readonly backward: number;
  readonly exponent: number;
  /** Density of flow along the branch [kg/m³] */
  readonly density: number;
  /** Density of flow against it */
  readonly densityBack: number;
}

/** An opening in the place of one that is not yet set. */
export const anyOpening: OpeningTerm = { forward: 1, backward: 1, exponent: 1, density: 1, densityBack: 1 };

/** Adds Δp(m) of an opening and its slope: the inverse of q = C·Δpⁿ, smooth near rest. */
export const addOpening = (
  term: OpeningTerm,
  m: number,
  branch: number,
  h: Float64Array,
  slope: Float64Array,
): void => {
  const along = m >= 0;
  const coefficient = along ? term.forward : term.backward;
  const density = along ? term.density : term.densityBack;
  const n = term.exponent;
  const q = Math.abs(m) / density;
  const limit = coefficient * smoothBelow ** n;
  if (q >= limit) {
    const difference = (q / coefficient) ** (1 / n);
    h[branch] += along ? difference : -difference;
    slope[branch] += difference / (n * q * density);
    return;
  }
  // q/limit = a·x − b·x³ with x = Δp/δ; Newton from the tangent at rest climbs to the root without overshoot.
  const a = (3 - n) / 2;
  const b = (1 - n) / 2;
  const y = q / limit;
  let x = y / a;
  for (let step = 0; step < 8; step++) x += (y - x * (a - b * x * x)) / (a - 3 * b * x * x);
  h[branch] += (along ? x : -x) * smoothBelow;
  slope[branch] += smoothBelow / (limit * density * (a - 3 * b * x * x));
};

/** A tee: how far the pressures of its legs a and b exceed the pressure of its branch leg, as functions of the flows into both. */
export interface TeeTerm {
  /** Writes both [(kg/s)²] and their derivatives ∂a/∂a, ∂a/∂b, ∂b/∂a, ∂b/∂b [kg/s]. */
  evaluate(a: number, b: number, out: Float64Array): void;
}

/** A tee without pressure drop. */
export const noTee: TeeTerm = { evaluate: (_a, _b, out) => out.fill(0) };

/** A pressure as terms of the equations: P(point) − k·m², with k by the direction of the flow. */
export interface Reading {
  readonly point: number;
  /** Absent where air rests. */
  readonly head?: {
    readonly branch: number;
    /** k of flow along the branch [Pa·s²/kg²] */
    readonly forward: number;
    /** k of flow against it */
    readonly backward: number;
  };
}

/** What a controller holds: Σ of pressures and mass flows with weights, at a set value. */
export interface ControlTerm {
  /** What its fan is called. */
  readonly fan: string;
  /** The fan at a speed. */
  fanAt(speed: number): FanTerm;
  /** How its pressure changes with its speed at a mass flow [Pa] */
  pressureBySpeed(speed: number, massFlow: number): number;
  readonly minSpeed: number;
  readonly maxSpeed: number;
  readonly startSpeed: number;
  /** [Pa] or, without any pressures, [kg/s] */
  readonly set: number;
  readonly pressures: readonly (Reading & { readonly weight: number })[];
  readonly flows: readonly { readonly branch: number; readonly weight: number }[];
}

/** What a controller reads in a state, less its set value [Pa or kg/s] */
export const controlError = (
  { set, pressures, flows }: ControlTerm,
  { massFlow, pressure }: { readonly massFlow: Float64Array; readonly pressure: Float64Array },
): number => {
  let sum = -set;
  for (const { point, head, weight } of pressures) {
    sum += weight * pressure[point];
    if (head === undefined) continue;
    const m = massFlow[head.branch];
    sum -= weight * (m >= 0 ? head.forward : head.backward) * m * m;
  }
  for (const { branch, weight } of flows) sum += weight * massFlow[branch];
  return sum;
};
