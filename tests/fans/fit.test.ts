import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { fitFanCurve } from "../../src/fans/fit.js";
import { polynomialFan } from "../../src/fans/polynomial.js";
import { polynomialAt } from "../../src/numerics/polynomials.js";
import fixture from "../references/fan-fit.json" with { type: "json" };
import tables from "../references/fan-tables.json" with { type: "json" };
import { amount } from "./arbitraries.js";
import { cubicFootPerMinute, inchOfWater } from "./units.js";

describe(`least squares against ${fixture.source} (${fixture.status})`, () => {
  test.each(fixture.cases)("$name: coefficients, values and residuals", (one) => {
    const points = one.flow.map((flow, i) => ({ flow, pressure: one.pressure[i] }));
    const { polynomial, pressure } = fitFanCurve(points, one.degree);
    const largest = Math.max(...one.pressure);
    one.at.forEach((flow, i) => {
      expect(Math.abs(polynomialAt(polynomial.coefficients, flow) - one.values[i])).toBeLessThan(1e-8 * largest);
    });
    // Single coefficients are known less well than the sum of their terms: judged by the term at the last flow.
    const end = one.flow[one.flow.length - 1];
    for (const reference of [one.coefficients, one.polyfit]) {
      const terms = reference.map((coefficient, i) => Math.abs(coefficient * end ** i));
      reference.forEach((coefficient, i) => {
        const difference = (polynomial.coefficients[i] - coefficient) * end ** i;
        expect(Math.abs(difference)).toBeLessThan(1e-8 * Math.max(largest, ...terms));
      });
    }
    expect(Math.abs(pressure.rms - one.rms)).toBeLessThan(1e-8 * largest);
    expect(Math.abs(pressure.largest - one.largest)).toBeLessThan(1e-8 * largest);
    expect(pressure.points).toHaveLength(points.length);
  });
});

test(`${tables.cengel.source}: a cubic meets each point of the table to 0.02 in of water`, () => {
  const points = tables.cengel.points.map(([flow, pressure]) => ({
    flow: flow * cubicFootPerMinute,
    pressure: pressure * inchOfWater,
  }));
  const { polynomial, pressure } = fitFanCurve(points);
  expect(polynomial.coefficients).toHaveLength(4);
  expect(pressure.largest / inchOfWater).toBeLessThan(0.02);
  expect(polynomialFan({ pressureKind: "total", ...polynomial }).range.max).toBe(points[5].flow);
});

test("points on a polynomial of the degree give it back, pressure and power, without residual", () => {
  fc.assert(
    fc.property(amount(100, 500), amount(-300, 300), amount(-4000, 0), amount(0, 1), (a, b, c, start) => {
      const law = (q: number): number => a + b * q + c * q * q;
      const points = [0, 0.05, 0.11, 0.18, 0.3]
        .map((q) => q + start)
        .map((flow) => ({
          flow,
          pressure: law(flow),
          power: 2000 + 100 * flow,
        }));
      const { polynomial, pressure, power } = fitFanCurve(points, 2);
      const scale = Math.max(...points.map((point) => Math.abs(point.pressure)), 1);
      expect(pressure.largest).toBeLessThan(1e-10 * scale);
      expect(power?.largest).toBeLessThan(1e-9);
      expect(Math.abs(polynomialAt(polynomial.coefficients, start + 0.2) - law(start + 0.2))).toBeLessThan(
        1e-10 * scale,
      );
      expect(polynomialAt(polynomial.powerCoefficients as number[], start)).toBeCloseTo(2000 + 100 * start, 9);
    }),
  );
});

test("no other polynomial of the degree comes nearer: residuals are orthogonal to every power of flow", () => {
  const value = fc.array(amount(0, 300), { minLength: 8, maxLength: 8 });
  fc.assert(
    fc.property(value, fc.integer({ min: 1, max: 6 }), (pressures, degree) => {
      const points = pressures.map((pressure, i) => ({ flow: i / 7, pressure }));
      const { pressure } = fitFanCurve(points, degree);
      for (let k = 0; k <= degree; k++) {
        const sum = pressure.points.reduce((total, rest, i) => total + rest * points[i].flow ** k, 0);
        expect(Math.abs(sum)).toBeLessThan(1e-7);
      }
    }),
  );
});

describe("faults", () => {
  const points = [0, 1, 2, 3].map((i) => ({ flow: i / 10, pressure: 300 - 40 * i }));
  test.each<[string, unknown, unknown, string, string]>([
    ["a degree of 0", points, 0, "out-of-range", "degree"],
    ["a degree that the points do not bear", points, 4, "out-of-range", "degree"],
    ["half a degree", points, 1.5, "out-of-range", "degree"],
    ["a degree that is no number", points, Number.NaN, "out-of-range", "degree"],
    ["one point", points.slice(1, 2), undefined, "curve.points-few", "points"],
    ["equal flows", [points[0], points[0], points[1]], undefined, "curve.flow-not-rising", "points.1.flow"],
    [
      "a pressure that is no number",
      [points[0], { flow: 1, pressure: Number.NaN }],
      1,
      "out-of-range",
      "points.1.pressure",
    ],
    ["power in one point", [{ ...points[0], power: 3 }, points[1]], 1, "curve.power-or-efficiency", "points"],
    ["nothing", undefined, undefined, "curve.points-few", "points"],
  ])("%s", (_, list, degree, code, path) => {
    expect(() => fitFanCurve(list as typeof points, degree as number)).toThrow(
      expect.objectContaining({ name: "InputError", problems: [expect.objectContaining({ code, path })] }),
    );
  });
});
