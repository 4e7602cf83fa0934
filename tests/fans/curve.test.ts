import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { curveProblems, type FanCurve, totalPressures } from "../../src/fans/curve.js";
import { fanFamily } from "../../src/fans/family-model.js";
import { fanCurve } from "../../src/fans/model.js";
import { pchipSlopes } from "../../src/numerics/interpolation.js";
import scipy from "../references/pchip.json" with { type: "json" };
import { amount, curves, total } from "./arbitraries.js";

const points = [
  { flow: 0, pressure: 300 },
  { flow: 0.1, pressure: 250 },
  { flow: 0.2, pressure: 100 },
];

describe("pressures are converted to total at the points", () => {
  // By hand: 0.2 m³/s through 0.4 × 0.1 m is 5 m/s, ½·1.2·25 = 15 Pa; through 0.2 × 0.1 m 10 m/s, 60 Pa.
  const inlet = { width: 0.4, height: 0.1 };
  const outlet = { width: 0.2, height: 0.1 };

  test("total pressures stay, whatever the sections", () => {
    expect(totalPressures({ pressureKind: "total", inlet, outlet, points })).toEqual([300, 250, 100]);
  });

  test("static (p_s,out − p_t,in) gains the velocity pressure at the outlet", () => {
    const total = totalPressures({ pressureKind: "static", inlet, outlet, points });
    expect(total[0]).toBe(300);
    expect(total[1]).toBeCloseTo(265, 10);
    expect(total[2]).toBeCloseTo(160, 10);
  });

  test("externalStatic (p_s,out − p_s,in) gains that at the outlet less that at the inlet", () => {
    const total = totalPressures({ pressureKind: "externalStatic", inlet, outlet, points });
    expect(total[1]).toBeCloseTo(250 + 15 - 3.75, 10);
    expect(total[2]).toBeCloseTo(100 + 60 - 15, 10);
  });

  test("with the density of the curve", () => {
    const total = totalPressures({ pressureKind: "static", density: 0.6, outlet, points });
    expect(total[2]).toBeCloseTo(130, 10);
  });

  test("a round outlet counts by its own area", () => {
    // 0.2 m³/s through 0.2 m diameter: 6.36619772 m/s, 24.3170841 Pa.
    const total = totalPressures({ pressureKind: "static", outlet: { diameter: 0.2 }, points });
    expect(total[2]).toBeCloseTo(124.3170841, 6);
  });
});

describe("the curve", () => {
  test("total pressure is that of the points at the points, with its exact derivative between", () => {
    const fan = fanCurve({ pressureKind: "total", points });
    for (const { flow, pressure } of points) expect(fan.pressure(flow)).toBe(pressure);
    expect(fan.slope(0.13)).toBeCloseTo((fan.pressure(0.13 + 1e-6) - fan.pressure(0.13 - 1e-6)) / 2e-6, 4);
    expect(fan.range).toEqual({ min: 0, max: 0.2 });
    expect(fan.density).toBe(1.2);
  });

  test("left of a first point on a falling curve it goes on with its slope there", () => {
    const fan = fanCurve({ pressureKind: "total", points: points.slice(1) });
    expect(fan.slope(0.05)).toBeCloseTo(-1500, 9);
    expect(fan.pressure(0)).toBeCloseTo(400, 9);
  });

  test("left of a first point on the rising side of a hump it goes on level", () => {
    const hump = [
      { flow: 0.1, pressure: 200 },
      { flow: 0.2, pressure: 240 },
      { flow: 0.3, pressure: 100 },
    ];
    const fan = fanCurve({ pressureKind: "total", points: hump });
    expect(fan.slope(0.1)).toBeGreaterThan(0);
    expect(fan.slope(0.099)).toBe(0);
    expect(fan.pressure(-1)).toBe(200);
  });

  test("right of its last point it goes on with its slope there, below 0 too", () => {
    const fan = fanCurve({ pressureKind: "total", points });
    expect(fan.pressure(0.3)).toBeCloseTo(100 + 0.1 * fan.slope(0.2), 9);
    expect(fan.pressure(0.3)).toBeLessThan(0);
  });

  test("a flow that is not a finite number is refused", () => {
    const fan = fanCurve({ pressureKind: "total", points });
    for (const flow of [Number.NaN, Number.POSITIVE_INFINITY]) {
      expect(() => fan.pressure(flow)).toThrow(expect.objectContaining({ name: "InputError" }));
      expect(() => fan.slope(flow)).toThrow(expect.objectContaining({ name: "InputError" }));
    }
  });
});

describe("a strictly falling table", () => {
  /** Three to nine points from a full pressure down to about none, unevenly spaced as read from a chart. */
  const falling: fc.Arbitrary<FanCurve> = fc
    .array(fc.tuple(amount(0.01, 0.2), amount(0.002, 1)), { minLength: 2, maxLength: 8 })
    .chain((steps) =>
      fc.tuple(amount(50, 1200), amount(0, 1)).map(([height, left]) => {
        const whole = steps.reduce((sum, [, drop]) => sum + drop, left);
        let [flow, pressure] = [0, height];
        const next = steps.map(([step, drop]) => {
          flow += step;
          pressure -= (height * drop) / whole;
          return [flow, pressure] as const;
        });
        return total([[0, height], ...next]);
      }),
    );

  test("is never refused, and its curve falls all along, beyond its points too (6,000 curves)", () => {
    let mended = 0;
    fc.assert(
      fc.property(falling, amount(0.001, 1), (curve, t) => {
        expect(curveProblems(curve)).toEqual([]);
        const fan = fanCurve(curve);
        const flows = curve.points.map(({ flow }) => flow);
        const pressures = totalPressures(curve);
        const last = flows.length - 1;
        for (let i = 0; i < last; i++) expect(fan.slope(flows[i] + t * (flows[i + 1] - flows[i]))).toBeLessThan(0);
        expect(fan.slope(flows[last] + t)).toBeLessThan(0);
        expect(fan.pressure(flows[last] + t)).toBeLessThan(pressures[last]);
        if (pchipSlopes(flows, pressures)[last] < 0) return;
        mended++;
        const secant = (pressures[last] - pressures[last - 1]) / (flows[last] - flows[last - 1]);
        const inLast = fan.slope(flows[last - 1] + t * (flows[last] - flows[last - 1]));
        expect(inLast / secant).toBeGreaterThan(1 / 3 - 1e-9);
      }),
      { numRuns: 6000 },
    );
    expect(mended).toBeGreaterThan(100);
  });

  test("at several speeds makes a family that falls all along at any speed", () => {
    fc.assert(
      fc.property(falling, amount(0.2, 1.5), amount(0.001, 1.2), (curve, speed, t) => {
        const { points, ...basis } = curve;
        const scaled = [0.5, 0.8, 1].map((n) => ({
          speed: n,
          points: points.map(({ flow, pressure }) => ({ flow: flow * n, pressure: pressure * n ** 2 })),
        }));
        const fan = fanFamily({ ...basis, speeds: scaled }).at(speed);
        expect(fan.slope(t * fan.range.max)).toBeLessThan(0);
      }),
      { numRuns: 1000 },
    );
  });

  test("has the slopes of PCHIP to the last bit wherever these fall at the end", () => {
    fc.assert(
      fc.property(curves, (curve) => {
        const flows = curve.points.map(({ flow }) => flow);
        const plain = pchipSlopes(flows, totalPressures(curve));
        const { slopes } = fanCurve(curve).base.pressure;
        const last = flows.length - 1;
        expect(slopes.slice(0, last)).toEqual(plain.slice(0, last));
        if (plain[last] < 0) expect(slopes[last]).toBe(plain[last]);
      }),
    );
  });

  test("equals SciPy's PchipInterpolator but for a level end, which falls as the last points fall (library)", () => {
    const fans = scipy.cases.filter(({ knots, values }) => {
      const [before, last] = values.slice(-2);
      return knots[0] >= 0 && last < before;
    });
    const level = fans.filter(({ knots, values, knotSlopes }) => {
      const { slopes } = fanCurve(total(knots.map((x, i) => [x, values[i]] as const))).base.pressure;
      const last = knots.length - 1;
      const steepness = Math.max(...knotSlopes.map(Math.abs));
      // What SciPy sets to 0 comes back from its polynomials with their rounding.
      const isLevel = Math.abs(knotSlopes[last]) < 1e-14 * steepness;
      knotSlopes.forEach((slope, i) => {
        if (i < last || !isLevel) expect(Math.abs(slopes[i] - slope)).toBeLessThanOrEqual(1e-13 * steepness);
      });
      const secant = (values[last] - values[last - 1]) / (knots[last] - knots[last - 1]);
      if (isLevel) expect(slopes[last]).toBe(secant);
      return isLevel;
    });
    expect([fans.length, level.length]).toEqual([14, 3]);
  });

  test("that ends less than half as steep as before: four points of an axial fan (invented)", () => {
    const fan = fanCurve(
      total([
        [0, 300],
        [0.13, 298],
        [0.16, 180],
        [0.29, 0],
      ]),
    );
    expect(fan.slope(0.29)).toBeCloseTo(-180 / 0.13, 9);
    expect(fan.pressure(0.3)).toBeCloseTo((-0.01 * 180) / 0.13, 9);
  });
});

/** A curve with a wrong part, as it comes from outside the type checker. */
const wrong = (part: object): FanCurve => ({ pressureKind: "total", points, ...part }) as FanCurve;
const withPoint = (index: number, part: object): object => ({
  points: points.map((point, i) => (i === index ? { ...point, ...part } : point)),
});

describe("every fault is named with its place", () => {
  test.each<[string, object, string, string]>([
    ["one point", { points: points.slice(0, 1) }, "curve.points-few", "points"],
    ["no points", { points: undefined }, "curve.points-few", "points"],
    ["equal flows", withPoint(2, { flow: 0.1 }), "curve.flow-not-rising", "points.2.flow"],
    ["falling flows", withPoint(1, { flow: 0.3 }), "curve.flow-not-rising", "points.2.flow"],
    ["a negative flow", withPoint(0, { flow: -0.1 }), "out-of-range", "points.0.flow"],
    ["a flow that is no number", withPoint(1, { flow: Number.NaN }), "out-of-range", "points.1.flow"],
    ["a missing flow", withPoint(1, { flow: undefined }), "out-of-range", "points.1.flow"],
    ["an infinite pressure", withPoint(1, { pressure: Number.POSITIVE_INFINITY }), "out-of-range", "points.1.pressure"],
    ["a negative power", { points: points.map((p) => ({ ...p, power: -1 })) }, "out-of-range", "points.0.power"],
    [
      "an efficiency in percent",
      { points: points.map((p) => ({ ...p, efficiency: 60 })) },
      "out-of-range",
      "points.0.efficiency",
    ],
    ["power in one point", withPoint(1, { power: 30 }), "curve.power-or-efficiency", "points"],
    [
      "power and efficiency",
      { points: points.map((p) => ({ ...p, power: 30, efficiency: 0.5 })) },
      "curve.power-or-efficiency",
      "points",
    ],
    [
      "power in some points and efficiency in the others",
      { points: points.map((p, i) => (i > 0 ? { ...p, power: 30 } : { ...p, efficiency: 0.5 })) },
      "curve.power-or-efficiency",
      "points",
    ],
    ["static pressure without an outlet", { pressureKind: "static" }, "curve.outlet-missing", "outlet"],
    [
      "a static difference without an inlet",
      { pressureKind: "externalStatic", outlet: { diameter: 0.2 } },
      "curve.inlet-missing",
      "inlet",
    ],
    ["an impossible outlet", { outlet: { diameter: 0 } }, "out-of-range", "outlet.diameter"],
    ["an outlet that is no section", { outlet: null }, "not-an-object", "outlet"],
    ["an end that rises", withPoint(2, { pressure: 260 }), "curve.rising-end", "points.2.pressure"],
    ["an end that is level", withPoint(2, { pressure: 250 }), "curve.rising-end", "points.2.pressure"],
    [
      "a slope beyond floating point",
      {
        points: [
          { flow: 0, pressure: 3 },
          { flow: 1e-320, pressure: 2 },
          { flow: 1, pressure: 1 },
        ],
      },
      "curve.too-steep",
      "points",
    ],
    ["a density of 0", { density: 0 }, "out-of-range", "density"],
    ["a negative controls power", { controlsPower: -1 }, "out-of-range", "controlsPower"],
    ["an unknown kind of pressure", { pressureKind: "Total" }, "unknown-pressure-kind", "pressureKind"],
    ["an unknown subject", { of: "box" }, "unknown-of", "of"],
    ["a misspelt key", { controlPower: 3 }, "unknown-key", "controlPower"],
    ["a misspelt key of a point", withPoint(1, { powr: 3 }), "unknown-key", "points.1.powr"],
    ["a point that is no object", { points: [points[0], null, points[2]] }, "not-an-object", "points.1"],
  ])("%s", (_, part, code, path) => {
    const problems = curveProblems(wrong(part));
    expect(problems[0]).toEqual(expect.objectContaining({ code, path }));
    for (const problem of problems) expect(problem.message.startsWith(`${problem.path}:`)).toBe(true);
    expect(() => fanCurve(wrong(part))).toThrow(expect.objectContaining({ name: "InputError", problems }));
  });

  test("an end that does not fall is told by the slope between the last two points", () => {
    const [{ message }] = curveProblems(wrong(withPoint(2, { pressure: 260 })));
    expect(message).toBe(
      "points.2.pressure: expected a total pressure that falls with flow at the last point, got a slope of 100 Pa per m³/s from the point before",
    );
  });

  test("a fall between two points beyond floating point is too steep, also where the slopes at the points are finite", () => {
    const heights = [1.7e308, 1.6e308, -1.6e308, -1.7e308, -1.71e308];
    const [problem] = curveProblems(total(heights.map((pressure, flow) => [flow, pressure] as const)));
    expect(problem.code).toBe("curve.too-steep");
  });

  test("what must fall is the total pressure: static pressure may rise where a wider outlet slows the air", () => {
    const rising = wrong({ ...withPoint(2, { pressure: 260 }), inlet: { diameter: 0.1 }, outlet: { diameter: 0.2 } });
    expect(curveProblems({ ...rising, pressureKind: "externalStatic" })).toEqual([]);
  });

  test("several faults are reported together", () => {
    const codes = curveProblems(wrong({ pressureKind: "static", density: -1, points: [] })).map(({ code }) => code);
    expect(codes).toEqual(["out-of-range", "curve.outlet-missing", "curve.points-few"]);
  });

  test("what is no object is refused", () => {
    for (const value of [undefined, null, 5, "curve"]) {
      expect(() => fanCurve(value as unknown as FanCurve)).toThrow(expect.objectContaining({ name: "InputError" }));
    }
  });

  test("curveProblems never throws", () => {
    const key = fc.constantFrom("pressureKind", "density", "inlet", "outlet", "of", "points", "controlsPower");
    const word = fc.string().filter((text) => text !== "toString" && text !== "valueOf");
    const value = fc.anything({ key: word });
    fc.assert(
      fc.property(fc.dictionary(key, value), fc.array(value), (curve, list) => {
        expect(Array.isArray(curveProblems(curve as unknown as FanCurve))).toBe(true);
        expect(Array.isArray(curveProblems(wrong({ points: list })))).toBe(true);
        const flows = list.map((flow, i) => (i % 2 === 0 ? { flow, pressure: -i } : { flow: i, pressure: flow }));
        expect(Array.isArray(curveProblems(wrong({ points: flows })))).toBe(true);
      }),
    );
  });
});
