import type { Source } from "../core/sources.js";

/** The friction laws, by the names of their authors. */
export type FrictionLawName = "colebrook" | "haaland" | "swamee-jain" | "serghides" | "churchill";

/**
 * Points of a friction law in flat arrays, one for each duct. A law works through all of them in one loop, since a call
 * for each would cost as much as the formula.
 */
export interface FrictionPoints {
  /** Reynolds numbers [-]. */
  readonly reynolds: Float64Array;
  /** What the law prepared of each relative roughness. */
  readonly rough: Float64Array;
  /** Darcy friction factors f [-], written by the law. */
  readonly factor: Float64Array;
  /** df/dRe [-], written by the law. */
  readonly slope: Float64Array;
}

/**
 * A friction law. Up to `laminarTo` it is 64/Re, from `turbulentFrom` it is `turbulent`; between them the cubic of
 * `bridge`.
 */
export interface FrictionLaw {
  readonly laminarTo: number;
  readonly turbulentFrom: number;
  /** The term of the formula that depends on the relative roughness ε/D alone. */
  prepare(relativeRoughness: number): number;
  /**
   * Writes f and df/dRe at every point from `laminarTo` up, a Reynolds number below `turbulentFrom` counting as that.
   * Points below keep what they hold.
   */
  turbulent(points: FrictionPoints): void;
}

/** Points for a number of ducts. */
export const frictionPoints = (count: number): FrictionPoints => ({
  reynolds: new Float64Array(count),
  rough: new Float64Array(count),
  factor: new Float64Array(count),
  slope: new Float64Array(count),
});

/** 2·log10(x) = perLog·ln(x). */
const perLog = 2 / Math.LN10;
const nikuradse = (relativeRoughness: number): number => relativeRoughness / 3.7;

/** f = x⁻² and its slope from x = 1/√f and dx/dRe. */
const write = ({ factor, slope }: FrictionPoints, i: number, x: number, dx: number): void => {
  const f = 1 / (x * x);
  factor[i] = f;
  slope[i] = (-2 * f * dx) / x;
};

const laminarTo = 2000;
const turbulentFrom = 4000;

/**
 * Colebrook and White: x = −2 log10(ε/3.7D + 2.51·x/Re) with x = 1/√f, solved to machine precision.
 * F(x) = x + 2 log10(a + b·x) is nearly straight, so that an explicit start and two corrections of the fourth order
 * (Householder) suffice over Re ≥ 4000 and ε/D ≤ 1: the start errs by less than 1 in x, the first correction leaves
 * less than 1e-4, the second less than the spacing of numbers. Nothing is kept between calls: equal input, equal bits.
 */
const colebrook: FrictionLaw = {
  laminarTo,
  turbulentFrom,
  prepare: nikuradse,
  turbulent(points) {
    for (let i = 0; i < points.reynolds.length; i++) {
      if (points.reynolds[i] < laminarTo) continue;
      const reynolds = Math.max(points.reynolds[i], turbulentFrom);
      const a = points.rough[i];
      const b = 2.51 / reynolds;
      let x = -perLog * Math.log(a + 6.5 * b);
      for (let correction = 0; correction < 2; correction++) {
        const y = a + b * x;
        const s = (perLog * b) / y;
        const u = (x + perLog * Math.log(y)) / (1 + s);
        // F″ = −s²/c and F‴ = 2s³/c² with c = 2/ln 10, each over F′ = 1 + s.
        const t = (s * s) / (perLog * (1 + s));
        x -= (u * (1 + 0.5 * u * t)) / (1 + u * t + (u * u * t * s) / (3 * perLog));
      }
      const s = (perLog * b) / (a + b * x);
      write(points, i, x, (x * s) / ((1 + s) * reynolds));
    }
  },
};

const haaland: FrictionLaw = {
  laminarTo,
  turbulentFrom,
  prepare: (relativeRoughness) => nikuradse(relativeRoughness) ** 1.11,
  turbulent(points) {
    for (let i = 0; i < points.reynolds.length; i++) {
      if (points.reynolds[i] < laminarTo) continue;
      const reynolds = Math.max(points.reynolds[i], turbulentFrom);
      const y = points.rough[i] + 6.9 / reynolds;
      write(points, i, -0.9 * perLog * Math.log(y), (0.9 * perLog * 6.9) / (reynolds * reynolds * y));
    }
  },
};

const swameeJain: FrictionLaw = {
  laminarTo,
  turbulentFrom,
  prepare: nikuradse,
  turbulent(points) {
    for (let i = 0; i < points.reynolds.length; i++) {
      if (points.reynolds[i] < laminarTo) continue;
      const reynolds = Math.max(points.reynolds[i], turbulentFrom);
      const r = 5.74 / reynolds ** 0.9;
      const y = points.rough[i] + r;
      write(points, i, -perLog * Math.log(y), (perLog * 0.9 * r) / (reynolds * y));
    }
  },
};

const serghides: FrictionLaw = {
  laminarTo,
  turbulentFrom,
  prepare: nikuradse,
  turbulent(points) {
    for (let i = 0; i < points.reynolds.length; i++) {
      if (points.reynolds[i] < laminarTo) continue;
      const reynolds = Math.max(points.reynolds[i], turbulentFrom);
      const a = points.rough[i];
      const k = 2.51 / reynolds;
      const y0 = a + 12 / reynolds;
      const x0 = -perLog * Math.log(y0);
      const d0 = (perLog * 12) / (reynolds * reynolds * y0);
      const y1 = a + k * x0;
      const x1 = -perLog * Math.log(y1);
      const d1 = (-perLog * k * (d0 - x0 / reynolds)) / y1;
      const y2 = a + k * x1;
      const x2 = -perLog * Math.log(y2);
      const d2 = (-perLog * k * (d1 - x1 / reynolds)) / y2;
      const u = x1 - x0;
      const w = x2 - 2 * x1 + x0;
      // Fully rough: the three steps coincide and Steffensen's quotient would be 0/0.
      const ratio = w === 0 ? 0 : u / w;
      if (w === 0) write(points, i, x2, d2);
      else write(points, i, x0 - u * ratio, d0 - ratio * (2 * (d1 - d0) - ratio * (d2 - 2 * d1 + d0)));
    }
  },
};

/** Up to here Churchill's form equals 64/Re to the last digit, and its powers would overflow as Re goes to 0. */
const alwaysLaminar = 100;

const churchill: FrictionLaw = {
  laminarTo: alwaysLaminar,
  turbulentFrom: alwaysLaminar,
  prepare: (relativeRoughness) => 0.27 * relativeRoughness,
  turbulent({ reynolds, rough, factor, slope }) {
    for (let i = 0; i < reynolds.length; i++) {
      if (reynolds[i] < alwaysLaminar) continue;
      const inverse = 1 / reynolds[i];
      const r = Math.exp(0.9 * Math.log(7 * inverse));
      const z = r + rough[i];
      const root = -2.457 * Math.log(z);
      const overRoot = 1 / (root * z);
      // Shares of the transitional and of the laminar term: B = d·A with d = t¹⁶, (8/Re)¹² = e·(A + B)^−1.5.
      const t = 37530 * inverse * overRoot * z;
      const y = 8 * root * root * inverse;
      if (t < 0.56 && y < 0.46) {
        // Both are below 1e-4, and their roots are series to the last digit: the twelfth root costs nothing.
        let d = t * t;
        d *= d;
        d *= d;
        d *= d;
        let e = y * y * y;
        e *= e;
        e = e * e * (1 + 1.5 * d * (1 + 0.25 * d));
        const fall = 1 - d * (1 / 8 - d * (9 / 128 - d * (51 / 1024)));
        const rise = 1 + e * (1 / 12 - e * (11 / 288 - e * (253 / 10_368)));
        const smooth = overRoot * z;
        const f = 8 * smooth * smooth * fall * rise;
        factor[i] = f;
        slope[i] = (-f * inverse * (e * (1 + d) + 2 * (2.457 * 0.9 * r * overRoot - d))) / ((1 + e) * (1 + d));
        continue;
      }
      const viscous = 8 * inverse;
      let laminar = viscous * viscous * viscous;
      laminar *= laminar;
      laminar *= laminar;
      let a = root * root;
      a *= a;
      a *= a;
      a *= a;
      let b = 37530 * inverse;
      b *= b;
      b *= b;
      b *= b;
      b *= b;
      const sum = a + b;
      const turbulent = 1 / (sum * Math.sqrt(sum));
      const w = laminar + turbulent;
      const f = 8 * Math.cbrt(Math.sqrt(Math.sqrt(w)));
      const slopeOfA = 16 * a * 2.457 * 0.9 * r * inverse * overRoot;
      const slopeOfB = -16 * b * inverse;
      factor[i] = f;
      slope[i] = (f / (12 * w)) * (-12 * laminar * inverse - (1.5 * turbulent * (slopeOfA + slopeOfB)) / sum);
    }
  },
};

/** The friction laws by name. */
export const frictionLaws: Readonly<Record<FrictionLawName, FrictionLaw>> = {
  colebrook,
  haaland,
  "swamee-jain": swameeJain,
  serghides,
  churchill,
};

/** Where the friction laws come from. */
export const frictionSources: Readonly<Record<FrictionLawName, Source>> = {
  colebrook: {
    author: "Colebrook",
    title: "Turbulent flow in pipes, J. Inst. Civ. Eng. 11",
    year: 1939,
    where: "constants 3.7 and 2.51",
    status: "read",
  },
  haaland: {
    author: "Haaland",
    title: "Simple and explicit formulas for the friction factor in turbulent pipe flow, J. Fluids Eng. 105",
    year: 1983,
    status: "read",
  },
  "swamee-jain": {
    author: "Swamee and Jain",
    title: "Explicit equations for pipe-flow problems, J. Hydraul. Div. 102",
    year: 1976,
    status: "read",
  },
  serghides: {
    author: "Serghides",
    title: "Estimate friction factor accurately, Chem. Eng. 91(5)",
    year: 1984,
    where: "the form of three steps",
    status: "library",
  },
  churchill: {
    author: "Churchill",
    title: "Friction-factor equation spans all fluid-flow regimes, Chem. Eng. 84(24)",
    year: 1977,
    status: "library",
  },
};

/** Where 64/Re comes from. */
export const laminarSource: Source = {
  author: "Hagen and Poiseuille",
  title: "laminar flow in round pipes",
  where: "f = 64/Re",
  status: "read",
};

/** Where `bridge` comes from. */
export const bridgeSource: Source = {
  author: "this library",
  title: "cubic between laminar and turbulent friction",
  where: "meets both in value and slope at Re 2000 and 4000; real flow is unsettled there",
  status: "computed",
};

const bridgeWidth = 2000;
const laminarFactor = 64 / 2000;
const laminarSlope = -64 / 2000 ** 2;

/**
 * Turns f and df/dRe at Re 4000, which stand at a point, into those at its Reynolds number between 2000 and 4000: the
 * cubic in Re that meets 64/Re at 2000 and the turbulent law at 4000 in value and slope. Real flow is unsettled there.
 */
export const bridge = ({ reynolds, factor, slope }: FrictionPoints, i: number): void => {
  const t = (reynolds[i] - 2000) / bridgeWidth;
  const rise = factor[i] - laminarFactor;
  const m0 = laminarSlope * bridgeWidth;
  const m1 = slope[i] * bridgeWidth;
  const c2 = 3 * rise - 2 * m0 - m1;
  const c3 = m0 + m1 - 2 * rise;
  factor[i] = laminarFactor + t * (m0 + t * (c2 + t * c3));
  slope[i] = (m0 + t * (2 * c2 + 3 * t * c3)) / bridgeWidth;
};

/** Where `factorBy` lets a law work: overwritten each time. */
const point = frictionPoints(1);

/** The factor of a law at one Reynolds number above 0, arguments trusted. */
export const factorBy = (law: FrictionLaw, reynolds: number, prepared: number): number => {
  if (reynolds <= law.laminarTo) return 64 / reynolds;
  point.reynolds[0] = reynolds;
  point.rough[0] = prepared;
  law.turbulent(point);
  if (reynolds < law.turbulentFrom) bridge(point, 0);
  return point.factor[0];
};
