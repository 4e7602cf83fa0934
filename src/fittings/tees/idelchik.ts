import { degrees } from "../degrees.js";
import { blend, blendSlope, type StraightFlow, type TeeModel, type TeeShape } from "./model.js";
import { byAreaRatio, line, type ShareCurve, step } from "./stepped.js";

/** The share of the branch below which diverging and converging forms, which differ by 0.1 at zero, are blended. */
const blended = 0.1;

/** Two lines that meet at half the flow, where the loss of the run of a wide branch passes zero. */
const wideRun: ShareCurve = {
  value: (q) => (q <= 0.5 ? 2 : 0.3) * (2 * q - 1),
  slope: (q) => (q <= 0.5 ? 4 : 0.6),
};

/**
 * Coefficients of one flow pattern by the branch's flow share: writes the run's and the branch's, then their slopes.
 */
type Coefficients = (share: number, out: Float64Array) => void;

const diverging = (turn: number, a: number): Coefficients => {
  const factor = byAreaRatio(a, 0.35, step(0.4, [1.1, -0.7], [0.85, 0]), step(0.6, [1, -0.6], [0.6, 0]));
  const tau = byAreaRatio(a, 0.4, line(0.4, 0), wideRun);
  const cosine = Math.cos(turn);
  return (q, out) => {
    const velocity = q / a;
    const bracket = 1 + velocity * (velocity - 2 * cosine);
    const f = factor.value(q);
    const t = tau.value(q);
    out[0] = t * q * q;
    out[1] = f * bracket;
    out[2] = (tau.slope(q) * q + 2 * t) * q;
    out[3] = factor.slope(q) * bracket + (f * 2 * (velocity - cosine)) / a;
  };
};

const converging = (turn: number, a: number): Coefficients => {
  const factor = byAreaRatio(a, 0.35, line(1, 0), step(0.4, [0.9, -0.9], [0.55, 0]));
  const pull = byAreaRatio(a, 0.35, line(0, 0.8), step(0.6, [0.5, 0], [0, 0.8]));
  const along = (2 * Math.cos(turn)) / a;
  const across = Math.sin(turn);
  return (q, out) => {
    const rest = 1 - q;
    const bracket = 1 + (q / a) ** 2 - 2 * rest * rest - along * q * q;
    const f = factor.value(q);
    const k = pull.value(q);
    out[0] = 1 - rest * rest - (1.4 - q) * q * q * across - along * k * q;
    out[1] = f * bracket;
    out[2] = 2 * rest - (2.8 - 3 * q) * q * across - along * (pull.slope(q) * q + k);
    out[3] = factor.slope(q) * bracket + f * ((2 * q) / (a * a) + 4 * rest - 2 * along * q);
  };
};

/**
 * Differences to the branch by the branch's share of the sum, positive where it diverging takes and negative where
 * converging brings: writes the value of the leg that brings air, then of the leg that takes it, then their slopes.
 */
type Differences = (share: number, out: Float64Array) => void;

const differences = (diverging: Coefficients, converging: Coefficients): Differences => {
  const k = new Float64Array(4);
  converging(0, k);
  const convergingAtZero = [k[0] - k[1], -k[1]] as const;
  diverging(0, k);
  const divergingAtZero = [k[1], k[1] - k[0]] as const;
  return (share, out) => {
    const diverges = share >= 0;
    if (diverges) {
      diverging(share, k);
      out[0] = k[1];
      out[1] = k[1] - k[0];
      out[2] = k[3];
      out[3] = k[3] - k[2];
    } else {
      converging(-share, k);
      out[0] = k[0] - k[1];
      out[1] = -k[1];
      out[2] = k[3] - k[2];
      out[3] = k[3];
    }
    const own = diverges ? share : -share;
    if (own >= blended) return;
    // The other form is held at its value at zero.
    const held = diverges ? convergingAtZero : divergingAtZero;
    const s = (own + blended) / (2 * blended);
    const w = blend(s);
    const slope = ((diverges ? 1 : -1) * blendSlope(s)) / (2 * blended);
    for (let leg = 0; leg < 2; leg++) {
      const gap = out[leg] - held[leg];
      out[2 + leg] = w * out[2 + leg] + slope * gap;
      out[leg] = held[leg] + w * gap;
    }
  };
};

/** Scratch, read before it is written again. */
const d: Float64Array = /* @__PURE__ */ new Float64Array(4);

/**
 * Writes F and its derivatives of a flow u > 0 into the tee by one straight leg and v < 0 by the other.
 */
const along = (from: Differences, u: number, v: number, out: Float64Array, first: 0 | 1): void => {
  const sum = u + v;
  const common = sum >= 0 ? u : v;
  from(sum / Math.abs(common), d);
  for (let leg = 0; leg < 2; leg++) {
    const at = leg === 0 ? first : 1 - first;
    const value = d[leg];
    const turning = d[2 + leg];
    out[at] = common * common * value;
    out[2 + 2 * at + first] = (sum >= 0 ? 2 * u * value : 0) - v * turning;
    out[3 + 2 * at - first] = (sum >= 0 ? 0 : 2 * v * value) + u * turning;
  }
};

const straightFlow = ({ angle, areaRatio }: TeeShape): StraightFlow => {
  const turnBack = Math.PI - angle;
  const fromA = differences(diverging(angle, areaRatio), converging(turnBack, areaRatio));
  const fromB = differences(diverging(turnBack, areaRatio), converging(angle, areaRatio));
  return (a, b, out) => {
    if (a === b) out.fill(0);
    else if (a > b) along(fromA, a, b, out, 0);
    else along(fromB, b, a, out, 1);
  };
};

/**
 * The handbook's tees whose run has the area of the main. Its printed factors jump with the flow share and with the area
 * ratio (at 0.4 and 0.6, at 0.35 and 0.4); each jump is a blend here, over 0.05 of the share and 0.01 of the ratio on both
 * sides, and outside of these all is as printed. Edges are sharp.
 */
export const idelchik: TeeModel = {
  name: "idelchik",
  title: "Idelchik 2006",
  sources: [
    {
      author: "Idelchik",
      title: "Handbook of Hydraulic Resistance, 3rd edition",
      year: 2006,
      where:
        "chapter 7, sections 15 and 16, equations 7-1 and 7-2, tables 7-1, 7-3 and 7-4, diagram 7-20, pages 416–418 and 453, as an open library of pressure losses quotes them",
      status: "read",
    },
    {
      author: "Idelchik",
      title: "Handbook of Hydraulic Resistance, 3rd edition",
      year: 2006,
      where: "chapter 7: angles and area ratios covered",
      status: "memory",
    },
  ],
  spread: { family: "tees", shared: 0.3, own: 0.3, least: 0.5 },
  covered: {
    turn: { min: /* @__PURE__ */ degrees(30), max: /* @__PURE__ */ degrees(90) },
    areaRatio: { min: 0.1, max: 1 },
    edgeRadius: { min: 0, max: 0 },
  },
  blended,
  straightFlow,
};
