import { unknownName } from "../core/nearest.js";
import { requireRange } from "../core/ranges.js";

/** The friction laws, by the names of their authors. */
export type FrictionLawName = "colebrook" | "haaland" | "swamee-jain" | "serghides" | "churchill";

/** Value and slope of a friction factor, written by a law into memory of the caller so that nothing is allocated. */
export interface FrictionPoint {
  /** Darcy friction factor f [-]. */
  factor: number;
  /** df/dRe [-]. */
  slope: number;
}

/**
 * A friction law in the form that a solver evaluates: what depends on the roughness alone is prepared once.
 * Up to `laminarTo` the law is 64/Re, from `turbulentFrom` it is `turbulent`; between them the cubic of `bridge`.
 */
export interface FrictionLaw {
  readonly laminarTo: number;
  readonly turbulentFrom: number;
  /** The term of the formula that depends on the relative roughness ε/D alone. */
  prepare(relativeRoughness: number): number;
  /** Writes f and df/dRe at a turbulent Reynolds number; `prepared` is what `prepare` returned. */
  turbulent(reynolds: number, prepared: number, out: FrictionPoint): void;
}

const ln10 = Math.LN10;
/** 2·log10(x) = perLog·ln(x). */
const perLog = 2 / ln10;
const nikuradse = (relativeRoughness: number): number => relativeRoughness / 3.7;

/** f = x⁻² and its slope from x = 1/√f and dx/dRe. */
const fromInverseRoot = (x: number, dx: number, out: FrictionPoint): void => {
  const factor = 1 / (x * x);
  out.factor = factor;
  out.slope = (-2 * factor * dx) / x;
};

/**
 * Colebrook and White: x = −2 log10(ε/3.7D + 2.51·x/Re) with x = 1/√f, solved to machine precision.
 * F(x) = x + 2 log10(a + b·x) is nearly straight, so that an explicit start and two corrections of the fourth order
 * (Householder) suffice over Re ≥ 4000 and ε/D ≤ 1: the start errs by less than 1 in x, the first correction leaves
 * less than 1e-4, the second less than the spacing of numbers. No memory between calls: equal input, equal bits.
 */
const colebrook: FrictionLaw = {
  laminarTo: 2000,
  turbulentFrom: 4000,
  prepare: nikuradse,
  turbulent(reynolds, a, out) {
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
    fromInverseRoot(x, (x * s) / ((1 + s) * reynolds), out);
  },
};

const haaland: FrictionLaw = {
  laminarTo: 2000,
  turbulentFrom: 4000,
  prepare: (relativeRoughness) => nikuradse(relativeRoughness) ** 1.11,
  turbulent(reynolds, a, out) {
    const y = a + 6.9 / reynolds;
    const x = -0.9 * perLog * Math.log(y);
    fromInverseRoot(x, (0.9 * perLog * 6.9) / (reynolds * reynolds * y), out);
  },
};

const swameeJain: FrictionLaw = {
  laminarTo: 2000,
  turbulentFrom: 4000,
  prepare: nikuradse,
  turbulent(reynolds, a, out) {
    const r = 5.74 / reynolds ** 0.9;
    const x = -perLog * Math.log(a + r);
    fromInverseRoot(x, (perLog * 0.9 * r) / (reynolds * (a + r)), out);
  },
};

const serghides: FrictionLaw = {
  laminarTo: 2000,
  turbulentFrom: 4000,
  prepare: nikuradse,
  turbulent(reynolds, a, out) {
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
    if (w === 0) return fromInverseRoot(x2, d2, out);
    const ratio = u / w;
    fromInverseRoot(x0 - u * ratio, d0 - ratio * (2 * (d1 - d0) - ratio * (d2 - 2 * d1 + d0)), out);
  },
};

const churchill: FrictionLaw = {
  // Below Re 100 the form equals 64/Re to the last digit, and its powers would overflow as Re goes to 0.
  laminarTo: 100,
  turbulentFrom: 100,
  prepare: (relativeRoughness) => 0.27 * relativeRoughness,
  turbulent(reynolds, rough, out) {
    const inverse = 1 / reynolds;
    const r = Math.exp(0.9 * Math.log(7 * inverse));
    const z = r + rough;
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
      out.factor = 8 * smooth * smooth * fall * rise;
      const steep = e * (1 + d) + 2 * (2.457 * 0.9 * r * overRoot - d);
      out.slope = (-out.factor * inverse * steep) / ((1 + e) * (1 + d));
      return;
    }
    const square = root * root;
    const viscous = 8 * inverse;
    let laminar = viscous * viscous * viscous;
    laminar *= laminar;
    laminar *= laminar;
    let a = square * square;
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
    const factor = 8 * Math.cbrt(Math.sqrt(Math.sqrt(w)));
    const slopeOfA = 16 * a * 2.457 * 0.9 * r * inverse * overRoot;
    const slopeOfB = -16 * b * inverse;
    out.factor = factor;
    out.slope = (factor / (12 * w)) * (-12 * laminar * inverse - (1.5 * turbulent * (slopeOfA + slopeOfB)) / sum);
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

const bridgeStart = { factor: 64 / 2000, slope: -64 / 2000 ** 2 };
const bridgeWidth = 2000;

/**
 * f and df/dRe between Re 2000 and 4000: the cubic in Re that meets 64/Re at 2000 and the turbulent law at 4000 in
 * value and slope. Real flow is unsettled there.
 */
export const bridge = (reynolds: number, end: Readonly<FrictionPoint>, out: FrictionPoint): void => {
  const t = (reynolds - 2000) / bridgeWidth;
  const rise = end.factor - bridgeStart.factor;
  const m0 = bridgeStart.slope * bridgeWidth;
  const m1 = end.slope * bridgeWidth;
  const c2 = 3 * rise - 2 * m0 - m1;
  const c3 = m0 + m1 - 2 * rise;
  out.factor = bridgeStart.factor + t * (m0 + t * (c2 + t * c3));
  out.slope = (m0 + t * (2 * c2 + 3 * t * c3)) / bridgeWidth;
};

/**
 * Darcy friction factor f of a full duct: Δp = f·(L/D)·½ρv².
 *
 * `colebrook` is the root of the Colebrook–White formula to machine precision; `haaland`, `swamee-jain` and
 * `serghides` are explicit approximations of it (within about 1.5 %, 3.4 % and 0.004 %). These four are 64/Re up to
 * Re 2000 and a cubic between Re 2000 and 4000 that keeps value and slope continuous; real flow there is unsettled,
 * ±30 %. `churchill` is one form over all Reynolds numbers.
 *
 * @param reynolds - Reynolds number v·D/ν [-], above 0 and at most 1e9.
 * @param relativeRoughness - ε/D [-], 0 to 1; the formulas were fitted up to about 0.05.
 * @param law - The friction law; default `colebrook`.
 * @returns Darcy friction factor [-] (four times the Fanning factor).
 * @throws InputError `out-of-range` when an argument is outside its range, `unknown-law`.
 *
 * Sources: Colebrook, J. Inst. Civ. Eng. 11 (1939); Haaland, J. Fluids Eng. 105 (1983); Swamee and Jain, J. Hydraul.
 * Div. 102 (1976); Serghides, Chem. Eng. 91(5) (1984); Churchill, Chem. Eng. 84(24) (1977); laminar: Hagen–Poiseuille.
 * @example frictionFactor(30_000, 0.00072); // 0.02531710
 */
export function frictionFactor(
  reynolds: number,
  relativeRoughness: number,
  law: FrictionLawName = "colebrook",
): number {
  requireRange("reynolds", reynolds, { above: 0, max: 1e9 });
  requireRange("relativeRoughness", relativeRoughness, { min: 0, max: 1 });
  return factorBy(requireLaw(law), reynolds, relativeRoughness);
}

const requireLaw = (name: FrictionLawName): FrictionLaw => {
  if (Object.hasOwn(frictionLaws, name)) return frictionLaws[name];
  throw unknownName("law", "law", name, Object.keys(frictionLaws));
};

/** The factor of any law at any Reynolds number above 0, arguments trusted. */
const factorBy = (law: FrictionLaw, reynolds: number, relativeRoughness: number): number => {
  if (reynolds <= law.laminarTo) return 64 / reynolds;
  const out = { factor: 0, slope: 0 };
  const prepared = law.prepare(relativeRoughness);
  law.turbulent(Math.max(reynolds, law.turbulentFrom), prepared, out);
  if (reynolds < law.turbulentFrom) bridge(reynolds, { ...out }, out);
  return out.factor;
};
