import fc from "fast-check";
import { expect, test } from "vitest";
import { regulatorCurve } from "../../src/fittings/regulator.js";
import { slopeAt, valueAt } from "../../src/numerics/interpolation.js";
import { numberWithin } from "../helpers/numbers.js";

const regulators = fc.record({
  flow: fc.double({ min: 0.002, max: 1, noNaN: true }),
  minPressure: fc.double({ min: 5, max: 80, noNaN: true }),
  maxPressure: fc.double({ min: 100, max: 400, noNaN: true }),
  accuracy: fc.double({ min: 0.005, max: 0.3, noNaN: true }),
});

test("a regulator takes its lowest and highest pressure at both ends of its flow band", () => {
  fc.assert(
    fc.property(regulators, (regulator) => {
      const curve = regulatorCurve(regulator);
      const { flow, minPressure, maxPressure, accuracy } = regulator;
      expect(valueAt(curve, flow * (1 - accuracy))).toBeCloseTo(minPressure, 9);
      expect(valueAt(curve, flow * (1 + accuracy))).toBeCloseTo(maxPressure, 9);
    }),
  );
});

test("open, shut and blown through backwards it loses by the square of the flow", () => {
  fc.assert(
    fc.property(regulators, fc.double({ min: 0.01, max: 1, noNaN: true }), (regulator, share) => {
      const curve = regulatorCurve(regulator);
      const { flow, minPressure, maxPressure, accuracy } = regulator;
      const [low, high] = [flow * (1 - accuracy), flow * (1 + accuracy)];
      const within = (got: number, wanted: number): void =>
        expect(Math.abs(got - wanted)).toBeLessThanOrEqual(1e-9 * Math.abs(wanted) + 1e-12);
      within(valueAt(curve, share * low), minPressure * share ** 2);
      within(valueAt(curve, -share * low), -minPressure * share ** 2);
      within(valueAt(curve, high * (1 + share)), maxPressure * (1 + share) ** 2);
    }),
  );
});

test("its loss rises with the flow all along, so that a network with it has one answer", () => {
  fc.assert(
    fc.property(regulators, numberWithin(-6, 6), (regulator, times) => {
      fc.pre(Math.abs(times) > 1e-6);
      expect(slopeAt(regulatorCurve(regulator), times * regulator.flow)).toBeGreaterThan(0);
    }),
  );
});
