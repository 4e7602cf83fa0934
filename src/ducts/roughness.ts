import { unknownName } from "../core/nearest.js";
import type { Source } from "../core/sources.js";

/** A duct surface. */
export interface RoughnessMaterial {
  /** The name that `roughnessOf` and a duct's `roughness` take. */
  readonly name: string;
  /** Absolute roughness to calculate with [m]. */
  readonly roughness: number;
  /** Smallest published value [m]. */
  readonly low: number;
  /** Largest published value [m]. */
  readonly high: number;
  readonly source: Source;
}

/** Where a class stands beside the range in this table, its value is the class's: 0.046, 0.09 or 0.9 mm. */
const ductTable: Source = Object.freeze({
  author: "ASHRAE",
  title: "Handbook: Fundamentals, duct design, duct roughness factors",
  year: 2021,
  where: "reprint at engineersedge.com; the year follows from the newest work it cites (2018)",
  status: "read",
});

const plasticPipe: Source = Object.freeze({
  ...ductTable,
  where:
    "class value and upper limit; the lower limit is 0.0015 mm at engineeringtoolbox.com, which gives 0.0015–0.007",
});

const phenolicBoard: Source = Object.freeze({
  author: "Idem and Paruchuri",
  title: "Determine the absolute roughness of phenolic duct",
  year: 2018,
  where:
    "abstract: 1.5 to 2.8 times average galvanised steel, here the larger; range: joints every 1.5 m and every 3 m",
  status: "read",
});

const remembered = (title: string): Source =>
  Object.freeze({ author: "unverified", title, year: 2026, where: "no published table seen", status: "memory" });

const material = (
  name: string,
  roughness: number,
  [low, high]: readonly [number, number],
  source: Source,
): RoughnessMaterial => Object.freeze({ name, roughness, low, high, source });

/** Duct surfaces with their absolute roughness, smooth to rough. Sources differ: galvanised steel is 0.075 to 0.15 mm. */
export const roughnessMaterials: readonly RoughnessMaterial[] = Object.freeze([
  material("drawn tubing", 0.46e-6, [0.46e-6, 0.46e-6], ductTable),
  material("plastic pipe", 0.046e-3, [0.0015e-3, 0.046e-3], plasticPipe),
  material("commercial steel", 0.046e-3, [0.046e-3, 0.046e-3], ductTable),
  material("aluminium", 0.046e-3, [0.037e-3, 0.061e-3], ductTable),
  material(
    "semi-rigid plastic, smooth inner skin",
    0.05e-3,
    [0.01e-3, 0.1e-3],
    remembered("twin-wall ducts of 63–90 mm"),
  ),
  material("galvanised steel, spiral", 0.09e-3, [0.06e-3, 0.12e-3], ductTable),
  material("galvanised steel, spiral with ribs", 0.09e-3, [0.088e-3, 0.116e-3], ductTable),
  material("galvanised steel, longitudinal seam", 0.09e-3, [0.05e-3, 0.1e-3], ductTable),
  material("galvanised steel, rectangular", 0.09e-3, [0.08e-3, 0.15e-3], ductTable),
  material("galvanised steel, joints every 0.76 m", 0.15e-3, [0.15e-3, 0.15e-3], ductTable),
  material("phenolic board, foil faced", 0.25e-3, [0.08e-3, 0.39e-3], phenolicBoard),
  material("galvanised steel, corrugated spiral", 0.9e-3, [0.55e-3, 0.9e-3], ductTable),
  material("flexible duct, fully extended", 0.9e-3, [0.09e-3, 0.9e-3], ductTable),
  material("flexible duct, metallic, fully extended", 2.1e-3, [1.2e-3, 2.1e-3], remembered("flexible metal ducts")),
  material(
    "semi-rigid plastic, corrugated inside",
    3e-3,
    [1e-3, 3e-3],
    remembered("corrugated pipe without inner skin"),
  ),
]);

const roughnessByName: ReadonlyMap<string, number> = new Map(
  roughnessMaterials.map(({ name, roughness }) => [name, roughness]),
);

/**
 * Absolute roughness of a duct surface, for the Colebrook–White formula and its kin.
 *
 * @param material - A name in `roughnessMaterials`, letter by letter.
 * @returns Roughness [m]; its published range and source stand in `roughnessMaterials`.
 * @throws InputError `unknown-material`, with the nearest known name, for any other name.
 *
 * Source: ASHRAE Fundamentals, duct roughness factors; the rest as each material says.
 * @example roughnessOf("galvanised steel, spiral"); // 0.00009
 */
export function roughnessOf(material: string): number {
  const roughness = roughnessByName.get(material);
  if (roughness === undefined) throw unknownName("material", "material", material, [...roughnessByName.keys()]);
  return roughness;
}
