import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { computedIntersections } from "../../src/fans/computed-system.js";
import { curveProblems } from "../../src/fans/curve.js";
import { type FanModel, fanCurve } from "../../src/fans/model.js";
import { operatingPoints } from "../../src/fans/operating.js";
import { polynomialFan } from "../../src/fans/polynomial.js";
import { total } from "./arbitraries.js";

/** The intersections with a law that is asked at equal steps of flow and wherever else it is needed. */
const met = (fan: FanModel, law: (q: number) => number, from: number, to: number, points: number) => {
  let asked = 0;
  const known = Array.from({ length: points }, (_, i) => {
    const flow = i + 1 === points ? to : from + ((to - from) * i) / (points - 1);
    return { flow, pressure: law(flow) };
  });
  const { intersections: found, jumps } = computedIntersections(fan, known, (flow) => {
    asked++;
    return law(flow);
  });
  return { found, jumps, asked };
};
const grids = [3, 7, 21, 101];
const step = (min: number, max: number) => fc.integer({ min: 0, max: 1000 }).map((i) => min + ((max - min) * i) / 1000);
/** Curves of any shape that ends falling. */
const curves = fc
  .array(fc.tuple(step(0.02, 0.1), step(50, 300)), { minLength: 1, maxLength: 6 })
  .map((steps) => {
    let flow = -steps[0][0];
    const points = steps.map(([by, pressure]): [number, number] => {
      flow += by;
      return [flow, pressure];
    });
    return total([...points, [flow + 0.1, 0]]);
  })
  .filter((curve) => curveProblems(curve).length === 0);

describe("a fan meets a system that is asked as needed", () => {
  test("where `operatingPoints` finds that it meets a power law; at most pairs between two known points are not shown by them", () => {
    const system = fc.record({ a: step(-50, 250), b: step(0, 8000), n: step(1, 2) });
    let [shown, hidden] = [0, 0];
    fc.assert(
      fc.property(curves, system, (curve, { a, b, n }) => {
        const fan = fanCurve(curve);
        const to = 1.2 * fan.range.max;
        const law = (q: number): number => a + b * q ** n;
        const all = operatingPoints(fan, { a, b, n }).filter(({ flow }) => flow >= 0 && flow < to);
        for (const points of grids) {
          const { found } = met(fan, law, 0, to, points);
          const missed = all.filter(({ flow }) => found.every((one) => Math.abs(one.flow - flow) > 1e-9 * to));
          const expected = all.filter((one) => !missed.includes(one));
          expect(found.map(({ stable }) => stable)).toEqual(expected.map(({ stable }) => stable));
          for (const { flow, pressure } of found) {
            expect(Math.abs(pressure - law(flow))).toBeLessThan(1e-10 * 300);
          }
          const steps = missed.map(({ flow }) => Math.floor(((points - 1) * flow) / to));
          expect(steps.length % 2).toBe(0);
          for (let i = 0; i < steps.length; i += 2) expect(steps[i + 1]).toBe(steps[i]);
          shown += all.length > 1 ? 1 : 0;
          hidden += missed.length > 0 ? 1 : 0;
        }
      }),
      { numRuns: 400, endOnFailure: true },
    );
    expect(hidden).toBeLessThan(0.01 * shown);
  });

  test("at both of two flows between the same two known points", () => {
    // 100 + 400q − 4000q² against 109 Pa: 0.05 ∓ 0.0158.
    const fan = polynomialFan({ pressureKind: "total", coefficients: [100, 400, -4000], from: 0, to: 0.2 });
    const off = Math.sqrt(1 / 4000);
    for (const points of [2, 3, 4, 21]) {
      const flows = met(fan, () => 109, 0, 0.2, points).found.map(({ flow, stable }) => [flow, stable] as const);
      expect(flows).toHaveLength(2);
      for (const [i, sign] of [-1, 1].entries()) {
        expect(flows[i][0]).toBeCloseTo(0.05 + sign * off, 13);
        expect(flows[i][1]).toBe(sign > 0);
      }
    }
  });

  test("where they only touch: once, and not stable", () => {
    const fan = polynomialFan({ pressureKind: "total", coefficients: [100, 400, -4000], from: 0, to: 0.2 });
    // Level at the top; and c·q² + d, which touches at 0.03 where both have the slope 160.
    const c = 160 / 0.06;
    const d = 100 + 400 * 0.03 - 4000 * 0.03 ** 2 - c * 0.03 ** 2;
    for (const points of grids) {
      for (const [law, at] of [
        [() => 110, 0.05],
        [(q: number) => c * q * q + d, 0.03],
      ] as const) {
        const { found } = met(fan, law, 0, 0.2, points);
        expect(found).toHaveLength(1);
        expect(Math.abs(found[0].flow - at)).toBeLessThan(1e-6);
        expect(found[0].stable).toBe(false);
        expect(met(fan, (q) => law(q) + 1e-6, 0, 0.2, points).found).toEqual([]);
      }
    }
  });

  test("at the rounding of the flow, however steep the system, and without asking it often", () => {
    const fan = fanCurve(
      total([
        [0, 300],
        [0.25, 20],
      ]),
    );
    fc.assert(
      fc.property(step(0.01, 0.24), fc.integer({ min: 2, max: 9 }), step(1, 3), (at, decades, power) => {
        const law = (q: number): number =>
          fan.pressure(at) + Math.sign(q - at) * 10 ** decades * Math.abs((q - at) / 0.25) ** power;
        for (const points of grids) {
          const { found, asked } = met(fan, law, 0, 0.25, points);
          expect(found).toHaveLength(1);
          expect(Math.abs(found[0].flow - at)).toBeLessThan(1e-12 * at);
          expect(found[0].stable).toBe(true);
          expect(asked).toBeLessThan(120);
        }
      }),
    );
  });

  test("at no flow at which the system jumps over the fan: that is told to rounding of the flow, whatever lies beside it", () => {
    const fan = fanCurve(
      total([
        [0, 300],
        [0.25, 20],
      ]),
    );
    const law = (q: number): number => (q < 0.1234 ? 10 : 290);
    for (const points of grids) {
      const { found, jumps } = met(fan, law, 0, 0.25, points);
      expect(found).toEqual([]);
      expect(jumps).toHaveLength(1);
      expect(Math.abs(jumps[0] / 0.1234 - 1)).toBeLessThan(1e-12);
    }
    // A jump elsewhere does no harm.
    expect(met(fan, (q) => (q < 0.02 ? 10 : 100), 0, 0.25, 21)).toMatchObject({ found: { length: 1 }, jumps: [] });
    // Nor does one across the fan hide where it meets the system: 300 − 1120·q = 1500·q.
    const both = met(fan, (q) => (q < 0.2 ? 1500 * q : 10), 0, 0.25, 21);
    expect(both.found.map(({ flow }) => flow)).toEqual([expect.closeTo(300 / 2620, 13)]);
    expect(both.jumps).toEqual([expect.closeTo(0.2, 13)]);
  });

  test("at the first and the last known point, and at no flow", () => {
    const fan = fanCurve(
      total([
        [0, 300],
        [0.25, 20],
      ]),
    );
    const linear = (q: number): number => 300 - 1120 * q;
    for (const [from, to, at] of [
      [0.1, 0.2, 0.1],
      [0.1, 0.2, 0.2],
      [-0.1, 0.2, 0],
    ]) {
      const { found } = met(fan, (q) => linear(q) + 5000 * (q - at), from, to, 5);
      expect(found).toHaveLength(1);
      expect(Math.abs(found[0].flow - at)).toBeLessThan(1e-12);
      expect(found[0].stable).toBe(true);
    }
  });
});
