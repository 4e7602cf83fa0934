import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { curveProblems, type FanCurve, totalPressures } from "../../src/fans/curve.js";
import { fanCurve } from "../../src/fans/model.js";

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

  test("staticDifference (p_s,out − p_s,in) gains that at the outlet less that at the inlet", () => {
    const total = totalPressures({ pressureKind: "staticDifference", inlet, outlet, points });
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
      { pressureKind: "staticDifference", outlet: { diameter: 0.2 } },
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
    ["a negative standby power", { standbyPower: -1 }, "out-of-range", "standbyPower"],
    ["an unknown kind of pressure", { pressureKind: "Total" }, "unknown-pressure-kind", "pressureKind"],
    ["an unknown subject", { of: "box" }, "unknown-of", "of"],
    ["a misspelt key", { standByPower: 3 }, "unknown-key", "standByPower"],
    ["a misspelt key of a point", withPoint(1, { powr: 3 }), "unknown-key", "points.1.powr"],
    ["a point that is no object", { points: [points[0], null, points[2]] }, "not-an-object", "points.1"],
  ])("%s", (_, part, code, path) => {
    const problems = curveProblems(wrong(part));
    expect(problems[0]).toEqual(expect.objectContaining({ code, path }));
    for (const problem of problems) expect(problem.message.startsWith(`${problem.path}:`)).toBe(true);
    expect(() => fanCurve(wrong(part))).toThrow(expect.objectContaining({ name: "InputError", problems }));
  });

  test("a curve that falls from point to point can still have a level end: the message tells why", () => {
    const steep = [
      { flow: 0, pressure: 100 },
      { flow: 1, pressure: 0.5 },
      { flow: 1.1, pressure: 0 },
    ];
    const [problem] = curveProblems({ pressureKind: "total", points: steep });
    expect(problem.code).toBe("curve.rising-end");
    expect(problem.message).toContain("last three points");
  });

  test("what must fall is the total pressure: static pressure may rise where a wider outlet slows the air", () => {
    const rising = wrong({ ...withPoint(2, { pressure: 260 }), inlet: { diameter: 0.1 }, outlet: { diameter: 0.2 } });
    expect(curveProblems({ ...rising, pressureKind: "staticDifference" })).toEqual([]);
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
    const key = fc.constantFrom("pressureKind", "density", "inlet", "outlet", "of", "points", "standbyPower");
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
