import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { atDensity, atSpeed } from "../../src/fans/laws.js";
import { fanCurve } from "../../src/fans/model.js";
import { numberWithin } from "../helpers/numbers.js";
import published from "../references/fan-tables.json" with { type: "json" };
import { cubicFootPerMinute, horsepower, inchOfWater } from "./units.js";

const curve = {
  pressureKind: "total" as const,
  controlsPower: 3,
  points: [
    { flow: 0, pressure: 300, power: 40 },
    { flow: 0.1, pressure: 320, power: 60 },
    { flow: 0.2, pressure: 50, power: 50 },
  ],
};
const fan = fanCurve(curve);
const within = (tolerance: number, value: number | undefined, expected: number): void => {
  expect(Math.abs((value as number) - expected)).toBeLessThanOrEqual(tolerance * Math.abs(expected));
};
const ratio = fc.double({ min: 0.2, max: 3, noNaN: true });
const flowOf = numberWithin(-0.1, 0.4);

describe("published examples", () => {
  /** A horsepower in the tables' units of flow times pressure. */
  const ownPower = horsepower / (cubicFootPerMinute * inchOfWater);

  test(`${published.abulencia.source}: flow, pressure and power at another speed (${published.abulencia.status})`, () => {
    const { from, to } = published.abulencia.speed;
    const points = [
      { flow: from.flow, pressure: from.pressure, power: ownPower * from.power },
      { flow: 2 * from.flow, pressure: 0, power: ownPower * from.power },
    ];
    const faster = atSpeed({ pressureKind: "total", points }, to.speed / from.speed);
    expect(faster.range.min).toBeCloseTo(to.flow, 2);
    // The source drops digits here: 5·(2100/1694)² is 7.6839.
    expect(Math.abs(faster.pressure(faster.range.min) - to.pressure)).toBeLessThan(0.005);
    expect((faster.power?.(faster.range.min) as number) / ownPower).toBeCloseTo(to.power, 2);
  });

  test(`${published.fox.source}: speed and density, with the plain diameter ratios (${published.fox.status})`, () => {
    const { from, to, factors, scaled } = published.fox;
    const points = published.fox.points.map(([flow, pressure, hp]) => ({ flow, pressure, power: ownPower * hp }));
    const table = { pressureKind: "total" as const, density: from.density, points };
    const moved = atDensity(atSpeed(table, to.speed / from.speed), to.density);
    const size = to.diameter / from.diameter;
    const flow = (scaled.of * to.speed) / from.speed;
    within(1e-6, flow * size ** 3, scaled.flow);
    within(1e-4, moved.pressure(flow) * size ** 2, scaled.pressure);
    within(1e-5, ((moved.power?.(flow) as number) / ownPower) * size ** 5, scaled.power);
    within(1e-6, (moved.range.max / 60000) * size ** 3, factors.flow);
    within(1e-6, (moved.pressure(0) / 3.68) * size ** 2, factors.pressure);
    within(1e-6, ((moved.power?.(0) as number) / ownPower / 11.1) * size ** 5, factors.power);
  });
});

describe("the laws", () => {
  test("half speed: half the flows, a quarter of the pressure, an eighth of the power and all the controls power", () => {
    const slow = atSpeed(curve, 0.5);
    expect(slow.pressure(0.05)).toBe(80);
    expect(slow.power?.(0.05)).toBe(60 / 8 + 3);
    expect(slow.range).toEqual({ min: 0, max: 0.1 });
    expect(slow.density).toBe(1.2);
  });

  test("half density: the same flows, half the pressure and power and all the controls power", () => {
    const thin = atDensity(curve, 0.6);
    expect(thin.pressure(0.1)).toBe(160);
    expect(thin.power?.(0.1)).toBe(33);
    expect(thin.range).toEqual(fan.range);
  });

  test("efficiency keeps its value at the similar flow", () => {
    fc.assert(
      fc.property(ratio, ratio, (n, rho) => {
        const moved = atDensity(atSpeed(fan, n), rho);
        within(1e-12, moved.efficiency?.(0.13 * n), fan.efficiency?.(0.13) as number);
      }),
    );
  });

  test("speeds multiply, the last density counts, and their order does not", () => {
    fc.assert(
      fc.property(ratio, ratio, ratio, flowOf, (m, n, rho, q) => {
        const chained = atSpeed(atDensity(atSpeed(atDensity(fan, 7), m), rho), n);
        const direct = atDensity(atSpeed(curve, m * n), rho);
        expect(chained.pressure(q)).toBe(direct.pressure(q));
        expect(chained.power?.(q)).toBe(direct.power?.(q));
        expect(chained.range).toEqual(direct.range);
      }),
    );
  });

  test("the slope is the derivative of the pressure at every speed and density", () => {
    fc.assert(
      fc.property(ratio, ratio, (n, rho) => {
        const moved = atDensity(atSpeed(fan, n), rho);
        const q = 0.137 * n;
        const numeric = (moved.pressure(q * (1 + 1e-6)) - moved.pressure(q * (1 - 1e-6))) / (2e-6 * q);
        within(1e-6, moved.slope(q), numeric);
      }),
    );
  });

  test("laws never change the model that they are given", () => {
    const before = fan.pressure(0.07);
    atDensity(atSpeed(fan, 2), 3);
    expect(fan.pressure(0.07)).toBe(before);
    expect(fan.speed).toBe(1);
  });

  test("power is an estimate beyond ±20 % of the points' speed", () => {
    expect([0.79, 0.8, 1, 1.2, 1.21].map((n) => atSpeed(fan, n).powerEstimated)).toEqual([
      true,
      false,
      false,
      false,
      true,
    ]);
    expect(atSpeed(atSpeed(fan, 0.5), 2).powerEstimated).toBe(false);
  });

  test.each([0, -1, 1e-31, 1e31, 1e300, Number.NaN, Number.POSITIVE_INFINITY])(
    "a speed or density of %d is refused",
    (bad) => {
      const problem = (path: string): unknown =>
        expect.objectContaining({ problems: [expect.objectContaining({ code: "out-of-range", path })] });
      expect(() => atSpeed(fan, bad)).toThrow(problem("n") as Error);
      expect(() => atDensity(curve, bad)).toThrow(problem("rho") as Error);
    },
  );

  test("the fastest and slowest speeds have numbers, and none beyond them is reached in two steps", () => {
    for (const [n, rho] of [
      [1e30, 1e30],
      [1e-30, 1e-30],
    ]) {
      const far = atDensity(atSpeed(fan, n), rho);
      for (const flow of [-0.1, 0, 0.1]) {
        expect([far.pressure(flow), far.power?.(flow)].every(Number.isFinite)).toBe(true);
      }
      expect(() => atSpeed(far, n)).toThrow("n:");
    }
  });
});
