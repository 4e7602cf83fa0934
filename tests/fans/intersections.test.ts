import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { frictionFactor } from "../../src/ducts/friction.js";
import { intersections, type SystemPoint } from "../../src/fans/intersections.js";
import { atDensity, atSpeed } from "../../src/fans/laws.js";
import { fanCurve } from "../../src/fans/model.js";
import { operatingPoints } from "../../src/fans/operating.js";
import { pchip, valueAt } from "../../src/numerics/interpolation.js";
import tables from "../references/fan-tables.json" with { type: "json" };
import pumps from "../references/pump-and-system.json" with { type: "json" };
import fixture from "../references/system-points.json" with { type: "json" };
import { amount, curves, total } from "./arbitraries.js";
import { cubicFootPerMinute } from "./units.js";

const systemOf = (points: readonly (readonly [number, number])[]): SystemPoint[] =>
  points.map(([flow, pressure]) => ({ flow, pressure }));

/** Points of a law at equal steps of flow. */
const sampled = (law: (q: number) => number, to: number, count: number): [number, number][] =>
  Array.from({ length: count + 1 }, (_, i) => [(i * to) / count, law((i * to) / count)]);

describe("against SciPy: PchipInterpolator twice and brentq between the sign changes of a dense scan (library)", () => {
  test.each(fixture.cases)("$name", ({ fan, system, intersections: expected }) => {
    const found = intersections({ pressureKind: "total", points: fan }, system);
    expect(found.map(({ stable, withinCurve }) => ({ stable, withinCurve }))).toEqual(
      expected.map(({ stable, withinCurve }) => ({ stable, withinCurve })),
    );
    found.forEach(({ flow, pressure }, i) => {
      expect(Math.abs(flow - expected[i].flow)).toBeLessThanOrEqual(1e-13);
      expect(Math.abs(pressure - expected[i].pressure)).toBeLessThanOrEqual(1e-9);
    });
  });
});

describe("published pump or fan with its system", () => {
  test.each(pumps.systems)("$source ($status)", ({ curve, system, answers }) => {
    const fan = curve.points ?? sampled((q) => curve.law.a - curve.law.c * q ** curve.law.n, curve.to, curve.pieces);
    const points = sampled((q) => system.a + system.b * q ** system.n, system.to, system.pieces);
    const found = intersections(total(fan as [number, number][]), systemOf(points));
    expect(found).toHaveLength(1);
    expect(found[0].stable).toBe(true);
    for (const { flow, pressure, withinFlow, withinPressure } of answers) {
      expect(Math.abs(found[0].flow - flow)).toBeLessThanOrEqual(withinFlow);
      expect(Math.abs(found[0].pressure - pressure)).toBeLessThanOrEqual(withinPressure);
    }
  });

  // Hood entry 1.3, five bends 0.21, damper 1.8, outlet 1.05 on the velocity pressure; 0.230 m, 13.4 m, 0.15 mm;
  // 1.184 kg/m³, 1.562e-5 m²/s; Colebrook at each flow (inputs read; both answers re-solved elsewhere, computed).
  describe(`${tables.cengel.source}, its duct at every flow`, () => {
    const inch = 0.0254 * 998 * 9.81;
    const [diameter, area] = [0.23, (Math.PI / 4) * 0.23 ** 2];
    const required = (cfm: number): number => {
      const velocity = (cfm * cubicFootPerMinute) / area;
      const friction = (frictionFactor((velocity * diameter) / 1.562e-5, 0.15e-3 / diameter) * 13.4) / diameter;
      return ((friction + 1.3 + 5 * 0.21 + 1.8 + 1.05) * 0.5 * 1.184 * velocity ** 2) / inch;
    };
    const system = systemOf(Array.from({ length: 91 }, (_, i) => [300 + 10 * i, required(300 + 10 * i)] as const));
    const points = tables.cengel.points as [number, number][];

    test("by a curve that keeps the shape of the fan's points: 648.199 ft³/min, 0.827038 in", () => {
      const [{ flow, pressure }] = intersections(total(points), system);
      expect(Math.abs(flow - 648.199)).toBeLessThan(0.002);
      expect(Math.abs(pressure - 0.827038)).toBeLessThan(2e-6);
    });

    test("by straight lines between them: 643.076 ft³/min, 0.814154 in", () => {
      const lines = points.slice(1).flatMap(([q, p], i) => {
        const [start, from] = points[i];
        const part = (k: number): [number, number] => [start + ((q - start) * k) / 25, from + ((p - from) * k) / 25];
        return Array.from({ length: 25 }, (_, k) => part(k + 1));
      });
      const [{ flow, pressure }] = intersections(total([points[0], ...lines]), system);
      expect(Math.abs(flow - 643.076)).toBeLessThan(0.002);
      expect(Math.abs(pressure - 0.814154)).toBeLessThan(2e-6);
    });
  });
});

describe("closed forms", () => {
  test("two straight lines meet where algebra says", () => {
    const fan = total([
      [0, 300],
      [0.2, 200],
    ]);
    const [found, ...others] = intersections(
      fan,
      systemOf([
        [0, 0],
        [0.2, 500],
      ]),
    );
    expect(others).toEqual([]);
    expect(found).toMatchObject({ stable: true, withinCurve: true });
    expect(found.flow).toBeCloseTo(0.1, 15);
    expect(found.pressure).toBeCloseTo(250, 12);
    expect(found.toCurveEnd).toBeCloseTo(0.1, 15);
    expect(found.aboveStall).toBeUndefined();
  });

  test("a quadratic fan meets a quadratic system at √((p₀ − a)/(b + c)), the nearer the finer the points", () => {
    const [p0, c, a, b] = [400, 3000, 40, 5000];
    const exact = Math.sqrt((p0 - a) / (b + c));
    const errors = [10, 40, 160].map((pieces) => {
      const fan = total(sampled((q) => p0 - c * q ** 2, 0.35, pieces));
      const [found] = intersections(fan, systemOf(sampled((q) => a + b * q ** 2, 0.37, pieces)));
      return Math.abs(found.flow / exact - 1);
    });
    expect(errors[0]).toBeLessThan(2e-4);
    expect(errors[1]).toBeLessThan(errors[0] / 10);
    expect(errors[2]).toBeLessThan(1e-7);
  });

  // One fan runs where the others leave it: n in parallel as one fan against the system at n times its flow, n in
  // series as one fan against an n-th of the system's pressure.
  test("n equal fans in parallel or in series run as one of them against its share of the system", () => {
    const points = [
      [0, 200],
      [0.05, 150],
      [0.1, 220],
      [0.2, 100],
      [0.25, 10],
    ] as const;
    const system = sampled((q) => 20 + 900 * q ** 1.8, 1.2, 24);
    for (const n of [2, 3, 4]) {
      const parallel = intersections(total(points.map(([q, p]) => [n * q, p] as const)), systemOf(system));
      const share = intersections(total(points), systemOf(system.map(([q, p]) => [q / n, p] as const)));
      expect(parallel.map(({ stable }) => stable)).toEqual(share.map(({ stable }) => stable));
      parallel.forEach(({ flow }, i) => {
        expect(flow).toBeCloseTo(n * share[i].flow, 12);
      });
      const series = intersections(total(points.map(([q, p]) => [q, n * p] as const)), systemOf(system));
      const part = intersections(total(points), systemOf(system.map(([q, p]) => [q, p / n] as const)));
      series.forEach(({ flow, pressure }, i) => {
        expect(flow).toBeCloseTo(part[i].flow, 12);
        expect(pressure).toBeCloseTo(n * part[i].pressure, 9);
      });
    }
  });

  test("n quadratic fans: parallel √((p₀ − a)/(b + c/n²)), series √((n·p₀ − a)/(b + n·c))", () => {
    const [p0, c, a, b] = [300, 8000, 0, 2000];
    for (const n of [1, 2, 3]) {
      const system = systemOf(sampled((q) => a + b * q ** 2, 0.7, 400));
      const parallel = total(sampled((q) => p0 - c * (q / n) ** 2, n * 0.19, 400));
      const series = total(sampled((q) => n * (p0 - c * q ** 2), 0.19, 400));
      const [side] = intersections(parallel, system);
      const [after] = intersections(series, system);
      expect(Math.abs(side.flow / Math.sqrt((p0 - a) / (b + c / n ** 2)) - 1)).toBeLessThan(1e-6);
      expect(Math.abs(after.flow / Math.sqrt((n * p0 - a) / (b + n * c)) - 1)).toBeLessThan(1e-6);
    }
  });
});

const hump = total([
  [0, 200],
  [0.05, 150],
  [0.1, 220],
  [0.2, 100],
]);
const level = (pressure: number) =>
  systemOf([
    [-0.1, pressure],
    [0.3, pressure],
  ]);

describe("stall and ends", () => {
  test("a flat system meets a hump three times, the middle one unstable; distances count from the hump's top", () => {
    const found = intersections(hump, level(180));
    expect(found.map(({ stable }) => stable)).toEqual([true, false, true]);
    expect(found.map(({ aboveStall }) => Math.sign(aboveStall as number))).toEqual([-1, -1, 1]);
    for (const { flow, aboveStall, toCurveEnd } of found) {
      expect(aboveStall).toBeCloseTo(flow - 0.1, 15);
      expect(toCurveEnd).toBeCloseTo(0.2 - flow, 15);
    }
  });

  test("a system that touches the top of the hump is met there once, unstable; above it not at all", () => {
    expect(intersections(hump, level(220)).filter(({ flow }) => flow > 0)).toMatchObject([
      { flow: 0.1, stable: false },
    ]);
    expect(intersections(hump, level(220.001)).filter(({ flow }) => flow > 0)).toEqual([]);
  });

  test("beyond the fan's last point the answer is an extension; beyond the system's points there is none", () => {
    const [found] = intersections(
      hump,
      systemOf([
        [0, 0],
        [0.3, 60],
      ]),
    );
    expect(found.withinCurve).toBe(false);
    expect(found.toCurveEnd).toBeLessThan(0);
    expect(
      intersections(
        hump,
        systemOf([
          [0, 0],
          [0.15, 30],
        ]),
      ),
    ).toEqual([]);
  });
});

const systems = fc
  .tuple(
    amount(-0.1, 0.1),
    amount(-100, 100),
    fc.array(fc.tuple(amount(0.01, 0.1), amount(0, 150)), { minLength: 1, maxLength: 6 }),
  )
  .map(([start, base, steps]) => {
    let [flow, pressure] = [start, base];
    return systemOf([
      [flow, pressure],
      ...steps.map(([step, rise]) => {
        flow += step;
        pressure += rise;
        return [flow, pressure] as const;
      }),
    ]);
  });

describe("any curve with any rising system", () => {
  test("every sign change of a scan over 4,000 flows has its point, and every point satisfies both curves", () => {
    fc.assert(
      fc.property(curves, systems, amount(0.4, 2), amount(0.5, 2), (curve, system, n, rho) => {
        const fan = atDensity(atSpeed(curve, n), rho);
        const taken = pchip(
          system.map(({ flow }) => flow),
          system.map(({ pressure }) => pressure),
        );
        const found = intersections(fan, system);
        const size = Math.max(
          ...system.map(({ pressure }) => Math.abs(pressure)),
          ...system.map(({ flow }) => Math.abs(fan.pressure(flow))),
          1,
        );
        const difference = (q: number): number => fan.pressure(q) - valueAt(taken, q);
        let last = Number.NEGATIVE_INFINITY;
        for (const { flow, pressure } of found) {
          expect(Math.abs(difference(flow))).toBeLessThanOrEqual(1e-9 * size);
          expect(pressure).toBe(fan.pressure(flow));
          expect(flow).toBeGreaterThan(last);
          last = flow;
        }
        const [low, high] = [system[0].flow, system[system.length - 1].flow];
        let [start, before] = [low, difference(low)];
        for (let i = 1; i <= 4000; i++) {
          const q = low + (i * (high - low)) / 4000;
          const value = difference(q);
          if (Math.abs(value) < 1e-6) continue; // too near to tell a crossing from a touch
          if (before * value < 0) expect(found.some(({ flow }) => flow >= start && flow <= q)).toBe(true);
          [start, before] = [q, value];
        }
      }),
      { numRuns: 200 },
    );
  });

  test("a finely sampled power law is met where the power law itself is", () => {
    fc.assert(
      fc.property(curves, amount(200, 20000), amount(1, 2.5), (curve, b, n) => {
        const end = 2 * fanCurve(curve).range.max;
        const byPoints = intersections(curve, systemOf(sampled((q) => b * q ** n, end, 1000)));
        // Away from places where the two run nearly parallel, where the smallest error of a curve moves its meetings.
        const slopes = (q: number): number => Math.abs(fanCurve(curve).slope(q) - b * n * q ** (n - 1));
        for (const { flow } of operatingPoints(curve, { a: 0, b, n })) {
          if (!(flow > 0 && flow < end && slopes(flow) > 50)) continue;
          const nearest = Math.min(...byPoints.map((point) => Math.abs(point.flow - flow)));
          expect(nearest).toBeLessThan(1e-3 * end);
        }
      }),
      { numRuns: 50 },
    );
  });
});

test.each<[string, unknown, string, string]>([
  ["a single point", [{ flow: 0, pressure: 1 }], "curve.points-few", "system"],
  ["no list", undefined, "curve.points-few", "system"],
  [
    "flows that do not rise",
    systemOf([
      [0, 0],
      [0, 5],
    ]),
    "curve.flow-not-rising",
    "system.1.flow",
  ],
  [
    "a pressure that is no number",
    systemOf([
      [0, 0],
      [1, Number.NaN],
    ]),
    "out-of-range",
    "system.1.pressure",
  ],
  [
    "a flow that is infinite",
    systemOf([
      [0, 0],
      [Number.POSITIVE_INFINITY, 1],
    ]),
    "out-of-range",
    "system.1.flow",
  ],
  [
    "a misspelt key",
    [
      { flow: 0, pressure: 0 },
      { flow: 1, pressure: 1, presure: 1 },
    ],
    "unknown-key",
    "system.1.presure",
  ],
  ["a point that is no object", [{ flow: 0, pressure: 0 }, 3], "not-an-object", "system.1"],
  [
    "points too close",
    systemOf([
      [0, 0],
      [1e-320, 100],
    ]),
    "curve.too-steep",
    "system",
  ],
])("%s is refused by name", (_, system, code, path) => {
  expect(() => intersections(hump, system as SystemPoint[])).toThrow(
    expect.objectContaining({ name: "InputError", problems: [expect.objectContaining({ code, path })] }),
  );
});

test("all faults of a system come at once", () => {
  const wrong = [
    { flow: 0, pressure: Number.NaN },
    { flow: -1, pressure: 1 },
  ];
  expect(() => intersections(hump, wrong)).toThrow(
    expect.objectContaining({
      problems: [
        expect.objectContaining({ path: "system.0.pressure" }),
        expect.objectContaining({ path: "system.1.flow" }),
      ],
    }),
  );
});
