import { degrees } from "../degrees.js";
import type { TeeModel } from "./model.js";
import { type QuadraticForms, quadraticFlow } from "./quadratic.js";

const diverging = (turn: number, a: number): QuadraticForms => ({
  run: { straight: 0, mixed: -0.5, branch: 0.5 },
  branch: {
    straight: 1,
    mixed: 2 - (2 * Math.cos(0.75 * turn)) / a,
    branch: 1 + 1 / (a * a) - (2 * Math.cos(0.75 * turn)) / a,
  },
});

const converging = (turn: number, a: number): QuadraticForms => {
  const cosine = (2 * Math.cos(turn)) / a;
  return {
    run: { straight: 0, mixed: 2, branch: 1 - cosine },
    branch: { straight: -1, mixed: 2, branch: 1 + 1 / (a * a) - cosine },
  };
};

/**
 * Control volumes without a wall-pressure correction. The published diverging run x² − 1.5x + 0.5 and branch
 * 1 + v² − 2v cos(3θ/4), and the converging forms of plain momentum, are quadratic in the flow share and meet where the
 * branch flow is zero. Edges are sharp.
 */
export const momentum: TeeModel = {
  name: "momentum",
  title: "momentum, Hager 1984 and Bassett 2001",
  sources: [
    {
      author: "Bassett, Winterbone and Pearson",
      title: "Calculation of steady flow pressure loss coefficients for pipe junctions, Proc. IMechE C 215",
      year: 2001,
      where: "pages 861–881: diverging flow; angles and area ratios covered",
      status: "memory",
    },
    {
      author: "Hager",
      title: "An approximate treatment of flow in branches and bends, Proc. IMechE C 198",
      year: 1984,
      where: "diverging branch, 3/4 of the angle",
      status: "memory",
    },
    { author: "ductgraph", title: "momentum along the main, for converging flow", status: "computed" },
  ],
  spread: { family: "tees", shared: 0.3, own: 0.3, least: 0.5 },
  covered: {
    turn: { min: /* @__PURE__ */ degrees(30), max: /* @__PURE__ */ degrees(150) },
    areaRatio: { min: 0.2, max: 1 },
    edgeRadius: { min: 0, max: 0 },
  },
  blended: 0,
  straightFlow: (shape) => quadraticFlow(diverging, converging, shape),
};
