import type { Source } from "../core/sources.js";

/** A series of standard sizes. */
export interface SizeList {
  /** The sizes [m], rising. */
  readonly sizes: readonly number[];
  readonly source: Source;
}

const sizeList = (source: Source, millimetres: readonly number[]): SizeList =>
  Object.freeze({ sizes: Object.freeze(millimetres.map((size) => size / 1000)), source: Object.freeze(source) });

const roundDucts: Source = {
  author: "CEN",
  title: "EN 1506, sheet metal air ducts and fittings with circular cross-section, dimensions",
  year: 2007,
  where: "two reprints of its list",
  status: "read",
};

/**
 * Standard inner diameters of round ducts [m]: `recommended` and `additional` sizes of EN 1506, and the sizes usual for
 * the main ducts of dwellings.
 */
export const roundSizes: {
  readonly recommended: SizeList;
  readonly additional: SizeList;
  readonly dwelling: SizeList;
} = Object.freeze({
  recommended: sizeList(roundDucts, [63, 80, 100, 125, 160, 200, 250, 315, 400, 500, 630, 800, 1000, 1250]),
  additional: sizeList(roundDucts, [150, 300, 355, 450, 560, 710, 900, 1120]),
  dwelling: sizeList(
    { author: "trade practice", title: "Main ducts of dwellings", year: 2026, where: "unverified", status: "memory" },
    [125, 150, 160, 180, 200],
  ),
});

/** Standard inner sides of rectangular ducts [m], for width and height alike. */
export const rectangularSides: SizeList = sizeList(
  {
    author: "CEN",
    title: "EN 1505, sheet metal air ducts and fittings with rectangular cross-section, dimensions",
    year: 1997,
    where: "unverified",
    status: "memory",
  },
  [100, 150, 200, 250, 300, 400, 500, 600, 800, 1000, 1200, 1400, 1600, 1800, 2000],
);
