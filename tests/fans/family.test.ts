import fc from "fast-check";
import { describe, expect, test } from "vitest";
import type { Problem } from "../../src/core/errors.js";
import { curveProblems, type FanCurve } from "../../src/fans/curve.js";
import type { FanFamily, FanSpeed } from "../../src/fans/family.js";
import { familyDeviation, fanFamily } from "../../src/fans/family-model.js";
import { readFamily } from "../../src/fans/family-problems.js";
import { atDensity, atSpeed } from "../../src/fans/laws.js";
import { fanCurve } from "../../src/fans/model.js";
import { operatingPoints } from "../../src/fans/operating.js";
import published from "../references/fan-tables.json" with { type: "json" };
import { amount, curves } from "./arbitraries.js";
import { cubicFootPerMinute, horsepower, inchOfWater } from "./units.js";

/** A small fan whose lower speeds fall short of the laws and whose power does not follow n³. */
const small: FanFamily & { readonly speeds: readonly (FanSpeed & { readonly speed: number })[] } = {
  pressureKind: "total",
  controlsPower: 1,
  speeds: [
    [1000, 0.43, [9, 11, 12.5, 12]],
    [1800, 0.75, [24, 33, 40, 37]],
    [2400, 1, [45, 62, 78, 72]],
  ].map(([speed, factor, power]) => {
    const [n, k] = [speed as number, factor as number];
    const shape = [300, 290, 210, 40];
    const points = [0, 0.08, 0.16, 0.24].map((q, i) => ({
      flow: q * k * (n < 2000 ? 0.97 : 1),
      pressure: shape[i] * k * k,
      power: (power as number[])[i],
    }));
    return { speed: n, points };
  }),
};

const familyProblems = (family: FanFamily): readonly Problem[] => readFamily(family).problems;

const bare = (family: FanFamily): FanFamily => ({
  ...family,
  speeds: family.speeds.map(({ speed, points }) => ({
    speed,
    points: points.map(({ flow, pressure }) => ({ flow, pressure })),
  })),
});

/** The family that the fan laws make from one curve. */
const byLaws = (curve: FanCurve, speeds: readonly number[]): FanFamily => {
  const { points, ...basis } = curve;
  return {
    ...basis,
    speeds: speeds.map((n) => ({
      speed: n,
      points: points.map(({ flow, pressure, power, efficiency }) => ({
        flow: flow * n,
        pressure: pressure * n ** 2,
        ...(power === undefined ? {} : { power: power * n ** 3 }),
        ...(efficiency === undefined ? {} : { efficiency }),
      })),
    })),
  };
};

/** Curves whose lower speed is nowhere above the higher, so that the laws make a family of them. */
const steepCurves = curves.filter((curve) => familyProblems(byLaws(curve, [0.5, 0.8, 1])).length === 0);
const speeds = amount(0.3, 1.6);
const flows = amount(-0.1, 0.9);
const family = fanFamily(small);

describe("at a given speed a family is that curve, to the last bit", () => {
  test("pressure, slope, power, efficiency, range, also beyond the points", () => {
    fc.assert(
      fc.property(fc.constantFrom(0, 1, 2), flows, (i, q) => {
        const { speed, points } = small.speeds[i];
        const alone = fanCurve({ pressureKind: "total", controlsPower: 1, points });
        const fan = family.at(speed);
        expect(fan.pressure(q)).toBe(alone.pressure(q));
        expect(fan.slope(q)).toBe(alone.slope(q));
        expect(fan.power?.(q)).toBe(alone.power?.(q));
        expect(fan.efficiency?.(q)).toBe(alone.efficiency?.(q));
        expect(fan.range).toEqual(alone.range);
      }),
    );
  });
});

describe("a family that the laws made from one curve equals that curve at every speed", () => {
  test("pressure and slope, within, between and beyond the speeds and the points", () => {
    fc.assert(
      fc.property(steepCurves, speeds, flows, (curve, n, q) => {
        const expected = atSpeed(curve, n);
        const fan = fanFamily(byLaws(curve, [0.5, 0.8, 1])).at(n);
        const scale = Math.max(...curve.points.map(({ pressure }) => pressure), Math.abs(expected.pressure(q)));
        expect(Math.abs(fan.pressure(q) - expected.pressure(q))).toBeLessThan(1e-8 * scale);
        const euler = (2 * expected.pressure(q) - q * expected.slope(q)) / n;
        const steep = Math.max(...expected.base.pressure.slopes.map(Math.abs), 1) / 0.01;
        expect(Math.abs(fan.pressureBySpeed(q) - euler)).toBeLessThan(1e-6 * steep);
      }),
    );
  });

  test("power and efficiency", () => {
    fc.assert(
      fc.property(steepCurves, speeds, amount(0, 0.5), fc.constantFrom("power", "efficiency"), (curve, n, q, kind) => {
        const level = (i: number): number => (kind === "power" ? 320 + 5 * i : 0.3 + 0.05 * i);
        const points = curve.points.map((point, i) => ({ ...point, [kind]: level(i) }));
        const expected = atSpeed({ ...curve, points }, n);
        const fan = fanFamily(byLaws({ ...curve, points }, [0.5, 0.8, 1])).at(n);
        const [found, right] = [fan.power?.(q), expected.power?.(q)];
        expect(found === undefined).toBe(right === undefined);
        if (right === undefined) return;
        expect(Math.abs((found as number) - right)).toBeLessThan(1e-8 * Math.max(right, 100));
      }),
    );
  });

  test(`${published.fox.source}: half and full speed give the laws at three quarters (${published.fox.status})`, () => {
    const points = published.fox.points.map(([q, p, hp]) => ({
      flow: q * cubicFootPerMinute,
      pressure: p * inchOfWater,
      power: hp * horsepower,
    }));
    const one = fanFamily(byLaws({ pressureKind: "total", points }, [0.5, 1])).at(0.75);
    for (const { flow, pressure, power } of points) {
      expect(one.pressure(0.75 * flow)).toBeCloseTo(0.5625 * pressure, 9);
      expect((one.power?.(0.75 * flow) as number) / power).toBeCloseTo(0.421875, 9);
    }
  });

  const { from, to } = published.abulencia.speed;
  test(`${published.abulencia.source}: beyond the speeds the laws hold (${published.abulencia.status})`, () => {
    const q = from.flow * cubicFootPerMinute;
    const points = [0.5, 1, 1.5].map((part) => ({
      flow: part * q,
      pressure: (2 - part) * from.pressure * inchOfWater,
      power: from.power * horsepower,
    }));
    const made = byLaws({ pressureKind: "total", points }, [0.5, 1]);
    const inRpm = {
      ...made,
      speeds: made.speeds.map((one) => ({ ...one, speed: (one.speed as number) * from.speed })),
    };
    const fan = fanFamily(inRpm).at(to.speed);
    const flow = to.flow * cubicFootPerMinute;
    expect(fan.pressure(flow) / inchOfWater).toBeCloseTo(to.pressure, 2);
    expect((fan.power?.(flow) as number) / horsepower).toBeCloseTo(to.power, 2);
  });
});

describe("between the speeds", () => {
  test("pressure is the blend of both neighbours, scaled by the laws", () => {
    const [low, high] = small.speeds.slice(0, 2).map(({ points }) => fanCurve({ pressureKind: "total", points }));
    const [a, b] = [atSpeed(low, 1.4), atSpeed(high, 1400 / 1800)];
    fc.assert(
      fc.property(amount(0, 0.13), (q) => {
        expect(family.at(1400).pressure(q)).toBeCloseTo((a.pressure(q) + b.pressure(q)) / 2, 8);
      }),
    );
  });

  test("pressure, power and range change steadily with speed, through the given speeds too", () => {
    fc.assert(
      fc.property(fc.oneof(amount(700, 3000), fc.constantFrom(1000, 1800, 2400)), amount(-0.05, 0.4), (n, q) => {
        const [before, at, after] = [n * (1 - 1e-9), n, n * (1 + 1e-9)].map((speed) => family.at(speed));
        for (const beside of [before, after]) {
          expect(Math.abs(beside.pressure(q) - at.pressure(q))).toBeLessThan(1e-5);
          expect(Math.abs((beside.power?.(q) as number) - (at.power?.(q) as number))).toBeLessThan(1e-5);
          expect(Math.abs(beside.range.max - at.range.max)).toBeLessThan(1e-8);
        }
      }),
    );
  });

  test("slope and derivative by speed are those of the pressure (central differences)", () => {
    fc.assert(
      fc.property(amount(700, 3000), amount(-0.05, 0.5), (n, q) => {
        fc.pre(small.speeds.every(({ speed }) => Math.abs((speed as number) - n) > 1));
        const fan = family.at(n);
        const [h, k] = [1e-6, 1e-3];
        const bySpeed = (family.at(n + k).pressure(q) - family.at(n - k).pressure(q)) / (2 * k);
        expect(Math.abs(fan.pressureBySpeed(q) - bySpeed)).toBeLessThan(2e-5 + 1e-4 * Math.abs(bySpeed));
        if (Math.abs(q) < h || fan.base.pressure.knots.some((knot) => Math.abs(knot * fan.speed - q) < 2 * h)) return;
        const byFlow = (fan.pressure(q + h) - fan.pressure(q - h)) / (2 * h);
        expect(Math.abs(fan.slope(q) - byFlow)).toBeLessThan(1e-3 + 1e-4 * Math.abs(byFlow));
      }),
    );
  });

  test("power lies between those of both speeds at equal flow over speed, where the cube of speed would not", () => {
    fc.assert(
      fc.property(amount(1000, 1800), amount(0, 0.0999), (n, x) => {
        const [low, high] = [family.at(1000).power?.(1000 * (x / 1000)), family.at(1800).power?.(1800 * (x / 1000))];
        const power = family.at(n).power?.(n * (x / 1000)) as number;
        // At the points exactly; between them cubics stand for the powers of speed.
        expect(power).toBeGreaterThan((low as number) * 0.995);
        expect(power).toBeLessThan((high as number) * 1.005);
      }),
    );
    expect(family.at(1000).power?.(0.05)).toBeGreaterThan(
      1.2 * (atSpeed(family.at(1800), 1 / 1.8).power?.(0.05) as number),
    );
  });

  test("operating points, density and the laws take such a fan as any other", () => {
    const fan = family.at(1500);
    const [found] = operatingPoints(fan, { a: 0, b: 6000, n: 2 });
    expect(found.pressure).toBeCloseTo(6000 * found.flow ** 2, 9);
    expect(fan.pressure(found.flow)).toBeCloseTo(found.pressure, 9);
    expect(family.at(1500, 0.6).pressure(0.1)).toBeCloseTo(fan.pressure(0.1) / 2, 12);
    expect(family.at(1500, 0.6).pressureBySpeed(0.1)).toBeCloseTo(fan.pressureBySpeed(0.1) / 2, 12);
    expect(atDensity(fan, 0.6).power?.(0.1)).toBeCloseTo(((fan.power?.(0.1) as number) - 1) / 2 + 1, 9);
    expect(family.speeds).toEqual({ min: 1000, max: 2400 });
    expect("power" in fanFamily(bare(small)).at(1500)).toBe(false);
  });

  test("power is an estimate only beyond ±20 % of the outermost speeds", () => {
    expect([700, 900, 1400, 2800, 2900].map((n) => family.at(n).powerEstimated)).toEqual([
      true,
      false,
      false,
      false,
      true,
    ]);
  });
});

describe("how far a family is from the laws", () => {
  test("one made by the laws not at all, with power to the third", () => {
    const points = [
      { flow: 0, pressure: 300, power: 30 },
      { flow: 0.1, pressure: 250, power: 60 },
      { flow: 0.2, pressure: 50, power: 55 },
    ];
    for (const one of familyDeviation(byLaws({ pressureKind: "total", points }, [0.5, 0.7, 1]))) {
      expect(Math.abs(one.pressure)).toBeLessThan(1e-12);
      expect(one.powerExponent?.min).toBeCloseTo(3, 10);
      expect(one.powerExponent?.max).toBeCloseTo(3, 10);
    }
  });

  test("a lower curve one tenth below the laws shows −0.1, with the exponent of its power", () => {
    const shape = [300, 250, 50];
    const points = (k: number, power: number) =>
      shape.map((p, i) => ({ flow: 0.1 * i * (k < 1 ? 0.5 : 1), pressure: p * k, power }));
    const [one] = familyDeviation({
      pressureKind: "total",
      speeds: [
        { speed: 500, points: points(0.225, 15) },
        { speed: 1000, points: points(1, 60) },
      ],
    });
    expect(one).toMatchObject({ from: 500, to: 1000, flow: 0 });
    expect(one.pressure).toBeCloseTo(-0.1, 12);
    expect(one.powerExponent?.min).toBeCloseTo(2, 12);
    expect("powerExponent" in familyDeviation(bare(small))[0]).toBe(false);
  });
});

describe("every fault is named with its place", () => {
  const [first, second, third] = small.speeds;
  const line = (speed: number, ...points: [number, number][]) => ({
    speed,
    points: points.map(([flow, pressure]) => ({ flow, pressure })),
  });
  test.each<[string, object, string, string]>([
    ["one speed", { speeds: [first] }, "curve.speeds-few", "speeds"],
    ["no speeds", { speeds: undefined }, "curve.speeds-few", "speeds"],
    ["equal speeds", { speeds: [first, { ...second, speed: 1000 }] }, "curve.speed-not-rising", "speeds.1.speed"],
    [
      "a speed that is no number",
      { speeds: [first, { ...second, speed: Number.NaN }] },
      "out-of-range",
      "speeds.1.speed",
    ],
    ["a speed of 0", { speeds: [{ ...first, speed: 0 }, second] }, "out-of-range", "speeds.0.speed"],
    ["a misspelt key", { speeds: [first, { ...second, sped: 1 }] }, "unknown-key", "speeds.1.sped"],
    ["a speed that is no object", { speeds: [first, 5] }, "not-an-object", "speeds.1"],
    [
      "a curve of one point",
      { speeds: [first, { speed: 1800, points: second.points.slice(1, 2) }] },
      "curve.points-few",
      "speeds.1.points",
    ],
    ["a negative flow", { speeds: [line(1, [-1, 3], [1, 2]), second] }, "out-of-range", "speeds.0.points.0.flow"],
    [
      "an end that rises",
      { speeds: [line(1, [0, 3], [1, 4]), line(2, [0, 9], [1, 2])] },
      "curve.rising-end",
      "speeds.0.points.1.pressure",
    ],
    [
      "a power of 0",
      { speeds: [{ ...first, points: first.points.map((p, i) => ({ ...p, power: i === 0 ? 0 : 50 })) }, second] },
      "out-of-range",
      "speeds.0.points.0.power",
    ],
    [
      "power at one speed only",
      { speeds: [first, ...bare(small).speeds.slice(1)] },
      "curve.power-or-efficiency",
      "speeds.1.points",
    ],
    [
      "a lower speed above a higher",
      { speeds: [{ ...third, speed: 900 }, first, second] },
      "curve.family-crosses",
      "speeds.1.points",
    ],
    [
      "curves that cross at their ends",
      { speeds: [line(1, [0, 100], [0.2, 90]), line(1.5, [0, 200], [0.2, 50])] },
      "curve.family-crosses",
      "speeds.1.points",
    ],
    [
      "no flow over speed in common",
      { speeds: [line(1, [0, 100], [0.1, 50]), line(2, [0.3, 300], [0.4, 200])] },
      "curve.family-apart",
      "speeds.1.points",
    ],
    [
      "a curve that rises where its neighbour has ended",
      { speeds: [line(1, [0, 100], [0.1, 50]), line(2, [0, 500], [0.15, 420], [0.25, 490], [0.4, 200])] },
      "curve.rising-end",
      "speeds.1.points",
    ],
    ["static pressure without an outlet", { pressureKind: "static" }, "curve.outlet-missing", "outlet"],
    ["points too", { points: [] }, "unknown-key", "points"],
  ])("%s", (_, part, code, path) => {
    const faulty = { ...small, ...part } as FanFamily;
    const problems = familyProblems(faulty);
    expect(problems[0]).toEqual(expect.objectContaining({ code, path }));
    for (const problem of problems) expect(problem.message.startsWith(`${problem.path}:`)).toBe(true);
    expect(() => fanFamily(faulty)).toThrow(expect.objectContaining({ name: "InputError", problems }));
    expect(() => familyDeviation(faulty)).toThrow(expect.objectContaining({ name: "InputError", problems }));
  });

  test("a curve with neither speed nor setting, or a speed that only some have, is told what all must have", () => {
    const { points } = first;
    const expected = "a speed in all curves, or a setting in all and a speed in none";
    const lacks = (i: number) => expect.objectContaining({ code: "key.missing", path: `speeds.${i}.speed`, expected });
    const told = (...speeds: object[]) => familyProblems({ ...small, speeds } as FanFamily);
    expect(told({ points }, { points })).toEqual([lacks(0), lacks(1)]);
    expect(told({ speed: 1, points }, { setting: "high", points })).toEqual([lacks(1)]);
    expect(told({ setting: "low", points }, { points })).toEqual([lacks(0), lacks(1)]);
  });

  test("what was computed is told to four digits", () => {
    const apart = [line(1200, [0, 68], [0.02, 60]), line(2400, [0.1, 250], [0.2, 60])];
    const rising = [line(1, [0, 300], [0.3, 310]), line(2, [0, 900], [0.7, 20])];
    const [{ found }] = familyProblems({ pressureKind: "total", speeds: apart });
    expect(found).toBe("0.00004167 to 0.00008333 where the curve before has 0 to 0.00001667");
    expect(familyProblems({ pressureKind: "total", speeds: rising })[0].found).toMatch(/^a slope of 33\.33 Pa/);
  });

  test("curves that cross between their points only are found", () => {
    const below = [line(1, [0, 100], [0.1, 99], [0.2, 20]), line(1.2, [0, 101], [0.05, 98], [0.24, 30])];
    expect(below.every(({ points }) => curveProblems({ pressureKind: "total", points }).length === 0)).toBe(true);
    expect(familyProblems({ pressureKind: "total", speeds: below })[0]?.code).toBe("curve.family-crosses");
  });

  test("a speed, density or flow out of range is refused at use", () => {
    for (const n of [0, -1, Number.NaN, Number.POSITIVE_INFINITY]) {
      expect(() => family.at(n)).toThrow(/^Wrong input: 1 problem\n {2}- speed/);
      expect(() => family.at(1400, n)).toThrow(/density/);
    }
    for (const n of [900, 1400]) expect(() => family.at(n).pressureBySpeed(Number.NaN)).toThrow(/flow/);
  });

  test("reading a family never throws", () => {
    const word = fc.constantFrom("speed", "points", "flow", "pressure", "x");
    fc.assert(
      fc.property(fc.array(fc.anything({ key: word })), fc.anything({ key: word }), (list, points) => {
        expect(Array.isArray(familyProblems({ ...small, speeds: list } as FanFamily))).toBe(true);
        expect(Array.isArray(familyProblems({ ...small, speeds: [{ speed: 1, points }, points] } as FanFamily))).toBe(
          true,
        );
      }),
    );
  });
});
