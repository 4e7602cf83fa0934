import fc from "fast-check";
import { describe, expect, test } from "vitest";
import type { FanPoint } from "../../src/fans/curve.js";
import { atDensity, atSpeed } from "../../src/fans/laws.js";
import { fanCurve } from "../../src/fans/model.js";
import { operatingPoints, type SystemCurve } from "../../src/fans/operating.js";
import tables from "../references/fan-tables.json" with { type: "json" };
import fixture from "../references/operating-points.json" with { type: "json" };
import { amount, curves, total } from "./arbitraries.js";
import { cubicFootPerMinute } from "./units.js";

const systemPressure = ({ a, b, n }: SystemCurve, q: number): number => a + b * Math.sign(q) * Math.abs(q) ** n;

describe("against SciPy: PchipInterpolator and brentq (library)", () => {
  test.each(fixture.cases)("$name", ({ points, system, operatingPoints: expected }) => {
    const found = operatingPoints({ pressureKind: "total", points }, system);
    expect(found.map(({ stable, withinCurve }) => ({ stable, withinCurve }))).toEqual(
      expected.map(({ stable, withinCurve }) => ({ stable, withinCurve })),
    );
    found.forEach(({ flow }, i) => {
      expect(Math.abs(flow - expected[i].flow)).toBeLessThanOrEqual(1e-14);
    });
  });

  test(`${tables.cengel.source} (${tables.cengel.status}): near the published operating point`, () => {
    const [point] = fixture.cases[0].operatingPoints;
    // With the friction factor held at its value for 600 ft³/min; the book reads its point from a graph.
    const { flow, pressure } = tables.cengel.published;
    expect(Math.abs(point.flow / cubicFootPerMinute / flow - 1)).toBeLessThan(0.01);
    const reached = operatingPoints(
      { pressureKind: "total", points: fixture.cases[0].points },
      fixture.cases[0].system,
    );
    expect(Math.abs(reached[0].pressure / (0.0254 * 998 * 9.81) / pressure - 1)).toBeLessThan(0.015);
  });
});

describe("closed forms", () => {
  const line = total([
    [0, 300],
    [0.2, 200],
  ]);

  test("a straight fan line meets a straight system exactly, within its points and on both extensions", () => {
    expect(operatingPoints(line, { a: 0, b: 2500, n: 1 })).toEqual([
      { flow: 0.1, pressure: 250, stable: true, withinCurve: true },
    ]);
    expect(operatingPoints(line, { a: 0, b: 250, n: 1 })[0].flow).toBeCloseTo(0.4, 14);
    expect(operatingPoints(line, { a: 450, b: 1000, n: 1 })[0].flow).toBeCloseTo(-0.1, 14);
  });

  test("a straight fan line meets a quadratic system at the root of the quadratic equation", () => {
    // 300 − 500q = 5000q²
    const [{ flow }] = operatingPoints(line, { a: 0, b: 5000, n: 2 });
    expect(flow).toBeCloseTo((-500 + Math.sqrt(500 ** 2 + 4 * 5000 * 300)) / 10000, 15);
  });

  test("a quadratic fan curve by 21 points meets a quadratic system within the error of interpolation", () => {
    const quadratic = total(Array.from({ length: 21 }, (_, i) => [i / 50, 300 - 1000 * (i / 50) ** 2] as const));
    const [{ flow }] = operatingPoints(quadratic, { a: 0, b: 2000, n: 2 });
    expect(flow).toBeCloseTo(Math.sqrt(0.1), 4);
  });

  test("a system without resistance is met where the curve has its pressure, also beyond its points", () => {
    expect(operatingPoints(line, { a: 250, b: 0, n: 2 })[0].flow).toBeCloseTo(0.1, 14);
    expect(operatingPoints(line, { a: 0, b: 0, n: 2 })[0].flow).toBeCloseTo(0.6, 14);
    expect(operatingPoints(line, { a: 400, b: 0, n: 2 })[0].flow).toBeCloseTo(-0.2, 14);
  });
});

const hump = total([
  [0, 200],
  [0.05, 150],
  [0.1, 220],
  [0.2, 100],
]);

describe("special positions", () => {
  test.each([0, 0.05, 0.1, 0.2])("a system through the point at %f m³/s meets it once, there", (q) => {
    const point = hump.points.find(({ flow }) => flow === q) as FanPoint;
    const found = operatingPoints(hump, { a: point.pressure - 10 * q, b: 10, n: 1 });
    expect(found.filter(({ flow }) => Math.abs(flow - q) < 1e-6).map(({ flow }) => flow)).toEqual([q]);
  });

  test("a system that touches the dip is met there once, unstable; a little above it twice; below it not", () => {
    const near = (a: number) => operatingPoints(hump, { a, b: 0, n: 1 }).filter(({ flow }) => flow < 0.09);
    expect(near(150).map(({ flow, stable }) => [flow, stable])).toEqual([[0.05, false]]);
    expect(near(150.001).map(({ stable }) => stable)).toEqual([true, false]);
    expect(near(149.999)).toEqual([]);
  });

  test("a level stretch at the system's pressure is one point, and not stable", () => {
    const level = total([
      [0, 200],
      [0.1, 150],
      [0.2, 150],
      [0.3, 50],
    ]);
    const found = operatingPoints(level, { a: 150, b: 0, n: 2 });
    expect(found).toHaveLength(1);
    expect(found[0]).toMatchObject({ pressure: 150, stable: false });
  });

  test("a level extension that no system reaches gives no point there", () => {
    const rising = total([
      [0.1, 180],
      [0.15, 200],
      [0.2, 100],
    ]);
    expect(operatingPoints(rising, { a: 300, b: 0, n: 2 })).toEqual([]);
    const [reversed] = operatingPoints(rising, { a: 300, b: 1200, n: 1 });
    expect(reversed).toMatchObject({ stable: true, withinCurve: false });
    expect(reversed.flow).toBeCloseTo(-0.1, 14);
  });

  test("a line so steep that its flow cannot be resolved is met all the same", () => {
    const steep = total([
      [0.1, 150],
      [0.24378, 224.64637],
      [0.243781, 151.51035],
    ]);
    const found = operatingPoints(steep, { a: 0, b: 0, n: 3 });
    expect(found).toMatchObject([{ stable: true, withinCurve: false }]);
    expect(Math.abs(found[0].pressure)).toBeLessThan(1e-7);
  });

  test("a hump is met three times by a flat system: stable, unstable, stable", () => {
    const found = operatingPoints(hump, { a: 180, b: 0, n: 1 });
    expect(found.map(({ stable }) => stable)).toEqual([true, false, true]);
  });
});

const systems = fc.record({
  a: fc.oneof(amount(-100, 300), fc.constant(0)),
  b: fc.oneof(amount(0, 20000), fc.constant(0)),
  n: fc.oneof(amount(0.5, 3), fc.constantFrom(0.5, 1, 2, 3)),
});

describe("any curve with any system", () => {
  test("every point satisfies both to 1e-9 of the largest pressure, in rising order, without NaN", () => {
    fc.assert(
      fc.property(curves, systems, amount(0.3, 2), amount(0.5, 2), (curve, system, n, rho) => {
        const fan = atDensity(atSpeed(curve, n), rho);
        const found = operatingPoints(fan, system);
        const shutOff = Math.max(Math.abs(fan.pressure(fan.range.min)), Math.abs(system.a));
        let last = Number.NEGATIVE_INFINITY;
        for (const { flow, pressure, withinCurve } of found) {
          expect(Math.abs(pressure - systemPressure(system, flow))).toBeLessThanOrEqual(1e-9 * shutOff);
          expect(pressure).toBe(fan.pressure(flow));
          expect(flow).toBeGreaterThan(last);
          if (Math.min(Math.abs(flow - fan.range.min), Math.abs(flow - fan.range.max)) > 1e-12)
            expect(withinCurve).toBe(flow > fan.range.min && flow < fan.range.max);
          last = flow;
        }
      }),
      { numRuns: 500 },
    );
  });

  test("every sign change of a scan over 4,000 flows has its point, and stable and unstable points alternate", () => {
    fc.assert(
      fc.property(curves, systems, (curve, system) => {
        const fan = fanCurve(curve);
        const found = operatingPoints(fan, system);
        // The curve and its level extension can meet a system in a kink at the first point, as if they touched it.
        const parallel = ({ flow }: { flow: number }): boolean =>
          flow === fan.range.min ||
          Math.abs(fan.slope(flow) - system.b * system.n * Math.abs(flow) ** (system.n - 1)) < 1e-3;
        const step = (3 * fan.range.max) / 4000;
        let start = -fan.range.max;
        let before = fan.pressure(start) - systemPressure(system, start);
        for (let i = 1; i <= 4000; i++) {
          const q = -fan.range.max + i * step;
          const difference = fan.pressure(q) - systemPressure(system, q);
          if (Math.abs(difference) < 1e-6) continue; // too near to tell a crossing from a touch
          if (before * difference < 0) {
            const between = found.filter(({ flow }) => flow >= start && flow <= q);
            expect(between.length).toBeGreaterThan(0);
            if (between.length === 1) expect(between[0].stable === before > 0 || parallel(between[0])).toBe(true);
          }
          [start, before] = [q, difference];
        }
        // The fan ends below every system, so that the last of the points is stable, and so is every second before it.
        const flags = found.map(({ stable }) => stable).reverse();
        if (!found.some(parallel)) expect(flags).toEqual(flags.map((_, i) => i % 2 === 0));
      }),
      { numRuns: 200 },
    );
  });

  test("the flows do not depend on density where the system's pressure scales with it", () => {
    fc.assert(
      fc.property(curves, systems, amount(0.3, 3), (curve, { a, b, n }, ratio) => {
        const light = operatingPoints(curve, { a, b, n }).filter(({ stable }) => stable);
        const heavy = operatingPoints(atDensity(curve, 1.2 * ratio), { a: a * ratio, b: b * ratio, n });
        for (const { flow } of light) {
          const nearest = Math.min(...heavy.map((point) => Math.abs(point.flow - flow)));
          expect(nearest).toBeLessThanOrEqual(1e-7 * Math.max(1, Math.abs(flow)));
        }
      }),
    );
  });

  test("on a quadratic system without fixed pressure the flows scale with speed", () => {
    fc.assert(
      fc.property(amount(100, 20000), amount(0.3, 2), (b, speed) => {
        const slow = operatingPoints(hump, { a: 0, b, n: 2 });
        const fast = operatingPoints(atSpeed(hump, speed), { a: 0, b, n: 2 });
        expect(fast.length).toBe(slow.length);
        fast.forEach(({ flow }, i) => {
          expect(Math.abs(flow - speed * slow[i].flow)).toBeLessThan(1e-9);
        });
      }),
    );
  });
});

test.each<[string, object, string]>([
  ["a", { a: Number.NaN, b: 1, n: 2 }, "a"],
  ["b", { a: 0, b: -1, n: 2 }, "b"],
  ["b that is no number", { a: 0, b: Number.NaN, n: 2 }, "b"],
  ["n", { a: 0, b: 1, n: 4 }, "n"],
  ["a misspelt key", { a: 0, b: 1, n: 2, m: 3 }, "m"],
])("a wrong %s is refused by name", (_, system, path) => {
  expect(() => operatingPoints(hump, system as SystemCurve)).toThrow(
    expect.objectContaining({ name: "InputError", problems: [expect.objectContaining({ path })] }),
  );
});
