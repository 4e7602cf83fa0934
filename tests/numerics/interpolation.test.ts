import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { pchip, pchipSlopes, pieceOf, slopeAt, slopeBounds, valueAt } from "../../src/numerics/interpolation.js";
import { numberWithin } from "../helpers/numbers.js";
import fixture from "../references/pchip.json" with { type: "json" };

const largest = (values: readonly number[]): number => Math.max(...values.map(Math.abs));

describe("PCHIP against SciPy's PchipInterpolator (library)", () => {
  test.each(fixture.cases)("$name: slopes at the points, values and slopes between", (one) => {
    const curve = pchip(one.knots, one.values);
    const height = largest(one.values);
    const steepness = Math.max(largest(one.knotSlopes), largest(one.slope));
    one.knotSlopes.forEach((slope, i) => {
      expect(Math.abs(curve.slopes[i] - slope)).toBeLessThanOrEqual(1e-13 * steepness);
    });
    one.at.forEach((x, i) => {
      expect(Math.abs(valueAt(curve, x) - one.value[i])).toBeLessThanOrEqual(1e-13 * height);
      expect(Math.abs(slopeAt(curve, x) - one.slope[i])).toBeLessThanOrEqual(1e-12 * steepness);
    });
  });
});

const points = fc
  .array(fc.tuple(fc.double({ min: 0.01, max: 10, noNaN: true }), numberWithin(-100, 100)), {
    minLength: 2,
    maxLength: 9,
  })
  .map((steps) => {
    let x = -5;
    const knots = steps.map(([step]) => {
      x += step;
      return x;
    });
    return { knots, values: steps.map(([, value]) => value) };
  });
const share = numberWithin(0, 1);

describe("the shape of the curve", () => {
  test("it passes through its points exactly", () => {
    fc.assert(
      fc.property(points, ({ knots, values }) => {
        const curve = pchip(knots, values);
        knots.forEach((x, i) => {
          expect(valueAt(curve, x) === values[i]).toBe(true);
        });
      }),
    );
  });

  test("between two points it stays within their values", () => {
    fc.assert(
      fc.property(points, share, ({ knots, values }, t) => {
        const curve = pchip(knots, values);
        for (let i = 0; i + 1 < knots.length; i++) {
          const value = valueAt(curve, knots[i] + t * (knots[i + 1] - knots[i]));
          expect(value).toBeGreaterThanOrEqual(Math.min(values[i], values[i + 1]) - 1e-12);
          expect(value).toBeLessThanOrEqual(Math.max(values[i], values[i + 1]) + 1e-12);
        }
      }),
    );
  });

  test("no slope lies outside its bounds, and there are slopes next to both", () => {
    fc.assert(
      fc.property(points, ({ knots, values }) => {
        const curve = pchip(knots, values);
        const [least, largest] = slopeBounds(curve);
        const slopes = knots.slice(1).flatMap((end, i) => {
          const start = knots[i];
          return Array.from({ length: 201 }, (_, k) => slopeAt(curve, start + (k / 201) * (end - start)));
        });
        slopes.push(curve.left, curve.right);
        const [found, most] = [Math.min(...slopes), Math.max(...slopes)];
        const near = 1e-3 * (largest - least) + 1e-9 * Math.max(Math.abs(least), Math.abs(largest));
        expect(found).toBeGreaterThanOrEqual(least - near);
        expect(found).toBeLessThanOrEqual(least + near);
        expect(most).toBeLessThanOrEqual(largest + near);
        expect(most).toBeGreaterThanOrEqual(largest - near);
      }),
    );
  });

  test("the slope is the derivative of the value, and the derivatives of a piece rebuild both", () => {
    fc.assert(
      fc.property(points, fc.double({ min: 0.01, max: 0.99, noNaN: true }), ({ knots, values }, t) => {
        const curve = pchip(knots, values);
        for (let i = 0; i + 1 < knots.length; i++) {
          const step = knots[i + 1] - knots[i];
          const scale = largest(values) / step + 1e-9;
          const x = knots[i] + t * step;
          const half = 1e-4 * step;
          const numeric = (valueAt(curve, x + half) - valueAt(curve, x - half)) / (2 * half);
          expect(Math.abs(slopeAt(curve, x) - numeric)).toBeLessThanOrEqual(1e-5 * scale);
          const { first, second, third } = pieceOf(curve, i);
          const u = x - knots[i];
          const value = values[i] + u * (first + u * (second / 2 + (u * third) / 6));
          expect(Math.abs(valueAt(curve, x) - value)).toBeLessThanOrEqual(1e-11 * scale * step);
          const slope = first + u * (second + (u * third) / 2);
          expect(Math.abs(slopeAt(curve, x) - slope)).toBeLessThanOrEqual(1e-11 * scale);
        }
      }),
    );
  });

  test("two points make a straight line", () => {
    expect([...pchipSlopes([1, 3], [4, 0])]).toEqual([-2, -2]);
    const line = pchip([1, 3], [4, 0]);
    expect(valueAt(line, 2)).toBe(2);
    expect(valueAt(line, 5)).toBe(-4);
    expect(valueAt(line, 0)).toBe(6);
  });
});

describe("extensions", () => {
  const curve = pchip([0, 1, 2], [3, 4, 0], -2, -7);

  test("they are lines of the given slopes from the first and the last point", () => {
    expect(valueAt(curve, -1)).toBe(5);
    expect(slopeAt(curve, -1)).toBe(-2);
    expect(valueAt(curve, 3)).toBe(-7);
    expect(slopeAt(curve, 3)).toBe(-7);
  });

  test("without given slopes they go on with those at the ends", () => {
    const plain = pchip([0, 1, 2], [3, 4, 0]);
    expect(plain.left).toBe(plain.slopes[0]);
    expect(plain.right).toBe(plain.slopes[2]);
  });

  test("NaN gives NaN, never a number", () => {
    expect(valueAt(curve, Number.NaN)).toBeNaN();
    expect(slopeAt(curve, Number.NaN)).toBeNaN();
  });
});
