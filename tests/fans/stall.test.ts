import { expect, test } from "vitest";
import { atSpeed } from "../../src/fans/laws.js";
import { stallRange } from "../../src/fans/stall.js";
import tables from "../references/fan-tables.json" with { type: "json" };
import { total } from "./arbitraries.js";

test(`${tables.cengel.source} (${tables.cengel.status}): the pressure rises from 0 to 250 ft³/min and falls from there`, () => {
  expect(stallRange(total(tables.cengel.points as [number, number][]))).toEqual({ from: 0, to: 250 });
});

test("a dip and a hump after it make one stall region, up to the last flow where the pressure rises", () => {
  const curve = total([
    [0, 200],
    [0.05, 150],
    [0.1, 180],
    [0.15, 170],
    [0.2, 175],
    [0.3, 20],
  ]);
  expect(stallRange(curve)).toEqual({ from: 0.05, to: 0.2 });
  expect(stallRange(atSpeed(curve, 0.5))).toEqual({ from: 0.025, to: 0.1 });
});

test("a curve that only falls has no stall region", () => {
  expect(
    stallRange(
      total([
        [0, 200],
        [0.1, 150],
      ]),
    ),
  ).toBeUndefined();
});
