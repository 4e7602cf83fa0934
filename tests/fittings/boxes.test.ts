import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { boxInletLoss, boxOutletLoss } from "../../src/fittings/boxes.js";
import { coefficientOf } from "../../src/fittings/coefficient.js";
import { abruptTransition } from "../../src/fittings/transitions.js";
import tables from "../references/fittings-transitions.json" with { type: "json" };

const rejected = (path: string) =>
  expect.objectContaining({ problems: [expect.objectContaining({ code: "out-of-range", path })] });

describe("a distribution box", () => {
  test.each(tables.boxes.rows)(
    "with a duct of %f m² into %f m² and one of %f m² out of it loses %f and %f (computed apart)",
    (inlet, box, outlet, into, out) => {
      expect(boxInletLoss(inlet, box)).toBeCloseTo(into, 5);
      expect(boxOutletLoss(outlet, box)).toBeCloseTo(out, 5);
    },
  );

  test("takes nothing from a duct as wide as itself; large, the whole velocity pressure in and half of it out", () => {
    expect(boxInletLoss(0.02, 0.02)).toBe(0);
    expect(boxOutletLoss(0.02, 0.02)).toBe(0);
    expect(boxInletLoss(1e-9, 1)).toBeCloseTo(1, 8);
    expect(boxOutletLoss(1e-9, 1)).toBeCloseTo(0.5, 8);
  });

  test("loses what an abrupt transition of the same areas does, and more the larger it is", () => {
    const diameter = fc.double({ min: 0.05, max: 0.3, noNaN: true });
    const side = fc.double({ min: 0.3, max: 2, noNaN: true });
    fc.assert(
      fc.property(diameter, side, side, (d, a, b) => {
        const duct = (Math.PI / 4) * d ** 2;
        const [small, large] = [Math.min(a, b) ** 2, Math.max(a, b) ** 2];
        const state = { section: { diameter: d }, other: { width: a, height: a } };
        expect(boxInletLoss(duct, a * a)).toBeCloseTo(coefficientOf(abruptTransition, {}, state).coefficient, 12);
        expect(boxOutletLoss(duct, a * a)).toBeCloseTo(
          coefficientOf(abruptTransition, {}, { ...state, backward: true }).coefficient,
          12,
        );
        expect(boxInletLoss(duct, small)).toBeLessThanOrEqual(boxInletLoss(duct, large));
        expect(boxOutletLoss(duct, small)).toBeLessThanOrEqual(boxOutletLoss(duct, large));
      }),
    );
  });

  test.each([0, -0.01, 0.0601, Number.NaN, Number.POSITIVE_INFINITY])("of 0.06 m² has no duct of %f m²", (duct) => {
    expect(() => boxInletLoss(duct, 0.06)).toThrow(rejected("ductArea"));
    expect(() => boxOutletLoss(duct, 0.06)).toThrow(rejected("ductArea"));
  });

  test.each([0, -1, Number.NaN, Number.POSITIVE_INFINITY])("cannot have %f m²", (box) => {
    expect(() => boxInletLoss(0.01, box)).toThrow(rejected("boxArea"));
    expect(() => boxOutletLoss(0.01, box)).toThrow(rejected("boxArea"));
  });
});
