import { readObject, requireKeys } from "../../core/keys.js";
import { unknownName } from "../../core/nearest.js";
import { requireRange } from "../../core/ranges.js";
import type { Source } from "../../core/sources.js";
import type { Outside } from "../fitting.js";
import { outsideTee } from "./geometry.js";
import { teeLaw } from "./law.js";
import type { TeeModelName, TeeSpread } from "./model.js";
import { teeModels } from "./models.js";

/** A tee whose straight legs have the section of the main, while its branch takes or brings air. */
export interface TeeForm {
  /** Default: `gardel`. */
  readonly model?: TeeModelName;
  /** By which the branch air turns: θ of the published formulas [rad] */
  readonly angle: number;
  /** A_branch/A_main [-] */
  readonly areaRatio: number;
  /** Radius of the edge divided by the diameter of the main [-]; default 0, sharp. */
  readonly edgeRadius?: number;
}

/** The two loss coefficients of a tee and what is known of them. */
export interface TeeCoefficients {
  /** From straight leg to straight leg, on the velocity pressure of the summed flow in the main [-] */
  readonly run: number;
  /** Of the air of the branch, on the same [-] */
  readonly branch: number;
  /** Author and year. */
  readonly model: string;
  /**
   * Whether these are not the published forms as they are: diverging and converging forms, which do not meet in this model,
   * are blended at this share, or a loss is added.
   */
  readonly bridged: boolean;
  /**
   * In both coefficients beyond the forms, because these would give power to the air: share·branch + (1 − share)·run would
   * be negative [-]. 0 where nothing is added.
   */
  readonly added: number;
  readonly withinRange: boolean;
  readonly outside: readonly Outside[];
  readonly spread: TeeSpread;
  readonly sources: readonly Source[];
}

/**
 * The loss coefficients of a single tee or wye, as a network uses them.
 *
 * @param form - Angle [rad], by which the branch air turns, 20° to 160°; area ratio A_branch/A_main [-], up to 1.2; edge
 *   radius over the diameter of the main [-], 0 to 0.12; model.
 * @param flowShare - Branch flow over summed flow [-], 0 to 1.
 * @param pattern - Whether the branch takes air from the main or brings air to it.
 * @returns Total-pressure losses over ½ρv² of the summed flow in the main [-]; a negative one is a gain. Where the two
 *   together would give power to the air, `added` stands in both. What lies outside of what the model's source covers is
 *   computed all the same and listed.
 * @throws InputError `out-of-range` for the share, `unknown-pattern`, `unknown-model`, `tee.geometry`; `not-an-object` and `unknown-key`
 *   for the form.
 *
 * Source: the model's own, in `sources`.
 * @example teeCoefficients({ angle: Math.PI / 2, areaRatio: 0.6 }, 0.3, "diverging"); // run 0.0042, branch 0.87…
 */
export function teeCoefficients(
  form: TeeForm,
  flowShare: number,
  pattern: "diverging" | "converging",
): TeeCoefficients {
  const given = readObject("form", form);
  requireKeys("form", given, ["model", "angle", "areaRatio", "edgeRadius"]);
  const { model = "gardel", angle, areaRatio, edgeRadius = 0 } = given;
  requireRange("areaRatio", areaRatio, { above: 0, max: 1.2 });
  requireRange("flowShare", flowShare, { min: 0, max: 1 });
  if (pattern !== "diverging" && pattern !== "converging") {
    throw unknownName("pattern", "pattern", pattern, ["diverging", "converging"]);
  }
  const geometry = { areaMain: 1, areaBranch: areaRatio, areaA: 1, areaB: 1, angle, edgeRadius, model };
  const law = teeLaw(geometry);
  const out = new Float64Array(6);
  // Leg a has the summed flow, so that the branch air turns by `angle` both ways.
  const diverges = pattern === "diverging";
  const [a, b] = diverges ? [1, flowShare - 1] : [-1, 1 - flowShare];
  law.evaluate(a, b, out);
  const added = law.added(a, b);
  const outside = outsideTee(geometry, [angle]);
  const { title, spread, sources, blended } = teeModels[model];
  return {
    run: diverges ? out[0] - out[1] : out[1] - out[0],
    branch: diverges ? out[0] : -out[0],
    model: title,
    bridged: flowShare < blended || added > 0,
    added,
    withinRange: outside.length === 0,
    outside,
    spread,
    sources,
  };
}
