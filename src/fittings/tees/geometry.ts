import { InputError, problemOf } from "../../core/errors.js";
import { unknownName } from "../../core/nearest.js";
import { isWithin, type Range, rangeText } from "../../core/ranges.js";
import { shown } from "../../core/show.js";
import { degree, degrees } from "../degrees.js";
import type { GeometryFault, Outside } from "../fitting.js";
import type { TeeModelName } from "./model.js";
import { teeModels } from "./models.js";

/** A tee or wye: a straight main from a to b, and a branch that leaves it. */
export interface TeeGeometry {
  /** Of the main, to which coefficients refer [m²] */
  readonly areaMain: number;
  /** Of the branch leg, all its parallel runs together [m²] */
  readonly areaBranch: number;
  /** Of leg a, at most the main's [m²] */
  readonly areaA: number;
  /** Of leg b, at most the main's [m²] */
  readonly areaB: number;
  /** Between the branch leg and leg b, seen from the middle [rad] */
  readonly angle: number;
  /** Radius of the edge between main and branch over the diameter of the main [-] */
  readonly edgeRadius: number;
  readonly model: TeeModelName;
}

/** What rounding may add to an angle, so that a tee and its mirror image are judged alike. */
const slack = 1e-9;

const widened = ({ min, max, above }: Range): Range => ({
  ...(min === undefined ? {} : { min: min - slack }),
  ...(max === undefined ? {} : { max: max + slack }),
  ...(above === undefined ? {} : { above }),
});

const positive: Range = { above: 0, max: 1e30 };
const angles: Range = { min: /* @__PURE__ */ degrees(20), max: /* @__PURE__ */ degrees(160) };
/** Below, the branch is a hole in the main, and the forms lose their digits. */
const areaRatios: Range = { min: 0.001, max: 1.2 };
const edgeRadii: Range = { min: 0, max: 0.12 };

const areaText = (area: number): string => (typeof area === "number" ? `${area} m²` : shown(area));

/**
 * What is wrong with a tee.
 *
 * @returns For each fault the key, what was expected and what was found; empty where there is none. Areas must be above 0,
 *   a straight leg at most as large as the main, A_branch/A_main 0.001 to 1.2, the angle 20° to 160°, the edge radius 0 to
 *   0.12 of the diameter of the main.
 */
export const teeProblems = (geometry: TeeGeometry): readonly GeometryFault[] => {
  const { areaMain, areaBranch, areaA, areaB, angle, edgeRadius } = geometry;
  const faults: GeometryFault[] = [];
  const hold = (key: string, value: number, range: Range, expected: string, found: string = shown(value)): boolean => {
    const held = typeof value === "number" && isWithin(value, range);
    if (!held) faults.push({ key, expected, found });
    return held;
  };
  for (const key of ["areaMain", "areaBranch", "areaA", "areaB"] as const)
    hold(key, geometry[key], positive, "above 0 m²", areaText(geometry[key]));
  if (faults.length === 0) {
    for (const [key, area] of [
      ["areaA", areaA],
      ["areaB", areaB],
    ] as const) {
      hold(key, area, { max: areaMain }, `at most the main's ${areaText(areaMain)}`, areaText(area));
    }
    const ratio = areaBranch / areaMain;
    hold("areaBranch", ratio, areaRatios, "0.001 to 1.2 of the main's area", `${Number(ratio.toPrecision(6))} of it`);
  }
  hold(
    "angle",
    angle,
    widened(angles),
    "20° to 160°",
    typeof angle === "number" ? `${Number((angle / degree).toPrecision(6))}°` : shown(angle),
  );
  hold("edgeRadius", edgeRadius, edgeRadii, `${rangeText(edgeRadii)} of the main's diameter`);
  return faults;
};

/** Throws InputError with all that is wrong with a tee. */
export const requireTee = (geometry: TeeGeometry): void => {
  if (!Object.hasOwn(teeModels, geometry.model)) {
    throw unknownName("model", "model", geometry.model, Object.keys(teeModels));
  }
  const faults = teeProblems(geometry);
  if (faults.length === 0) return;
  throw new InputError(faults.map(({ key, expected, found }) => problemOf("tee.geometry", key, expected, found)));
};

/** What lies outside of what a tee's model covers, where branch air turns by the given angles [rad]. */
export const outsideTee = (
  { areaMain, areaBranch, edgeRadius, model }: TeeGeometry,
  turns: readonly number[],
): readonly Outside[] => {
  const { turn, areaRatio, edgeRadius: radius } = teeModels[model].covered;
  const values: readonly (readonly [what: string, value: number, range: Range])[] = [
    ["area ratio", areaBranch / areaMain, areaRatio],
    ["edge radius", edgeRadius, radius],
    ...turns.map((value) => ["turn of the branch air", value, turn] as const),
  ];
  return values
    .filter(([, value, range]) => !isWithin(value, widened(range)))
    .map(([what, value, range]) => ({ what, value, range }));
};
