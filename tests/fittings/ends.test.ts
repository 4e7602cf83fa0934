import fc from "fast-check";
import { describe, expect, test } from "vitest";
import type { Section } from "../../src/ducts/geometry.js";
import { coefficientOf, type FittingCoefficient } from "../../src/fittings/coefficient.js";
import { bellmouthEnd, cowl, flushEnd, projectingEnd } from "../../src/fittings/ends.js";
import type { Spread } from "../../src/fittings/fitting.js";
import { numberWithin } from "../helpers/numbers.js";
import tables from "../references/fittings-ends.json" with { type: "json" };
import sweep from "../references/fittings-ends-sweep.json" with { type: "json" };

const section: Section = { diameter: 0.2 };
const widthOf = ({ shared, own }: Spread): number => shared + own;
const slack = 1e-12;

const near = ({ coefficient, spread }: FittingCoefficient, peer: number, least: number): void => {
  expect(Math.abs(peer - coefficient)).toBeLessThanOrEqual(Math.max(widthOf(spread) * coefficient, least));
};

const projecting = (wallThickness: number, projection: number): FittingCoefficient =>
  coefficientOf(projectingEnd, { wallThickness, projection }, { section });
const bellmouth = (radiusRatio: number): FittingCoefficient =>
  coefficientOf(bellmouthEnd, { radiusRatio }, { section });

test("air that leaves a duct loses its whole velocity pressure, however the duct ends", () => {
  const state = { section, backward: true };
  expect(coefficientOf(flushEnd, {}, state).coefficient).toBe(1);
  expect(coefficientOf(projectingEnd, {}, state).coefficient).toBe(1);
  expect(coefficientOf(bellmouthEnd, {}, state).coefficient).toBe(1);
});

test("below Re 10,000 an end is flagged", () => {
  for (const fitting of [flushEnd, projectingEnd, bellmouthEnd]) {
    const { outside } = coefficientOf<object>(fitting, {}, { section, reynolds: 8000 });
    expect(outside).toEqual([{ what: "Reynolds number", value: 8000, range: { min: 1e4 } }]);
  }
});

describe("a flush end", () => {
  test("loses the published half of its velocity pressure, other values lie within its spread (library)", () => {
    const flush = coefficientOf(flushEnd, {}, { section });
    expect(flush.coefficient).toBe(tables.flush.values[0]);
    for (const peer of tables.flush.values) near(flush, peer, 0);
  });
});

describe("a projecting end", () => {
  test.each(tables.projecting.rows)(
    "of wall thickness %f, projection %f loses the printed %f",
    (wall, out, printed) => {
      expect(projecting(wall, out).coefficient).toBeCloseTo(printed, 9);
    },
  );

  test("between printed points lies near the straight line between them and within its spread of Rennels (library)", () => {
    const { wallThickness, projection, Idelchik, Rennels } = tables.projectingBetween;
    const between = projecting(wallThickness, projection);
    expect(between.coefficient).toBeCloseTo(Idelchik, 2);
    near(between, Rennels, 0);
  });

  test("over the whole table lies within 0.03 of the library, which goes straight between points", () => {
    for (const [wall, out, library] of sweep.projecting.rows) {
      expect(Math.abs(projecting(wall, out).coefficient - library)).toBeLessThan(0.03);
    }
  });

  test("with its end in the wall's plane is a flush end, and without projection or thickness given the worst", () => {
    for (const wall of [0, 0.01, 0.03]) expect(projecting(wall, 0).coefficient).toBe(0.5);
    expect(coefficientOf(projectingEnd, {}, { section }).coefficient).toBe(1);
  });

  test("loses more the further it stands out and the thinner its wall, between 0.5 and 1", () => {
    const wall = numberWithin(0, 0.08);
    const out = numberWithin(0, 0.8);
    fc.assert(
      fc.property(wall, wall, out, out, (s, t, p, q) => {
        const { coefficient } = projecting(Math.min(s, t), Math.max(p, q));
        expect(coefficient).toBeGreaterThanOrEqual(projecting(Math.max(s, t), Math.max(p, q)).coefficient - slack);
        expect(coefficient).toBeGreaterThanOrEqual(projecting(Math.min(s, t), Math.min(p, q)).coefficient - slack);
        expect(coefficient).toBeLessThanOrEqual(1 + slack);
        expect(projecting(Math.max(s, t), Math.min(p, q)).coefficient).toBeGreaterThanOrEqual(0.5 - slack);
      }),
    );
  });

  test.each([
    [{ wallThickness: -0.01 }, "wallThickness"],
    [{ wallThickness: Number.NaN }, "wallThickness"],
    [{ projection: -0.1 }, "projection"],
  ])("cannot have %j", (parameters, path) => {
    expect(() => coefficientOf(projectingEnd, parameters, { section })).toThrow(
      expect.objectContaining({ problems: [expect.objectContaining({ code: "out-of-range", path })] }),
    );
  });
});

describe("a bellmouth", () => {
  test.each(tables.bellmouthPoints.rows)("of radius ratio %f loses the printed %f", (ratio, printed) => {
    expect(bellmouth(ratio).coefficient).toBeCloseTo(printed, 9);
  });

  test.each(tables.bellmouth.rows)(
    "of radius ratio %f lies within 0.01 of the library's Idelchik, %f, and near its peers",
    (ratio, idelchik, ...peers) => {
      expect(Math.abs(bellmouth(ratio).coefficient - idelchik)).toBeLessThan(0.01);
      for (const peer of peers) near(bellmouth(ratio), peer, 0.1);
    },
  );

  test("over the whole range lies within 0.012 of the library's curve through the same table, and near four other forms", () => {
    for (const [ratio, idelchik, ...peers] of sweep.bellmouth.rows) {
      expect(Math.abs(bellmouth(ratio).coefficient - idelchik)).toBeLessThan(0.012);
      for (const peer of peers) near(bellmouth(ratio), peer, 0.1);
    }
  });

  test("lies near the closed form 0.03 + 0.47·10^(−7.7·r/D) (memory)", () => {
    for (let ratio = 0; ratio <= 0.2; ratio += 0.01) {
      expect(Math.abs(bellmouth(ratio).coefficient - (0.03 + 0.47 * 10 ** (-7.7 * ratio)))).toBeLessThan(0.02);
    }
  });

  test("never loses more with a wider rounding, and always something", () => {
    const ratio = numberWithin(0, 0.5);
    fc.assert(
      fc.property(ratio, ratio, (a, b) => {
        const [sharp, round] = [bellmouth(Math.min(a, b)).coefficient, bellmouth(Math.max(a, b)).coefficient];
        expect(sharp).toBeGreaterThanOrEqual(round - slack);
        expect(round).toBeGreaterThanOrEqual(0.03 - slack);
      }),
    );
  });

  test.each([-0.1, Number.NaN, Number.POSITIVE_INFINITY])("cannot have radius ratio %f", (radiusRatio) => {
    expect(() => coefficientOf(bellmouthEnd, { radiusRatio }, { section })).toThrow(
      expect.objectContaining({ problems: [expect.objectContaining({ code: "out-of-range", path: "radiusRatio" })] }),
    );
  });
});

describe("a cowl", () => {
  test("is its rating, at the end of a duct, turbulent in standard air unless given", () => {
    const rating = { pressure: 12, flow: 0.05, exponent: 2, density: 1.2, viscosity: 1.81e-5 };
    expect(cowl.rating(rating)).toEqual(rating);
    expect(cowl.place).toBe("end");
    const { exponent, density, viscosity, pressure } = cowl.parameters;
    expect([exponent.preset, density.preset, viscosity.preset]).toEqual([2, 1.2, 1.81e-5]);
    expect(pressure.meaning).toMatch(/it includes the jet's velocity pressure/);
  });
});
