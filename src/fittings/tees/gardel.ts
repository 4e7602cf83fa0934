import { degrees } from "../degrees.js";
import type { TeeModel } from "./model.js";
import { type QuadraticForms, quadraticFlow } from "./quadratic.js";

const diverging = (turn: number, a: number, r: number): QuadraticForms => {
  const half = Math.tan(turn / 2);
  // Below a tenth of the main's area the published factor of a rounded edge would pass zero.
  const rounded = Math.max(0, 1 - 0.9 * Math.sqrt(r / a));
  return {
    run: { straight: 0.03, mixed: -0.2, branch: 0.35 },
    branch: {
      straight: 0.95,
      mixed: (0.4 * (1 + a) * half) / a,
      branch: (1.3 * half - 0.3 + (0.4 - 0.1 * a) / (a * a)) * rounded,
    },
  };
};

const converging = (turn: number, a: number, r: number): QuadraticForms => {
  const cosine = Math.cos(turn) / a;
  const root = Math.sqrt(r);
  return {
    run: {
      straight: 0.03,
      mixed: 2 - a,
      branch: -(1 + (1.62 - root) * (cosine - 1) - 0.38 * (1 - a)),
    },
    branch: {
      straight: -0.92,
      mixed: 2 - a,
      branch: -((1.2 - root) * (cosine - 1) + 0.8 * (1 - 1 / (a * a)) - (1 - a) * cosine),
    },
  };
};

/** Fitted to measurements of round tees with sharp and with rounded edges; the forms meet where the branch flow is zero. */
export const gardel: TeeModel = {
  name: "gardel",
  title: "Gardel 1957",
  sources: [
    {
      author: "Gardel",
      title:
        "Les pertes de charge dans les écoulements au travers de branchements en té, Bulletin technique de la Suisse romande 83",
      year: 1957,
      where: "nos 9 and 10: diverging and converging, run and branch",
      status: "memory",
    },
  ],
  spread: { family: "tees", shared: 0.3, own: 0.2, least: 0.5 },
  covered: {
    turn: { min: /* @__PURE__ */ degrees(45), max: /* @__PURE__ */ degrees(135) },
    areaRatio: { min: 0.4, max: 1 },
    edgeRadius: { min: 0, max: 0.12 },
  },
  blended: 0,
  straightFlow: (shape) => quadraticFlow(diverging, converging, shape),
};
