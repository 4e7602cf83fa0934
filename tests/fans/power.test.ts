import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { curveProblems, type FanCurve } from "../../src/fans/curve.js";
import { fanFamily } from "../../src/fans/family-model.js";
import { atSpeed } from "../../src/fans/laws.js";
import { fanCurve } from "../../src/fans/model.js";
import { polynomialFan } from "../../src/fans/polynomial.js";
import published from "../references/fan-tables.json" with { type: "json" };
import { amount, curves } from "./arbitraries.js";
import { cubicFootPerMinute, horsepower, inchOfWater } from "./units.js";

const shape = [
  { flow: 0, pressure: 300 },
  { flow: 0.1, pressure: 250 },
  { flow: 0.2, pressure: 50 },
];
const withPower = shape.map((point, i) => ({ ...point, power: [40, 60, 50][i] }));
const withEfficiency = shape.map((point, i) => ({ ...point, efficiency: [0, 0.5, 0.2][i] }));

describe("power from power points", () => {
  const fan = fanCurve({ pressureKind: "total", points: withPower, controlsPower: 2 });

  test("it is the points' with controls power added", () => {
    expect(fan.power?.(0)).toBe(42);
    expect(fan.power?.(0.1)).toBe(62);
  });

  test("it is never extrapolated below 0: far outside only controls power is left", () => {
    expect(fan.power?.(-10)).toBe(2);
    expect(fan.power?.(10)).toBe(2);
  });

  test("efficiency is flow times total pressure over it, without controls power", () => {
    expect(fan.efficiency?.(0.1)).toBeCloseTo((0.1 * 250) / 60, 12);
    for (const flow of [-0.1, 0, 0.5, 10]) expect(fan.efficiency?.(flow)).toBeUndefined();
  });
});

describe("power from efficiency points", () => {
  const fan = fanCurve({ pressureKind: "total", points: withEfficiency, controlsPower: 2 });

  test("it is flow times total pressure over the efficiency, with controls power added", () => {
    expect(fan.power?.(0.1)).toBeCloseTo((0.1 * 250) / 0.5 + 2, 12);
  });

  test("efficiency is interpolated itself and held at its end values outside", () => {
    expect(fan.efficiency?.(0.2)).toBe(0.2);
    expect(fan.efficiency?.(0.25)).toBe(0.2);
    expect(fan.efficiency?.(-0.1)).toBe(0);
  });

  test("where efficiency or flow is not above 0 it is undefined, not NaN or Infinity", () => {
    for (const flow of [-0.1, 0]) expect(fan.power?.(flow)).toBeUndefined();
    const even = fanCurve({ pressureKind: "total", points: shape.map((point) => ({ ...point, efficiency: 0.4 })) });
    for (const flow of [-0.1, 0]) expect(even.power?.(flow)).toBeUndefined();
  });

  test("where the fan is blown through it is controls power, not below", () => {
    expect(fan.pressure(0.4)).toBeLessThan(0);
    expect(fan.power?.(0.4)).toBe(2);
  });
});

test("no curve of efficiencies or powers, at no flow, gives a power that is NaN, infinite or negative", () => {
  const level = fc.oneof(fc.constant(0), fc.constant(5e-324), amount(0, 1));
  fc.assert(
    fc.property(
      curves,
      fc.array(level, { minLength: 7, maxLength: 7 }),
      amount(-1, 1),
      amount(0.1, 3),
      (curve, ys, q, n) => {
        for (const kind of ["power", "efficiency"] as const) {
          const points = curve.points.map((point, i) => ({ ...point, [kind]: ys[i] }));
          // Controls power that carries the air power, so that any power of the points is taken.
          const fan = atSpeed({ ...curve, points, controlsPower: 300 }, n);
          for (const flow of [q, 0, fan.range.min, fan.range.max, 5e-324]) {
            expect(fan.pressure(flow)).toSatisfy(Number.isFinite);
            expect(fan.slope(flow)).toSatisfy(Number.isFinite);
            expect(fan.power?.(flow) ?? 0).toSatisfy((value: number) => Number.isFinite(value) && value >= 0);
            expect(fan.efficiency?.(flow) ?? 0).toSatisfy((value: number) => Number.isFinite(value) && value >= 0);
          }
        }
      },
    ),
  );
});

test("without power and efficiency both are absent, also with controls power", () => {
  const fan = atSpeed(fanCurve({ pressureKind: "total", points: shape, controlsPower: 2 }), 0.9);
  expect("power" in fan).toBe(false);
  expect("efficiency" in fan).toBe(false);
});

test(`${published.abulencia.source}: power from flow, pressure and efficiency (${published.abulencia.status})`, () => {
  const { flow, pressure, efficiency, power } = published.abulencia.power;
  const [q, p] = [flow * cubicFootPerMinute, pressure * inchOfWater];
  const points = [
    { flow: q, pressure: p, efficiency },
    { flow: 2 * q, pressure: 0, efficiency },
  ];
  // Printed 17.55 hp from the rounded constant 1.575e-4; exact units give 17.567.
  expect((fanCurve({ pressureKind: "total", points }).power?.(q) as number) / horsepower).toBeCloseTo(power, 1);
});

test(`${published.fox.source}: its efficiency column follows from its power column (${published.fox.status})`, () => {
  const points = published.fox.points.map(([flow, pressure, power]) => ({
    flow: flow * cubicFootPerMinute,
    pressure: pressure * inchOfWater,
    power: power * horsepower,
  }));
  const fan = fanCurve({ pressureKind: "total", points });
  // The table was read from a graph: its own columns agree to two points of percentage only.
  for (const [flow, , , efficiency] of published.fox.points)
    expect(Math.abs(100 * (fan.efficiency?.(flow * cubicFootPerMinute) ?? 0) - efficiency)).toBeLessThan(2.2);
});

describe("an electrical input below flow times pressure", () => {
  const kilowatts = [
    { flow: 0, pressure: 200, power: 0.012 },
    { flow: 0.06, pressure: 160, power: 0.024 },
    { flow: 0.12, pressure: 40, power: 0.026 },
  ];
  const found = (curve: object) => curveProblems(curve as FanCurve).map(({ code, path }) => [code, path]);
  const code = "curve.power-below-air-power";

  test("is a fault of each of its points, also at one speed or setting of a family, and W is asked for kW", () => {
    const wrong = [
      [code, "points.1.power"],
      [code, "points.2.power"],
    ];
    expect(found({ pressureKind: "total", points: kilowatts })).toEqual(wrong);
    const [problem] = curveProblems({ pressureKind: "total", points: kilowatts });
    expect(problem.message).toContain("expected 9.6 W or more");
    expect(problem.message).toContain("such as 24 W if that was in kW, got 0.024 W");
    const watts = kilowatts.map((point) => ({ ...point, power: 1000 * point.power }));
    expect(found({ pressureKind: "total", points: watts })).toEqual([]);
    const slower = watts.map(({ flow, pressure, power }) => ({
      flow: flow / 2,
      pressure: pressure / 4,
      power: power / 8,
    }));
    const speeds = [
      { setting: "low", points: slower },
      { setting: "high", points: kilowatts },
    ];
    expect(() => fanFamily({ pressureKind: "total", speeds })).toThrow(
      "speeds.1.points.1.power: expected 9.6 W or more",
    );
  });

  test("is one of power coefficients, at the flow where it is worst", () => {
    const polynomial = { pressureKind: "total" as const, coefficients: [300, 0, -2500], from: 0, to: 0.3 };
    expect(() => polynomialFan({ ...polynomial, powerCoefficients: [0.02, 0.3] })).toThrow("W if that was in kW");
    // 300·q − 2500·q³ is most at q = 0.2: 40 W.
    expect(() => polynomialFan({ ...polynomial, powerCoefficients: [36] })).toThrow("expected 40 W or more");
    expect(() => polynomialFan({ ...polynomial, powerCoefficients: [37] })).not.toThrow();
    expect(() => polynomialFan({ ...polynomial, powerCoefficients: [10, 0, 0, 0, 0, 1e5] })).toThrow(
      "flow times pressure",
    );
  });

  test("leaves room for rounding, counts controls power, and judges static pressures by what is certain", () => {
    const one = (power: number, more = {}) =>
      found({
        pressureKind: "total",
        points: [
          { flow: 0, pressure: 200, power: 1 },
          { flow: 0.1, pressure: 100, power },
        ],
        ...more,
      });
    expect(one(9.2)).toEqual([]);
    expect(one(9)).toHaveLength(1);
    expect(one(4, { controlsPower: 6 })).toEqual([]);
    // 0.1 m³/s through 0.01 m² is 10 m/s, 60 Pa: of 16 W in total pressure 10 are certain.
    expect(one(12, { pressureKind: "static", outlet: { width: 0.1, height: 0.1 } })).toEqual([]);
    expect(one(8, { pressureKind: "static", outlet: { width: 0.1, height: 0.1 } })).toHaveLength(1);
    // Beside a wide outlet and a narrow inlet the difference of static pressures exceeds the total: of 10 W 4 are certain.
    const [inlet, outlet] = [
      { width: 0.1, height: 0.1 },
      { width: 1, height: 1 },
    ];
    expect(one(4, { pressureKind: "externalStatic", inlet, outlet })).toEqual([]);
  });
});
