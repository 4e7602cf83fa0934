import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { atSpeed } from "../../src/fans/laws.js";
import { operatingPoints } from "../../src/fans/operating.js";
import { type PolynomialCurve, polynomialFan, polynomialProblems } from "../../src/fans/polynomial.js";
import { stallRange } from "../../src/fans/stall.js";
import { amount } from "./arbitraries.js";

const quadratic: PolynomialCurve = { pressureKind: "total", coefficients: [300, 0, -2500], from: 0, to: 0.3 };
const wrong = (part: object): PolynomialCurve => ({ ...quadratic, ...part }) as PolynomialCurve;

describe("a curve by coefficients is the polynomial itself", () => {
  test("up to the third power to rounding, value and slope, also scaled by the fan laws", () => {
    fc.assert(
      fc.property(amount(-500, 500), amount(-3000, 3000), amount(0, 1), amount(0.3, 2), (b, c, part, n) => {
        const curve = wrong({ coefficients: [300, b, c, -20000] });
        fc.pre(polynomialProblems(curve).length === 0);
        const q = 0.3 * part;
        const fan = polynomialFan(curve);
        const exact = 300 + b * q + c * q ** 2 - 20000 * q ** 3;
        expect(Math.abs(fan.pressure(q) - exact)).toBeLessThan(1e-10);
        expect(Math.abs(fan.slope(q) - (b + 2 * c * q - 60000 * q ** 2))).toBeLessThan(1e-4);
        expect(Math.abs(atSpeed(fan, n).pressure(n * q) - n * n * exact)).toBeLessThan(1e-9);
      }),
    );
  });

  test("of higher powers to 1e-9 of its largest value", () => {
    const coefficients = [300, 100, -2000, 5000, -30000, 20000, -90000];
    const fan = polynomialFan(wrong({ coefficients }));
    for (let i = 0; i <= 997; i++) {
      const q = (0.3 * i) / 997;
      const exact = coefficients.reduce((sum, c, k) => sum + c * q ** k, 0);
      expect(Math.abs(fan.pressure(q) - exact)).toBeLessThan(3e-7);
    }
  });

  test("static pressure gains the velocity pressure at the outlet: 0.2 m³/s through 0.2 × 0.1 m, 60 Pa", () => {
    const outlet = { width: 0.2, height: 0.1 };
    const fan = polynomialFan(wrong({ pressureKind: "static", outlet, coefficients: [300, -500, -3000] }));
    expect(fan.pressure(0.2)).toBeCloseTo(300 - 100 - 120 + 60, 10);
  });

  test("quadratic fan against quadratic system: √((p₀ − a)/(b + c))", () => {
    const [found] = operatingPoints(polynomialFan(quadratic), { a: 20, b: 4000, n: 2 });
    expect(found.flow).toBeCloseTo(Math.sqrt(280 / 6500), 14);
  });

  test("its stall region ends at the top of its hump: p = 200 + 400 q − 2000 q² turns at 0.1", () => {
    const range = stallRange(polynomialFan(wrong({ coefficients: [200, 400, -2000] })));
    expect(range?.from).toBe(0);
    expect(range?.to).toBeCloseTo(0.1, 12);
  });

  test("power by coefficients, controls power added, n³ at another speed", () => {
    const fan = polynomialFan(wrong({ powerCoefficients: [20, 300, -400], controlsPower: 2 }));
    expect(fan.power?.(0.2)).toBeCloseTo(20 + 60 - 16 + 2, 12);
    expect(atSpeed(fan, 0.5).power?.(0.1)).toBeCloseTo(64 / 8 + 2, 12);
    expect("power" in polynomialFan(quadratic)).toBe(false);
  });

  test("beyond its flows it goes on straight, where the polynomial means nothing", () => {
    const fan = polynomialFan(wrong({ coefficients: [200, 400, -2000], from: 0.05 }));
    expect(fan.pressure(0)).toBeCloseTo(fan.pressure(0.05), 12);
    expect(fan.pressure(0.4)).toBeCloseTo(fan.pressure(0.3) - 0.1 * 800, 9);
    expect(fan.range).toEqual({ min: 0.05, max: 0.3 });
  });
});

describe("every fault is named with its place", () => {
  test.each<[string, object, string, string]>([
    ["one coefficient", { coefficients: [300] }, "curve.coefficients", "coefficients"],
    ["ten coefficients", { coefficients: new Array(10).fill(-1) }, "curve.coefficients", "coefficients"],
    ["no list", { coefficients: "300" }, "curve.coefficients", "coefficients"],
    ["a coefficient that is no number", { coefficients: [300, Number.NaN] }, "out-of-range", "coefficients.1"],
    ["an infinite power coefficient", { powerCoefficients: [1 / 0] }, "out-of-range", "powerCoefficients.0"],
    ["a power below 0", { powerCoefficients: [10, -100] }, "out-of-range", "powerCoefficients"],
    ["a power below 0 in between", { powerCoefficients: [2, -60, 200] }, "out-of-range", "powerCoefficients"],
    ["a negative flow", { from: -0.1 }, "out-of-range", "from"],
    ["ends the wrong way round", { from: 0.4 }, "out-of-range", "to"],
    ["no end", { to: undefined }, "out-of-range", "to"],
    ["a rising end", { coefficients: [100, 200] }, "curve.rising-end", "coefficients"],
    ["a level end", { coefficients: [100, 0] }, "curve.rising-end", "coefficients"],
    ["static pressure without an outlet", { pressureKind: "static" }, "curve.outlet-missing", "outlet"],
    ["a misspelt key", { coeficients: [1] }, "unknown-key", "coeficients"],
    ["points too", { points: [] }, "unknown-key", "points"],
  ])("%s", (_, part, code, path) => {
    const problems = polynomialProblems(wrong(part));
    expect(problems[0]).toEqual(expect.objectContaining({ code, path }));
    for (const problem of problems) expect(problem.message.startsWith(`${problem.path}:`)).toBe(true);
    expect(() => polynomialFan(wrong(part))).toThrow(expect.objectContaining({ name: "InputError", problems }));
  });

  test("what is no object is refused, and polynomialProblems never throws", () => {
    expect(() => polynomialFan(undefined as unknown as PolynomialCurve)).toThrow(/an object/);
    const key = fc.constantFrom("pressureKind", "coefficients", "from", "to", "powerCoefficients", "outlet");
    fc.assert(
      fc.property(fc.dictionary(key, fc.anything({ key: fc.constantFrom("a", "diameter") })), (part) => {
        expect(Array.isArray(polynomialProblems(wrong(part)))).toBe(true);
      }),
    );
  });
});
