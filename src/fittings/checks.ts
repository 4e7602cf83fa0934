import { shown } from "../core/show.js";
import type { Section } from "../ducts/geometry.js";
import type { GeometryFault, Shape, TableParameter } from "./fitting.js";
import { shapeOf } from "./shape.js";

/** The fault of a section for whose form a fitting has no values. */
export const shapeFault = (shapes: readonly Shape[], section: Section): Omit<GeometryFault, "key"> | undefined => {
  const found = shapeOf(section);
  return shapes.includes(found) ? undefined : { expected: `a section that is ${shapes.join(" or ")}`, found };
};

/** Rows of a table whose first column does not rise; values that are not numbers are other faults. */
export function* risingFaults(
  { columns }: TableParameter,
  rows: readonly Readonly<Record<string, unknown>>[],
): Generator<GeometryFault> {
  const [first] = Object.keys(columns);
  for (let row = 1; row < rows.length; row++) {
    const [before, value] = [rows[row - 1][first] as number, rows[row][first] as number];
    if (!(value <= before)) continue;
    yield { key: `${row}.${first}`, expected: `above ${before}, the value in the row before`, found: shown(value) };
  }
}
