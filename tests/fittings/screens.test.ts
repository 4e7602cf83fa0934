import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { areaOf, type Section } from "../../src/ducts/geometry.js";
import { coefficientOf, type FittingCoefficient } from "../../src/fittings/coefficient.js";
import { flushEnd } from "../../src/fittings/ends.js";
import type { Fitting, Spread } from "../../src/fittings/fitting.js";
import { thinPlateCoefficient } from "../../src/fittings/plate.js";
import { grille, louvre, perforatedPlate, type ScreenParameters, wireMesh } from "../../src/fittings/screens.js";
import tables from "../references/fittings-ends.json" with { type: "json" };
import sweep from "../references/fittings-ends-sweep.json" with { type: "json" };

const section: Section = { diameter: 0.2 };
const duct = areaOf(section);
const widthOf = ({ shared, own }: Spread): number => shared + own;
const slack = 1 + 1e-12;
/** Those that need no face. */
const bare = [grille, perforatedPlate, wireMesh];
const all: readonly Fitting<ScreenParameters>[] = [...bare, louvre as Fitting<ScreenParameters>];

/** On the duct's velocity pressure [-] */
const onDuct = ({ coefficient, area }: FittingCoefficient): number => coefficient * (duct / area) ** 2;
const plate = (freeArea: number, backward = false): FittingCoefficient =>
  coefficientOf(perforatedPlate, { freeArea }, { section, backward });
const mesh = (freeArea: number, backward = false): FittingCoefficient =>
  coefficientOf(wireMesh, { freeArea }, { section, backward });

const near = ({ coefficient, spread }: FittingCoefficient, peer: number, least = 0): void => {
  expect(Math.abs(peer - coefficient)).toBeLessThanOrEqual(Math.max(widthOf(spread) * coefficient, least));
};

describe("a thin plate at the mouth of a duct", () => {
  test("outwards loses what an orifice plate by ISO 5167 does into the open, within 4 % (library)", () => {
    for (const [freeArea, , open] of sweep.orifice.rows) {
      expect(Math.abs(open / plate(freeArea, true).coefficient - 1)).toBeLessThan(0.04);
    }
  });

  test("belongs to the plate across a duct, which an orifice plate by ISO 5167 meets within 4 % (library)", () => {
    for (const [freeArea, across] of sweep.orifice.rows) {
      expect(Math.abs(across / thinPlateCoefficient(freeArea) - 1)).toBeLessThan(0.04);
    }
    for (const [freeArea, across] of tables.screens.rows) {
      expect(thinPlateCoefficient(freeArea)).toBeCloseTo(across, 5);
      // Borda–Carnot: of jets that widen to the duct, (v_jet − v)² is lost, of those into the open v_jet².
      const jets = Math.sqrt(plate(freeArea, true).coefficient);
      expect(jets - 1).toBeCloseTo(Math.sqrt(thinPlateCoefficient(freeArea)), 9);
    }
  });

  // A jet from the open contracts to π/(π + 2) by free-streamline theory and then widens to the duct by Borda–Carnot.
  test("inwards loses what the widening of its contracted jets does, within 15 % below half free area (computed)", () => {
    for (let freeArea = 0.05; freeArea <= 0.5; freeArea += 0.05) {
      const jets = (1 / ((Math.PI / (Math.PI + 2)) * freeArea) - 1) ** 2;
      expect(Math.abs(jets / plate(freeArea).coefficient - 1)).toBeLessThan(0.15);
    }
  });

  test("lies within its spread of screens and grilles by Blevins with their velocity pressure lost, or within 0.25 (library)", () => {
    for (const [freeArea, screen, bars] of sweep.screens.rows) {
      near(plate(freeArea, true), 1 + screen, 0.25);
      near(coefficientOf(grille, { freeArea }, { section, backward: true }), 1 + bars, 0.25);
      near(coefficientOf(grille, { freeArea }, { section }), 0.5 + bars, 0.25);
    }
  });

  test("without any plate is a flush end", () => {
    expect(plate(1).coefficient).toBeCloseTo(0.5, 3);
    expect(plate(1, true).coefficient).toBe(1);
  });
});

describe("wire mesh at the mouth of a duct", () => {
  test.each(tables.screens.rows)(
    `of free area %f loses that of the formula more than a flush end (${tables.screens.status})`,
    (freeArea, ...losses) => {
      const across = losses[4];
      expect(mesh(freeArea).coefficient).toBeCloseTo(0.5 + across, 5);
      expect(mesh(freeArea, true).coefficient).toBeCloseTo(1 + across, 5);
    },
  );

  test.each(tables.handbookMesh.rows)(
    "of free area %f lies within 3 % of the handbook's %f (memory)",
    (freeArea, k) => {
      expect(Math.abs((mesh(freeArea).coefficient - 0.5) / k - 1)).toBeLessThan(0.03);
    },
  );

  test("lies within its spread of round wires by Blevins at Re 400 and 100; at 50 these lose up to 1.7 times as much (library)", () => {
    for (const [freeArea, fast, slow, slowest] of sweep.mesh.rows) {
      const { coefficient, spread } = mesh(freeArea);
      for (const peer of [fast, slow]) {
        expect(Math.abs(peer / (coefficient - 0.5) - 1)).toBeLessThan(widthOf(spread));
      }
      expect(slowest / (coefficient - 0.5)).toBeLessThan(1.7);
    }
  });

  test("loses more than open nets of the same free area, by at most 0.1 of the velocity pressure (library)", () => {
    for (const [freeArea, ...nets] of sweep.nets.rows) {
      for (const net of nets) {
        expect(mesh(freeArea).coefficient - 0.5).toBeGreaterThan(net);
        expect(mesh(freeArea).coefficient - 0.5 - net).toBeLessThan(0.11);
      }
    }
  });

  test.each([0.2, 0.95])("of free area %f is flagged", (freeArea) => {
    expect(mesh(freeArea).outside).toEqual([{ what: "freeArea", value: freeArea, range: { min: 0.3, max: 0.9 } }]);
  });
});

describe("a face with openings", () => {
  const free = fc.double({ min: 0.05, max: 1, noNaN: true });
  const face = fc.double({ min: 0.3, max: 30, noNaN: true }).map((times) => times * duct);

  test("of the duct's own area is as if none were given", () => {
    for (const fitting of bare) {
      for (const backward of [false, true]) {
        const given = coefficientOf(fitting, { freeArea: 0.5, area: duct }, { section, backward });
        expect(given).toEqual(coefficientOf(fitting, { freeArea: 0.5 }, { section, backward }));
      }
    }
  });

  test("refers to its own velocity pressure", () => {
    expect(coefficientOf(louvre, { area: 0.1, freeArea: 0.5 }, { section }).area).toBe(0.1);
    expect(coefficientOf(grille, { freeArea: 0.5 }, { section }).area).toBe(duct);
  });

  test("far wider than the duct costs the duct's flush entry inwards and its whole velocity pressure outwards", () => {
    const entry = coefficientOf(flushEnd, {}, { section }).coefficient;
    for (const fitting of [louvre, ...bare]) {
      const state = { freeArea: 0.5, area: 1000 * duct };
      expect(onDuct(coefficientOf(fitting, state, { section }))).toBeCloseTo(entry, 2);
      expect(onDuct(coefficientOf(fitting, state, { section, backward: true }))).toBeCloseTo(1, 2);
    }
  });

  test("twice as wide as the duct loses its openings' loss there, and the step inwards or the duct's velocity pressure outwards (computed apart)", () => {
    const state = { freeArea: 0.5, area: 2 * duct };
    // 5.827396 of the plate, and 0.5·0.5^0.75 = 0.297302 on the duct's velocity pressure, four times that of the face.
    expect(coefficientOf(perforatedPlate, state, { section }).coefficient).toBeCloseTo(5.827396 + 4 * 0.297302, 5);
    // 8.999094 of the plate, less the face's velocity pressure, and the duct's, four times that of the face.
    const exit = coefficientOf(perforatedPlate, state, { section, backward: true });
    expect(exit.coefficient).toBeCloseTo(8.999094 - 1 + 4, 4);
  });

  test("half as wide as the duct says so; the step is the other way round", () => {
    const state = { freeArea: 0.5, area: duct / 2 };
    const entry = coefficientOf(perforatedPlate, state, { section });
    expect(entry.coefficient).toBeCloseTo(5.827396 + 0.25, 5);
    expect(entry.note).toMatch(/smaller than the duct/);
    expect(coefficientOf(louvre, state, { section }).note).toMatch(/stands in.*smaller than the duct/);
    const exit = coefficientOf(perforatedPlate, state, { section, backward: true });
    expect(exit.coefficient).toBeCloseTo(plate(0.5, true).coefficient + 0.297302, 5);
  });

  test("loses more the less of it is free; outwards, on the duct's velocity pressure, the smaller it is", () => {
    fc.assert(
      fc.property(free, free, face, face, fc.constantFrom(...all), (p, q, a, b, one) => {
        const at = (freeArea: number, area: number, backward: boolean) =>
          onDuct(coefficientOf<ScreenParameters>(one, { freeArea, area }, { section, backward }));
        const [little, much] = [Math.min(p, q), Math.max(p, q)];
        for (const backward of [false, true]) {
          expect(at(little, a, backward) * slack).toBeGreaterThanOrEqual(at(much, a, backward));
        }
        expect(at(p, Math.min(a, b), true) * slack).toBeGreaterThanOrEqual(at(p, Math.max(a, b), true));
      }),
    );
  });

  // Narrowing in two steps, face and duct, may lose somewhat less than a flush entry at once.
  test("never gives back velocity pressure: outwards costs all of the duct's or more, inwards 0.8 of a flush entry or more", () => {
    fc.assert(
      fc.property(free, face, fc.constantFrom(...all), (freeArea, area, one) => {
        const state = { freeArea, area };
        const exit = coefficientOf<ScreenParameters>(one, state, { section, backward: true });
        expect(onDuct(exit) * slack).toBeGreaterThanOrEqual(1);
        expect(onDuct(coefficientOf<ScreenParameters>(one, state, { section }))).toBeGreaterThan(0.4);
      }),
    );
  });

  test.each([0, 0.04, 1.01, Number.NaN])("cannot have %f free area", (freeArea) => {
    for (const fitting of bare) {
      expect(() => coefficientOf(fitting, { freeArea }, { section })).toThrow(
        expect.objectContaining({ problems: [expect.objectContaining({ code: "out-of-range", path: "freeArea" })] }),
      );
    }
  });

  test.each([0, -1, Number.NaN])("cannot be of %f m²", (area) => {
    for (const fitting of bare) {
      expect(() => coefficientOf(fitting, { freeArea: 0.5, area }, { section })).toThrow(
        expect.objectContaining({ problems: [expect.objectContaining({ code: "out-of-range", path: "area" })] }),
      );
    }
  });
});

describe("a louvre", () => {
  test("needs its face, and says how fast air may pass it and that a plate stands in for it", () => {
    expect(() => coefficientOf(louvre, { freeArea: 0.5 }, { section })).toThrow(
      expect.objectContaining({ problems: [expect.objectContaining({ code: "key.missing", path: "area" })] }),
    );
    const laws = louvre.laws({ area: 0.1, freeArea: 0.5 }, section);
    expect(laws.fastest).toEqual({ velocity: 2.5, why: expect.stringMatching(/rain/) });
    expect(laws.note).toMatch(/stands in/);
  });
});
