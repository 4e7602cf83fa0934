import { requireRange } from "../../core/ranges.js";
import type { Outside } from "../fitting.js";
import { outsideTee } from "./geometry.js";
import { type TeeLaw, teeLaw } from "./law.js";
import type { TeeModelName } from "./model.js";
import { teeModels } from "./models.js";

/** Which way the air goes through a tee. */
export type TeePattern =
  | "no flow"
  | "a diverges into b and branch"
  | "b diverges into a and branch"
  | "a and branch converge into b"
  | "b and branch converge into a"
  | "a and b converge into branch"
  | "branch diverges into a and b";

/** A leg of a tee. */
export type TeeLeg = "a" | "b" | "branch";

/** Pressure drop from leg to leg. */
export interface TeePath {
  readonly from: TeeLeg;
  readonly to: TeeLeg;
  /** Total pressure lost over `velocityPressure` [-] */
  readonly coefficient: number;
  /** Total pressure lost, transitions to smaller legs included [Pa]; negative where other air gives it energy. */
  readonly loss: number;
}

/** The pressure drops of a tee at given flows. */
export interface TeeLosses {
  readonly pattern: TeePattern;
  readonly model: TeeModelName;
  /**
   * Whether values are not from a published form as it is: the branch carries the sum, forms that do not meet are
   * blended, or a loss is added.
   */
  readonly bridged: boolean;
  /**
   * Loss that both paths have beyond the forms, over `velocityPressure`, because these would give power to the air [-]; 0
   * where nothing is added.
   */
  readonly added: number;
  /** Whether all lies within what the model's source covers. */
  readonly withinRange: boolean;
  /** What does not. */
  readonly outside: readonly Outside[];
  /** Of the summed flow in the main [Pa] */
  readonly velocityPressure: number;
  /** From each leg that air comes from to each that it goes to. */
  readonly paths: readonly TeePath[];
  /** Of the branch air [rad]; absent where the branch carries the sum, since each part of it turns its own way. */
  readonly turn?: number;
  /** Where the branch air turns by more than 100°: its coefficient [-] in the same tee the right way round. */
  readonly againstFlow?: number;
}

/** From this turn on a tee is the wrong way round [rad]. */
const against = (100 * Math.PI) / 180;

/** Paths, those with the branch's coefficient of the published forms first, and which way round the branch air turns. */
const patterns: Readonly<
  Record<TeePattern, { readonly paths: readonly (readonly [TeeLeg, TeeLeg])[]; readonly turns: readonly ("a" | "b")[] }>
> = {
  "no flow": { paths: [], turns: [] },
  "a diverges into b and branch": {
    paths: [
      ["a", "branch"],
      ["a", "b"],
    ],
    turns: ["a"],
  },
  "b diverges into a and branch": {
    paths: [
      ["b", "branch"],
      ["b", "a"],
    ],
    turns: ["b"],
  },
  "a and branch converge into b": {
    paths: [
      ["branch", "b"],
      ["a", "b"],
    ],
    turns: ["b"],
  },
  "b and branch converge into a": {
    paths: [
      ["branch", "a"],
      ["b", "a"],
    ],
    turns: ["a"],
  },
  "a and b converge into branch": {
    paths: [
      ["a", "branch"],
      ["b", "branch"],
    ],
    turns: ["a", "b"],
  },
  "branch diverges into a and b": {
    paths: [
      ["branch", "a"],
      ["branch", "b"],
    ],
    turns: ["a", "b"],
  },
};

const patternOf = (a: number, b: number): TeePattern => {
  if (a === 0 && b === 0) return "no flow";
  if (a > 0 && b > 0) return "a and b converge into branch";
  if (a < 0 && b < 0) return "branch diverges into a and b";
  if (a > b) return a + b >= 0 ? "a diverges into b and branch" : "a and branch converge into b";
  return a + b >= 0 ? "b diverges into a and branch" : "b and branch converge into a";
};

const out = new Float64Array(6);

/** The coefficients of paths at leg flows, the largest of them 1. */
const coefficients = (law: TeeLaw, a: number, b: number, paths: readonly (readonly [TeeLeg, TeeLeg])[]): number[] => {
  law.evaluate(a, b, out);
  const above = { a: out[0], b: out[1], branch: 0 };
  return paths.map(([from, to]) => above[from] - above[to]);
};

/**
 * The pressure drops of a tee at given flows, for people.
 *
 * @param law - From `teeLaw`.
 * @param a - Mass flow into the tee by leg a [kg/s]; negative where the air leaves.
 * @param b - The same by leg b [kg/s]. The branch brings −(a + b).
 * @param density - Of the air [kg/m³]
 * @returns The flow pattern, the model, whether it covers the case and is bridged, what is added [-], and for each path
 *   that air takes the coefficient [-] and the total pressure lost [Pa]. For a leg whose flow is just zero, it is the
 *   loss of its first air.
 * @throws InputError `out-of-range` for flows that are not finite or beyond 1e30 kg/s, or a density not above 0.
 *
 * Source: as `teeLaw`.
 * @example describeTee(law, 0.12, -0.08, 1.2).paths; // a to branch and a to b
 */
export const describeTee = (law: TeeLaw, a: number, b: number, density: number): TeeLosses => {
  requireRange("a", a, { min: -1e30, max: 1e30 });
  requireRange("b", b, { min: -1e30, max: 1e30 });
  requireRange("density", density, { above: 0 });
  const { geometry } = law;
  const { angle, areaMain, model } = geometry;
  const pattern = patternOf(a, b);
  const { turns, paths } = patterns[pattern];
  const turning = turns.map((leg) => (leg === "a" ? angle : Math.PI - angle));
  const flows = { a, b, branch: -(a + b) };
  const sum = Math.max(Math.abs(a), Math.abs(b), Math.abs(flows.branch));
  const velocityPressure = (sum / areaMain) ** 2 / (2 * density);
  const values = coefficients(law, a / sum, b / sum, paths);
  const added = sum > 0 ? law.added(a / sum, b / sum) : 0;
  const outside = outsideTee(geometry, turning);
  const straight = turning.length === 1;
  const wrongWay = straight && turning[0] > against && flows.branch !== 0;
  return {
    pattern,
    model,
    bridged: sum > 0 && (!straight || Math.abs(flows.branch) < teeModels[model].blended * sum || added > 0),
    added,
    withinRange: outside.length === 0,
    outside,
    velocityPressure,
    paths: paths.map(([from, to], index) => ({
      from,
      to,
      coefficient: values[index],
      loss: values[index] * velocityPressure,
    })),
    ...(straight ? { turn: turning[0] } : {}),
    ...(wrongWay
      ? { againstFlow: coefficients(teeLaw({ ...geometry, angle: Math.PI - angle }), a / sum, b / sum, paths)[0] }
      : {}),
  };
};
