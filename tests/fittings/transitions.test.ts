import fc from "fast-check";
import { describe, expect, test } from "vitest";
import type { Section } from "../../src/ducts/geometry.js";
import { coefficientOf, type FittingCoefficient } from "../../src/fittings/coefficient.js";
import type { Spread } from "../../src/fittings/fitting.js";
import {
  abruptTransition,
  conicalTransition,
  rectangularTransition,
  roundToRectangular,
  teeLegTransition,
} from "../../src/fittings/transitions.js";
import tables from "../references/fittings-transitions.json" with { type: "json" };
import sweep from "../references/fittings-transitions-sweep.json" with { type: "json" };

const degree = Math.PI / 180;
const small = 0.16;
/** Round sections of an area ratio, the smaller at port a. */
const rounds = (ratio: number): { readonly section: Section; readonly other: Section } => ({
  section: { diameter: small },
  other: { diameter: small / Math.sqrt(ratio) },
});
const widthOf = ({ shared, own }: Spread): number => shared + own;

const abrupt = (ratio: number, backward = false): FittingCoefficient =>
  coefficientOf(abruptTransition, {}, { ...rounds(ratio), backward });
const cone = (degrees: number, ratio: number, backward = false): FittingCoefficient =>
  coefficientOf(conicalTransition, { angle: degrees * degree }, { ...rounds(ratio), backward });

/** Holds a peer within the spread, or within a share of the velocity pressure where little is lost. */
const near = ({ coefficient, spread }: FittingCoefficient, peer: number, least: number): void => {
  expect(Math.abs(peer - coefficient)).toBeLessThanOrEqual(Math.max(widthOf(spread) * coefficient, least));
};

const ratios = fc.double({ min: 0.02, max: 1, noNaN: true });
const angles = fc.double({ min: 1, max: 180, noNaN: true });
const slack = 1e-12;

describe("an abrupt change of section", () => {
  test.each(tables.abrupt.rows)("of area ratio %f loses the printed %f widening and %f narrowing", (ratio, w, n) => {
    expect(abrupt(ratio).coefficient).toBeCloseTo(w, 6);
    expect(abrupt(ratio, true).coefficient).toBeCloseTo(n, 6);
  });

  test("widening is the momentum balance of the library to the last digits", () => {
    for (const [ratio, widening] of sweep.abrupt.rows) expect(abrupt(ratio).coefficient).toBeCloseTo(widening, 9);
  });

  test("narrowing lies within its spread of another published form (library), or within 0.06 where little is lost", () => {
    for (const [ratio, , rennels] of sweep.abrupt.rows) near(abrupt(ratio, true), rennels, 0.06);
  });

  test("refers to the smaller section, whichever port has it", () => {
    expect(abrupt(0.4).area).toBeCloseTo((Math.PI / 4) * small ** 2, 12);
    const { section, other } = rounds(0.4);
    const turned = coefficientOf(abruptTransition, {}, { section: other, other: section });
    expect(turned.area).toBeCloseTo((Math.PI / 4) * small ** 2, 12);
    expect(turned.coefficient).toBe(abrupt(0.4, true).coefficient);
  });

  test("goes by areas alone between shapes, and says so with a wider spread", () => {
    const side = small * Math.sqrt(Math.PI);
    const { coefficient, spread, note } = coefficientOf(
      abruptTransition,
      {},
      { section: { diameter: small }, other: { width: side, height: side } },
    );
    expect(coefficient).toBeCloseTo(0.75 ** 2, 12);
    expect(widthOf(spread)).toBeGreaterThan(widthOf(abrupt(0.25).spread));
    expect(note).toMatch(/corners/);
    expect(abrupt(0.25).note).toBeUndefined();
  });

  test("below Re 10,000 is flagged", () => {
    const { outside } = coefficientOf(abruptTransition, {}, { ...rounds(0.5), reynolds: 6000 });
    expect(outside).toEqual([{ what: "Reynolds number", value: 6000, range: { min: 1e4 } }]);
  });

  test("has two sections", () => {
    expect(() => coefficientOf(abruptTransition, {}, { section: { diameter: small } })).toThrow(
      expect.objectContaining({ problems: [expect.objectContaining({ code: "key.missing", path: "other" })] }),
    );
  });
});

describe("a cone", () => {
  test.each(tables.widening.rows)(
    "of %f° widening %f times meets the fit, %f, and Rennels, %f, and Crane, %f, within its spread",
    (angle, growth, fit, ...peers) => {
      const widening = cone(angle, 1 / growth);
      expect(widening.coefficient).toBeCloseTo(fit, 5);
      for (const peer of peers) near(widening, peer, 0);
    },
  );

  test("widening lies within its spread of Rennels and Crane over all angles from 5° and area ratios (library)", () => {
    for (const [angle, ratio, ...peers] of sweep.widening.rows) {
      for (const peer of peers) near(cone(angle, ratio), peer, 0);
    }
  });

  test("widening lies within its spread of Idelchik's own table for undisturbed flow (library)", () => {
    for (const [ratio, row] of tables.wideningTable.rows as [number, number[]][]) {
      row.forEach((peer, i) => {
        near(cone(tables.wideningTable.angles[i], ratio), peer, 0);
      });
    }
  });

  test("widening is a library's fit, from which the handbook's own table differs by a factor of three at 8° and five at 3°, as its source says", () => {
    const angles = [8, 16, 30, 60];
    const [, row] = (tables.wideningTable.rows as [number, number[]][]).find(([ratio]) => ratio === 0.5)!;
    const handbook = angles.map((angle) => row[tables.wideningTable.angles.indexOf(angle)]);
    const fit = angles.map((angle) => cone(angle, 0.5).coefficient);
    expect(handbook).toEqual([0.03, 0.07, 0.16, 0.29]);
    [0.0878, 0.1447, 0.2006, 0.2401].forEach((value, i) => {
      expect(fit[i]).toBeCloseTo(value, 4);
    });
    expect(fit[0] / handbook[0]).toBeCloseTo(2.93, 2);
    const most = (angle: number): number =>
      Math.max(
        ...(tables.wideningTable.rows as [number, number[]][]).map(
          ([ratio, table]) => cone(angle, ratio).coefficient / table[tables.wideningTable.angles.indexOf(angle)],
        ),
      );
    expect(most(8)).toBeCloseTo(3.35, 2);
    expect(most(3)).toBeCloseTo(5.31, 2);
    const [source] = conicalTransition.sources;
    expect(source.where).toContain(
      `the coefficients ${handbook.join(", ")}, where the fit has 0.088, 0.145, 0.20, 0.24`,
    );
    expect(cone(8, 0.5).model).toMatch(/^a library's fit to Idelchik/);
  });

  // The library's values hold friction along the cone, f·(1 − b²)/(8·sin(α/2)), here 0.02: added to ours.
  test.each(tables.narrowing.rows)(
    "of %f° narrowing %f times loses Rennels' %f with the friction along it",
    (angle, shrinkage, r) => {
      const friction = (0.02 * (1 - shrinkage ** -2)) / (8 * Math.sin((angle / 2) * degree));
      expect(cone(angle, 1 / shrinkage, true).coefficient + friction).toBeCloseTo(r, 5);
    },
  );

  test("narrowing is Rennels' closed form without friction to the last digits (library)", () => {
    for (const [angle, ratio, rennels] of sweep.narrowing.rows) {
      expect(cone(angle, ratio, true).coefficient).toBeCloseTo(rennels, 9);
    }
  });

  test("narrowing lies near Miller's chart as far as it goes (library), and Crane's, at most 0.2 above or 0.1 below", () => {
    for (const [angle, ratio, , crane, miller] of sweep.narrowing.rows) {
      const narrowing = cone(angle, ratio, true);
      if (ratio >= 0.25) near(narrowing, miller, 0.06);
      expect(crane - narrowing.coefficient).toBeLessThan(0.2);
      expect(crane - narrowing.coefficient).toBeGreaterThan(-0.1);
    }
  });

  test.each(tables.narrowingPolynomial.rows)(
    "of %f° with area ratio %f narrows near Idelchik's polynomial: %f (memory)",
    (angle, ratio, peer) => {
      near(cone(angle, ratio, true), peer, 0.05);
    },
  );

  test("of 180° is a step: both models come near to the abrupt ones, within its spread", () => {
    for (const ratio of [0.1, 0.25, 0.5, 0.64]) {
      near(cone(180, ratio), abrupt(ratio).coefficient, 0);
      near(cone(180, ratio, true), abrupt(ratio, true).coefficient, 0);
    }
  });

  test("is the same by its length as by its angle", () => {
    fc.assert(
      fc.property(fc.double({ min: 0.05, max: 0.95, noNaN: true }), angles, fc.boolean(), (ratio, angle, backward) => {
        const { section, other } = rounds(ratio);
        const length = (small / Math.sqrt(ratio) - small) / (2 * Math.tan((angle / 2) * degree));
        fc.pre(length > 1e-9);
        const { coefficient } = coefficientOf(conicalTransition, { length }, { section, other, backward });
        expect(coefficient).toBeCloseTo(cone(angle, ratio, backward).coefficient, 9);
      }),
    );
  });

  test("has a wider spread the smaller its angle", () => {
    expect(widthOf(cone(8, 0.5).spread)).toBeGreaterThan(widthOf(cone(20, 0.5).spread));
    expect(widthOf(cone(20, 0.5).spread)).toBeGreaterThan(widthOf(cone(45, 0.5).spread));
  });

  test.each([
    [{}, "angle"],
    [{ angle: 0.5, length: 0.1 }, "length"],
  ])("is described by an angle or a length: %j is a fault", (parameters, path) => {
    expect(() => coefficientOf(conicalTransition, parameters, rounds(0.5))).toThrow(
      expect.objectContaining({ problems: [expect.objectContaining({ code: "fitting.geometry", path })] }),
    );
  });

  test.each([
    [{ angle: 0 }, "angle"],
    [{ angle: 181 * degree }, "angle"],
    [{ angle: Number.NaN }, "angle"],
    [{ length: 0 }, "length"],
    [{ length: Number.NaN }, "length"],
  ])("cannot have %j", (parameters, path) => {
    expect(() => coefficientOf(conicalTransition, parameters, rounds(0.5))).toThrow(
      expect.objectContaining({ problems: [expect.objectContaining({ code: "out-of-range", path })] }),
    );
  });

  test("stands between round sections", () => {
    const other = { width: 0.2, height: 0.2 };
    expect(() => coefficientOf(conicalTransition, { angle: 0.5 }, { section: { diameter: small }, other })).toThrow(
      expect.objectContaining({ problems: [expect.objectContaining({ code: "fitting.shape", path: "other" })] }),
    );
  });
});

describe("tapered walls", () => {
  const wide: Section = { width: 0.4, height: 0.2 };

  test("are a cone of the included angle of the side that changes most, as a stand-in with a wider spread", () => {
    const narrow: Section = { width: 0.2, height: 0.15 };
    const angle = 2 * Math.atan(0.2 / (2 * 0.3));
    for (const backward of [false, true]) {
      const { coefficient, spread, model, note } = coefficientOf(
        rectangularTransition,
        { length: 0.3 },
        { section: narrow, other: wide, backward },
      );
      const like = cone(angle / degree, 0.03 / 0.08, backward);
      expect(coefficient).toBeCloseTo(like.coefficient, 12);
      expect(widthOf(spread)).toBeGreaterThan(widthOf(like.spread));
      expect(model).toMatch(/stand-in/);
      expect(note).toMatch(/stands in/);
    }
  });

  test("of which one widens while the other narrows say that this may lose more", () => {
    const other: Section = { width: 0.2, height: 0.5 };
    expect(coefficientOf(rectangularTransition, { length: 0.3 }, { section: wide, other }).note).toMatch(
      /other narrows/,
    );
  });

  test("between equal sections lose nothing", () => {
    expect(coefficientOf(rectangularTransition, { length: 0.3 }, { section: wide, other: wide }).coefficient).toBe(0);
  });
});

describe("a transition from round to rectangular", () => {
  const round: Section = { diameter: 0.2 };
  const square: Section = { width: 0.3, height: 0.3 };

  test("is a cone of its length between circles of the same areas, as a stand-in with a wider spread", () => {
    const like = coefficientOf(
      conicalTransition,
      { length: 0.25 },
      { section: round, other: { diameter: 0.3 * Math.sqrt(4 / Math.PI) } },
    );
    const { coefficient, spread, note } = coefficientOf(
      roundToRectangular,
      { length: 0.25 },
      { section: round, other: square },
    );
    expect(coefficient).toBeCloseTo(like.coefficient, 12);
    expect(widthOf(spread)).toBeGreaterThan(widthOf(like.spread));
    expect(note).toMatch(/stands in/);
  });

  test("may be round at either port, and goes to flat ovals too", () => {
    const oval: Section = { shape: "flatOval", width: 0.4, height: 0.2 };
    const from = coefficientOf(roundToRectangular, { length: 0.25 }, { section: oval, other: round, backward: true });
    const to = coefficientOf(roundToRectangular, { length: 0.25 }, { section: round, other: oval });
    expect(from.coefficient).toBe(to.coefficient);
    expect(to.coefficient).toBeGreaterThan(0);
  });

  test.each([
    [round, round, "round and round"],
    [square, square, "rectangular and rectangular"],
  ])("has one round end: %j and %j are a fault", (section, other, found) => {
    expect(() => coefficientOf(roundToRectangular, { length: 0.25 }, { section, other })).toThrow(
      expect.objectContaining({
        problems: [expect.objectContaining({ code: "fitting.geometry", path: "section", found })],
      }),
    );
  });
});

describe("transitions of all kinds", () => {
  const cases = fc.tuple(ratios, angles).map(([ratio, degrees]) => {
    const round = rounds(ratio);
    const box: Section = { width: small / Math.sqrt(ratio), height: small / Math.sqrt(ratio) };
    const square: Section = { width: small, height: small };
    const length = 0.5 / Math.tan((degrees / 4) * degree);
    const of = (section: Section, other: Section, backward: boolean) => [
      coefficientOf(abruptTransition, {}, { section, other, backward }),
      ...("diameter" in section && "diameter" in other
        ? [coefficientOf(conicalTransition, { angle: degrees * degree }, { section, other, backward })]
        : []),
      ...("width" in section && "width" in other
        ? [coefficientOf(rectangularTransition, { length }, { section, other, backward })]
        : []),
      ...("diameter" in section !== "diameter" in other
        ? [coefficientOf(roundToRectangular, { length }, { section, other, backward })]
        : []),
    ];
    return {
      of,
      pairs: [[round.section, round.other] as const, [square, box] as const, [round.section, box] as const],
    };
  });

  test("turned round swap forward and backward exactly, and never gain pressure", () => {
    fc.assert(
      fc.property(cases, ({ of, pairs }) => {
        for (const [one, other] of pairs) {
          for (const backward of [false, true]) {
            const [straight, turned] = [of(one, other, backward), of(other, one, !backward)];
            expect(straight).toEqual(turned);
            for (const { coefficient } of straight) expect(coefficient).toBeGreaterThanOrEqual(0);
          }
        }
      }),
    );
  });

  test("lose more the more the section changes, both ways", () => {
    fc.assert(
      fc.property(ratios, ratios, angles, fc.boolean(), (a, b, angle, backward) => {
        const [low, high] = [Math.min(a, b), Math.max(a, b)];
        expect(abrupt(low, backward).coefficient).toBeGreaterThanOrEqual(abrupt(high, backward).coefficient - slack);
        const [much, little] = [cone(angle, low, backward), cone(angle, high, backward)];
        expect(much.coefficient).toBeGreaterThanOrEqual(little.coefficient - slack);
      }),
    );
  });

  test("lose more the steeper the cone, both ways", () => {
    fc.assert(
      fc.property(ratios, angles, angles, fc.boolean(), (ratio, a, b, backward) => {
        const steep = cone(Math.max(a, b), ratio, backward).coefficient;
        expect(steep).toBeGreaterThanOrEqual(cone(Math.min(a, b), ratio, backward).coefficient - slack);
      }),
    );
  });

  test("between equal sections lose nothing at all", () => {
    for (const backward of [false, true]) {
      expect(abrupt(1, backward).coefficient).toBe(0);
      expect(cone(40, 1, backward).coefficient).toBe(0);
    }
  });
});

describe("the cone at a tee's smaller straight leg", () => {
  test("is Crane's of 30° both ways (library)", () => {
    for (const [ratio, widening, narrowing] of sweep.teeLeg.rows) {
      const leg = teeLegTransition(0.01 * ratio, 0.01);
      expect(leg.widening).toBeCloseTo(widening, 9);
      expect(leg.narrowing).toBeCloseTo(narrowing, 9);
    }
  });

  test("is not there between equal areas", () => {
    expect(teeLegTransition(0.02, 0.02)).toEqual({ widening: 0, narrowing: 0 });
  });

  test.each([
    [0, 0.01, "smallArea"],
    [0.011, 0.01, "smallArea"],
    [Number.NaN, 0.01, "smallArea"],
    [0.01, 0, "mainArea"],
    [0.01, Number.NaN, "mainArea"],
    [0.01, Number.POSITIVE_INFINITY, "mainArea"],
  ])("has no areas %f and %f", (leg, main, path) => {
    expect(() => teeLegTransition(leg, main)).toThrow(
      expect.objectContaining({ problems: [expect.objectContaining({ code: "out-of-range", path })] }),
    );
  });
});
