import type { Source } from "../../core/sources.js";
import { degrees } from "../degrees.js";
import { addLostPower } from "./energy.js";
import { requireTee, type TeeGeometry } from "./geometry.js";
import { blend, blendSlope } from "./model.js";
import { teeModels } from "./models.js";

/** The pressure drops of a tee, as a function of the flows into its straight legs. */
export interface TeeLaw {
  readonly geometry: TeeGeometry;
  /**
   * Writes F_a, F_b [(kg/s)²] and ∂F_a/∂a, ∂F_a/∂b, ∂F_b/∂a, ∂F_b/∂b [kg/s] into `out`, where the total pressure at port a
   * less that at the branch port is F_a/(2ρA²), with the main's area A, and F_b the same of port b. F is homogeneous of
   * degree 2 and continuous; where a leg's flow passes zero its slope may jump, and one of the two slopes is given.
   *
   * @param a - Mass flow into the tee by leg a [kg/s]; negative where the air leaves.
   * @param b - The same by leg b [kg/s]. The branch brings −(a + b).
   * @param out - Six numbers.
   */
  evaluate(a: number, b: number, out: Float64Array): void;
  /**
   * The loss in F_a and F_b that both paths of the air have beyond the forms, because these would give power to the air
   * [(kg/s)²]; 0 where nothing is added.
   *
   * @param a - As of `evaluate`.
   * @param b - As of `evaluate`.
   */
  added(a: number, b: number): number;
}

/** The source of the cones that join smaller straight legs. */
export const teeConeSource: Source = {
  author: "Crane",
  title: "Flow of Fluids Through Valves, Fittings and Pipe",
  where: "conical changes of section of 30°: 2.6 sin(α/2)(1 − b)² widening, 0.8 sin(α/2)(1 − b) narrowing",
  status: "library",
};

const sin15: number = /* @__PURE__ */ Math.sin(/* @__PURE__ */ degrees(15));

/**
 * Factors [-] on a leg's flow squared of the conical transition, of 30° included angle, that joins a leg smaller than the
 * main: of air that comes to the main, and of air that leaves it.
 */
const transition = (areaLeg: number, areaMain: number): readonly [widening: number, narrowing: number] => {
  const b = areaLeg / areaMain;
  return [(2.6 * sin15 * (1 - b) ** 2) / (b * b), (0.8 * sin15 * (1 - b)) / (b * b)];
};

/**
 * The total-pressure differences across a tee or wye at any flows: through all six flow patterns and every reversal.
 *
 * While one straight leg brings air and the other takes it, they are the published coefficients of the model, on the
 * velocity pressure of the summed flow in the main. Where the branch carries the sum no form is published: by the share s
 * of leg b in the sum, each difference goes from its published value at s = 0 to that at s = 1 with the weight s²(3 − 2s).
 * Where these forms would give power to the air, summed over the legs, both paths lose so much more that they take none.
 * A straight leg smaller than the main adds the loss of a conical transition of 30° on its own velocity pressure; that
 * loss is never negative and stands outside of this.
 *
 * @param geometry - Areas [m²], angle [rad], edge radius [-] and model.
 * @returns The law. It covers area ratios A_branch/A_main up to 1.2 and angles 20° to 160°; what the model's source covers
 *   is less: see `describeTee`.
 * @throws InputError `tee.geometry`, `unknown-model`, with all that is wrong at once.
 *
 * Source: `teeModels`; transitions: the conical form 2.6 sin(α/2)(1 − b)² and 0.8 sin(α/2)(1 − b) of Crane (library).
 * @example
 * const law = teeLaw({
 *   areaMain: 0.02, areaBranch: 0.01, areaA: 0.02, areaB: 0.02, angle: Math.PI / 2, edgeRadius: 0, model: "gardel",
 * });
 * const out = new Float64Array(6);
 * law.evaluate(0.12, -0.08, out);
 * const fromAToBranch = out[0] / (2 * 1.2 * 0.02 ** 2); // Pa
 */
export const teeLaw = (geometry: TeeGeometry): TeeLaw => {
  requireTee(geometry);
  const { areaMain, areaBranch, areaA, areaB, angle, edgeRadius } = geometry;
  const straightFlow = teeModels[geometry.model].straightFlow({ angle, areaRatio: areaBranch / areaMain, edgeRadius });
  const [widensA, narrowsA] = transition(areaA, areaMain);
  const [widensB, narrowsB] = transition(areaB, areaMain);

  const scratch = new Float64Array(6);
  /** Both differences where one straight leg has the whole of a unit sum. */
  const atEdge = (a: number, b: number): readonly [number, number] => {
    straightFlow(a, b, scratch);
    addLostPower(a, b, scratch);
    return [scratch[0], scratch[1]];
  };
  // By the share of leg b: 0 in the first two, 1 in the others.
  const [convergeA0, convergeB0] = atEdge(1, 0);
  const [convergeA1, convergeB1] = atEdge(0, 1);
  const [divergeA0, divergeB0] = atEdge(-1, 0);
  const [divergeA1, divergeB1] = atEdge(0, -1);

  const branchCarriesSum = (a: number, b: number, out: Float64Array): void => {
    const sum = a + b;
    const share = b / sum;
    const w = blend(share);
    const slope = blendSlope(share);
    const converges = sum > 0;
    const startA = converges ? convergeA0 : divergeA0;
    const startB = converges ? convergeB0 : divergeB0;
    const gapA = (converges ? convergeA1 : divergeA1) - startA;
    const gapB = (converges ? convergeB1 : divergeB1) - startB;
    const valueA = startA + w * gapA;
    const valueB = startB + w * gapB;
    out[0] = sum * sum * valueA;
    out[1] = sum * sum * valueB;
    out[2] = 2 * sum * valueA - b * slope * gapA;
    out[3] = 2 * sum * valueA + a * slope * gapA;
    out[4] = 2 * sum * valueB - b * slope * gapB;
    out[5] = 2 * sum * valueB + a * slope * gapB;
  };

  /** Writes the losses of a main of one section, and returns what is added to the forms. */
  const mainOfOneSection = (a: number, b: number, out: Float64Array): number => {
    if ((a > 0 && b > 0) || (a < 0 && b < 0)) branchCarriesSum(a, b, out);
    else straightFlow(a, b, out);
    return addLostPower(a, b, out);
  };

  return {
    geometry,
    added: (a, b) => mainOfOneSection(a, b, scratch),
    evaluate: (a, b, out) => {
      mainOfOneSection(a, b, out);
      const byA = a > 0 ? widensA * a : -narrowsA * a;
      const byB = b > 0 ? widensB * b : -narrowsB * b;
      out[0] += byA * a;
      out[1] += byB * b;
      out[2] += 2 * byA;
      out[5] += 2 * byB;
    },
  };
};
