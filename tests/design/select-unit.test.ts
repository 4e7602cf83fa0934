import { readFileSync } from "node:fs";
import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { selectUnit } from "../../src/design/select-unit.js";
import type { Duty, UnitRequirements, UnitStream, VentilationUnit } from "../../src/design/unit-data.js";
import type { FanCurve } from "../../src/fans/curve.js";
import type { FanFamily } from "../../src/fans/family.js";
import { fanFamily } from "../../src/fans/family-model.js";
import { readFamily } from "../../src/fans/family-problems.js";
import { stallRange } from "../../src/fans/stall.js";
import { solveNetwork } from "../../src/network/solve/solve.js";
import { amount, total } from "../fans/arbitraries.js";
import { cubicFootPerMinute, horsepower, inchOfWater } from "../fans/units.js";
import tables from "../references/fan-tables.json" with { type: "json" };

type OneCurveUnit = VentilationUnit & {
  readonly supply: { readonly fan: FanCurve };
  readonly minSpeed: number;
  readonly maxSpeed: number;
};

const { units } = JSON.parse(
  readFileSync(new URL("../../examples/choose-a-unit/units.json", import.meta.url), "utf8"),
) as { units: OneCurveUnit[] };
const named = (name: string): OneCurveUnit => units.find((unit) => unit.name === name) as OneCurveUnit;

const dutyOf = (flow: number, supply: number, extract: number, density?: number): Duty => {
  const air = density === undefined ? {} : { density };
  return {
    supply: { flow, externalStaticPressure: supply, ...air },
    extract: { flow, externalStaticPressure: extract, ...air },
  };
};
const hostel: UnitRequirements = { duty: dutyOf(0.16, 78, 86) };

/** A unit with two equal fans and nothing inside. */
const bare = (points: readonly (readonly [number, number, number?])[], changes: object = {}): OneCurveUnit => {
  const stream: UnitStream & { readonly fan: FanCurve } = {
    fan: {
      pressureKind: "total",
      points: points.map(([flow, pressure, power]) => ({ flow, pressure, ...(power === undefined ? {} : { power }) })),
    },
    components: [],
  };
  return {
    name: "bare",
    supply: stream,
    extract: stream,
    minSpeed: 0.1,
    maxSpeed: 1,
    size: { width: 1, height: 1, depth: 1 },
    spigotDiameter: 0.25,
    heatRecovery: 0.8,
    controlsPower: 0,
    ...changes,
  };
};
const line = bare([
  [0, 300, 50],
  [0.4, 100, 90],
]);

describe("speeds and power", () => {
  // Speeds, pressures and power of the demo building as an independent solver gave them (computed; invented data), at
  // external pressures 77 and 86 Pa, 160.2 and 160.1 l/s, rounded there.
  test("the invented hostel's unit runs as an independent solver found: 0.73/0.713, 247/231 Pa, 146 W, 0.91 W/(l/s)", () => {
    const [{ duty, power, specificFanPower }] = selectUnit({ duty: dutyOf(0.16, 77.2, 86.2) }, [named("Invented 800")]);
    const { supply, extract } = duty.clean;
    expect(Math.abs((supply.speed as number) - 0.73)).toBeLessThan(0.001);
    expect(Math.abs((extract.speed as number) - 0.713)).toBeLessThan(0.001);
    expect(Math.abs(supply.requiredPressure - 247)).toBeLessThan(0.6);
    expect(Math.abs(extract.requiredPressure - 231)).toBeLessThan(0.6);
    expect(Math.abs((supply.power as number) - 71)).toBeLessThan(0.6);
    expect(Math.abs((extract.power as number) - 67)).toBeLessThan(0.6);
    expect(Math.abs((power as number) - 146)).toBeLessThan(0.6);
    expect(Math.abs((specificFanPower as number) - 910)).toBeLessThan(5);
  });

  test("with loaded filters at fixed flow its fans give 312 and 281 Pa and take 89 and 80 W (computed, the same solver)", () => {
    const [{ duty }] = selectUnit({ duty: dutyOf(0.16, 77.2, 86.2), margin: 0 }, [named("Invented 800")]);
    const { supply, extract } = duty.loaded;
    expect(Math.abs(supply.requiredPressure - 312)).toBeLessThan(0.6);
    expect(Math.abs(extract.requiredPressure - 281)).toBeLessThan(0.6);
    expect(Math.abs((supply.power as number) - 89)).toBeLessThan(0.6);
    expect(Math.abs((extract.power as number) - 80)).toBeLessThan(0.6);
  });

  const { speed } = tables.abulencia;
  test(`${tables.abulencia.source} (${tables.abulencia.status}): the duty of 2100 rpm is met at 2100 rpm with the printed power`, () => {
    const { from, to } = speed;
    const [q, p, w] = [from.flow * cubicFootPerMinute, from.pressure * inchOfWater, from.power * horsepower];
    // The printed point, with one invented neighbour at each side.
    const fan: [number, number, number][] = [
      [0.5 * q, 1.2 * p, 0.8 * w],
      [q, p, w],
      [1.5 * q, 0.6 * p, 1.1 * w],
    ];
    const [{ duty }] = selectUnit(
      { duty: dutyOf(to.flow * cubicFootPerMinute, to.pressure * inchOfWater, to.pressure * inchOfWater) },
      [bare(fan, { maxSpeed: 2 })],
    );
    const { supply } = duty.clean;
    expect(Math.abs(((supply.speed as number) * from.speed) / to.speed - 1)).toBeLessThan(0.0005);
    expect(Math.abs((supply.power as number) / horsepower - to.power)).toBeLessThan(0.02);
  });

  test("a straight curve meets its duty at the root of the quadratic equation: 300n² − 500qn = p", () => {
    for (const [q, p] of [
      [0.1, 40],
      [0.2, 100],
      [0.05, 250],
    ]) {
      const [{ duty }] = selectUnit({ duty: dutyOf(q, p, p) }, [line]);
      const exact = (500 * q + Math.sqrt((500 * q) ** 2 + 1200 * p)) / 600;
      expect(duty.clean.supply.speed).toBeCloseTo(exact, 12);
    }
  });

  test("components lose by their ratings: Δp_r·(ρ/1.2)^(n−1)·(q/q_r)^n", () => {
    const filter = { name: "filter", pressure: 50, loaded: 120, flow: 0.2, exponent: 1.4 };
    const unit = bare([
      [0, 900, 50],
      [0.4, 100, 90],
    ]);
    const withFilter = { ...unit, supply: { ...unit.supply, components: [filter] } };
    const [{ duty }] = selectUnit({ duty: dutyOf(0.1, 100, 100, 1.3), margin: 0.2 }, [withFilter]);
    const factor = 0.5 ** 1.4 * (1.3 / 1.2) ** 0.4;
    expect(duty.clean.supply.requiredPressure).toBeCloseTo(100 + 50 * factor, 9);
    expect(duty.loaded.supply.requiredPressure).toBeCloseTo(120 + 120 * factor, 9);
    const stated = { duty: dutyOf(0.1, 100, 100), margin: 0, loadedFilters: { supply: 90 } };
    expect(selectUnit(stated, [withFilter])[0].duty.loaded.supply.requiredPressure).toBeCloseTo(190, 9);
    const belowClean = { ...stated, loadedFilters: { supply: 1 } };
    const [low] = selectUnit(belowClean, [withFilter]);
    expect(low.duty.loaded.supply.requiredPressure).toBeCloseTo(low.duty.clean.supply.requiredPressure, 9);
  });

  test("a unit curve holds its components clean: only what loading adds is still to be given", () => {
    const filter = { name: "filter", pressure: 50, loaded: 120, flow: 0.1 };
    const stream: UnitStream = { fan: { ...line.supply.fan, of: "unit" }, components: [filter] };
    const [{ duty }] = selectUnit({ duty: dutyOf(0.1, 100, 100), margin: 0 }, [{ ...line, supply: stream }]);
    expect(duty.clean.supply.requiredPressure).toBe(100);
    expect(duty.loaded.supply.requiredPressure).toBeCloseTo(170, 9);
  });

  test("a fan that cannot run slower gives more than is asked for, which is stated", () => {
    const [{ fits, duty }] = selectUnit({ duty: dutyOf(0.1, 10, 10) }, [{ ...line, minSpeed: 0.8 }]);
    expect(fits).toBe(true);
    expect(duty.clean.supply.speed).toBe(0.8);
    expect(duty.clean.supply.excessPressure).toBeCloseTo(0.64 * 300 - 0.8 * 500 * 0.1 - 10, 9);
  });

  test("light air asks for more speed, and specific fan power counts flow at 1.2 kg/m³", () => {
    const [normal] = selectUnit({ duty: dutyOf(0.2, 50, 50) }, [line]);
    const [light] = selectUnit({ duty: dutyOf(0.2, 50, 50, 1) }, [line]);
    expect(light.duty.clean.supply.speed).toBeGreaterThan(normal.duty.clean.supply.speed as number);
    expect(light.specificFanPower).toBeCloseTo(((light.power as number) / 0.2) * 1.2, 9);
  });
});

describe("fans by several speeds, and by coefficients", () => {
  const straight = [
    [0, 300, 50],
    [0.4, 100, 90],
  ] as const;
  /** The same fan at several speeds, by the laws; power by any exponent of speed. */
  const familyOf = (speeds: readonly number[], exponent = 3, unit = 1): VentilationUnit => {
    const fan = {
      pressureKind: "total" as const,
      speeds: speeds.map((n) => ({
        speed: n * unit,
        points: straight.map(([flow, pressure, power]) => ({
          flow: n * flow,
          pressure: n ** 2 * pressure,
          power: n ** exponent * power,
        })),
      })),
    };
    return bare([], { supply: { fan, components: [] }, extract: { fan, components: [] } });
  };
  const duties = fc.tuple(
    fc.double({ min: 0.02, max: 0.35, noNaN: true }),
    fc.double({ min: 5, max: 250, noNaN: true }),
  );

  test("curves that obey the fan laws at three speeds choose the speed and the power of the one curve", () => {
    const family = familyOf([0.3, 0.6, 1]);
    fc.assert(
      fc.property(duties, ([flow, pressure]) => {
        const requirements = { duty: dutyOf(flow, pressure, 0.9 * pressure) };
        const [one] = selectUnit(requirements, [{ ...line, minSpeed: 0.3 }]);
        const [many] = selectUnit(requirements, [{ ...family, minSpeed: 0.3 }]);
        expect(many.fits).toBe(one.fits);
        if (!one.fits) return;
        const [a, b] = [one.duty.clean.supply, many.duty.clean.supply];
        expect(Math.abs((b.speed as number) / (a.speed as number) - 1)).toBeLessThan(1e-6);
        expect(Math.abs((many.power as number) / (one.power as number) - 1)).toBeLessThan(1e-5);
        expect(Math.abs(b.lowestFlow - a.lowestFlow) + Math.abs(b.highestFlow - a.highestFlow)).toBeLessThan(1e-9);
      }),
    );
  });

  test("speeds in 1/min are found in 1/min, and without limits of the unit the given speeds are the limits", () => {
    const family = familyOf([0.3, 0.6, 1], 3, 2800);
    const { minSpeed: _, maxSpeed: __, ...unbound } = family;
    const duty = dutyOf(0.16, 78, 86);
    const [{ duty: found }] = selectUnit({ duty }, [unbound]);
    const [{ duty: known }] = selectUnit({ duty }, [{ ...line, minSpeed: 0.3 }]);
    const [a, b] = [found.clean.supply.speed as number, known.clean.supply.speed as number];
    expect(Math.abs(a / (2800 * b) - 1)).toBeLessThan(1e-6);
    expect(found.clean.supply.highestFlow).toBeCloseTo(0.4, 12);
    const [{ binds }] = selectUnit({ duty: dutyOf(0.41, 1, 1) }, [unbound]);
    expect(binds[0].what).toBe("flow");
  });

  test("between two speeds power follows what was given: with the exponent 2.2, n^2.2 and not n³", () => {
    const [{ duty }] = selectUnit({ duty: dutyOf(0.16, 78, 78) }, [{ ...familyOf([0.4, 1], 2.2), minSpeed: 0.4 }]);
    const { speed = 0, power = 0, flow } = duty.clean.supply;
    expect(speed).toBeGreaterThan(0.45);
    const atFull = 50 + (40 * flow) / speed / 0.4;
    expect(Math.abs(power / (speed ** 2.2 * atFull) - 1)).toBeLessThan(1e-6);
    expect(duty.clean.powerEstimated).toBe(false);
  });

  test("a unit that runs at its steps only takes the slowest that serves, and throttles what it gives beyond", () => {
    const names = ["low", "medium", "high"];
    const { supply, minSpeed: _, maxSpeed: __, ...rest } = familyOf([0.4, 0.7, 1]);
    const { speeds, ...basis } = supply.fan as FanFamily;
    const fan = { ...basis, speeds: speeds.map(({ points }, i) => ({ setting: names[i], points })) };
    const stepped = { ...rest, supply: { fan, components: [] }, extract: { fan, components: [] }, stepped: true };
    const run = (flow: number, pressure: number) =>
      selectUnit({ duty: dutyOf(flow, pressure, pressure), margin: 0 }, [stepped])[0];
    // By hand: 300n² − 500nq at 0.1 m³/s gives 28, 112 and 250 Pa at 0.4, 0.7 and 1.
    const settings = [20, 27, 29, 110, 115, 249].map((pressure) => run(0.1, pressure).duty.clean.supply.setting);
    expect(settings).toEqual(["low", "low", "medium", "medium", "high", "high"]);
    const { supply: found } = run(0.1, 100).duty.clean;
    expect(found.speed).toBeCloseTo(0.7, 6);
    expect(found.excessPressure).toBeCloseTo(12, 4);
    expect(found.reserve).toBeCloseTo(150, 4);
    // Power is that of the step, by its own curve.
    expect(found.power).toBeCloseTo(0.7 ** 3 * (50 + (40 * 0.1) / 0.7 / 0.4), 9);
    expect(run(0.1, 251).binds[0]).toMatchObject({ what: "pressure" });
    expect(run(0.3, 1).duty.clean.supply.setting).toBe("high");
    expect(run(0.41, 1).binds[0]).toMatchObject({ what: "flow" });
  });

  test("a flow that lies between what two steps serve is told with what the faster one serves", () => {
    const fan = {
      pressureKind: "total" as const,
      speeds: [
        {
          speed: 1,
          points: [
            { flow: 0.02, pressure: 50 },
            { flow: 0.1, pressure: 10 },
          ],
        },
        {
          speed: 3,
          points: [
            { flow: 0, pressure: 300 },
            { flow: 0.15, pressure: 350 },
            { flow: 0.4, pressure: 90 },
          ],
        },
      ],
    };
    const { minSpeed: _, maxSpeed: __, ...rest } = line;
    const unit = { ...rest, supply: { fan, components: [] }, extract: { fan, components: [] }, stepped: true };
    const [{ binds }] = selectUnit({ duty: dutyOf(0.12, 20, 20) }, [unit]);
    expect(binds[0]).toMatchObject({ what: "flow", by: expect.closeTo(0.2, 12) });
    expect(binds[0].message).toContain("serves from 150.0 l/s to 400.0 l/s");
  });

  test("never runs slower at steps than without, and gives at least what is required", () => {
    const { minSpeed: _, maxSpeed: __, ...unbound } = familyOf([0.3, 0.6, 1]);
    fc.assert(
      fc.property(duties, ([flow, pressure]) => {
        const requirements = { duty: dutyOf(flow, pressure, pressure) };
        const [free] = selectUnit(requirements, [unbound]);
        const [stepped] = selectUnit(requirements, [{ ...unbound, stepped: true }]);
        expect(stepped.fits).toBe(free.fits);
        for (const state of ["clean", "loaded"] as const) {
          const [a, b] = [free.duty[state].supply, stepped.duty[state].supply];
          if (a.speed === undefined) continue;
          expect([0.3, 0.6, 1]).toContain(b.speed);
          expect(b.speed).toBeGreaterThanOrEqual(a.speed * (1 - 1e-9));
          expect(b.excessPressure).toBeGreaterThanOrEqual(0);
        }
      }),
    );
  });

  test("a parabola by its coefficients meets its duty at the root of 300n² − 1250q² = p", () => {
    const fan = { pressureKind: "total" as const, coefficients: [300, 0, -1250], from: 0, to: 0.4 };
    const unit = bare([], { supply: { fan, components: [] }, extract: { fan, components: [] } });
    const [{ duty }] = selectUnit({ duty: dutyOf(0.16, 78, 78) }, [unit]);
    expect(duty.clean.supply.speed).toBeCloseTo(Math.sqrt((78 + 1250 * 0.16 ** 2) / 300), 9);
  });

  test("limits are needed where a fan has one curve, and faults of a family are told with their place", () => {
    const { minSpeed: _, ...unbound } = line;
    expect(() => selectUnit(hostel, [unbound])).toThrow(/units.0.minSpeed/);
    const { maxSpeed, ...lowest } = line;
    expect(() => selectUnit(hostel, [{ ...lowest, stepped: true }])).toThrow(
      expect.objectContaining({
        problems: ["minSpeed", "supply.fan", "extract.fan"].map((key) =>
          expect.objectContaining({ code: "value.wrong", path: `units.0.${key}` }),
        ),
      }),
    );
    const rising = familyOf([0.6, 0.3]);
    expect(() => selectUnit(hostel, [rising])).toThrow(/units.0.supply.fan.speeds.1.speed/);
  });
});

describe("fans whose slow curve stalls where the fast one does not", () => {
  const curve = (speed: number, points: readonly (readonly [number, number])[]) => ({
    speed,
    points: points.map(([flow, pressure]) => ({ flow, pressure })),
  });
  const unitOf = (speeds: FanFamily["speeds"], changes: object = {}): VentilationUnit => {
    const { minSpeed: _, maxSpeed: __, ...rest } = line;
    const stream = { fan: { pressureKind: "total" as const, speeds }, components: [] };
    return { ...rest, supply: stream, extract: stream, ...changes };
  };
  const humped = [
    curve(1000, [
      [0, 60],
      [0.03, 50],
      [0.06, 62],
      [0.1, 10],
    ]),
    curve(2000, [
      [0, 300],
      [0.06, 270],
      [0.12, 250],
      [0.2, 40],
    ]),
  ];

  test("a flow in the stall region of the slowest speed is given by the lowest speed that has left it", () => {
    const requirements = { duty: dutyOf(0.05, 40, 40), margin: 0 };
    const [{ fits, duty }] = selectUnit(requirements, [unitOf(humped)]);
    const { speed = 0, lowestFlow, excessPressure } = duty.clean.supply;
    expect(fits).toBe(true);
    // By hand: p/n² of the slow curve rises by 12e-6 between q/n of 0.03e-3 and 0.06e-3, that of the fast one falls by 5e-6.
    expect(speed).toBeCloseTo(1000 + (1000 * 12) / 17, 9);
    const at = (n: number) => fanFamily({ pressureKind: "total", speeds: humped }).at(n);
    expect(stallRange(at(speed))).toBeUndefined();
    expect(excessPressure).toBeCloseTo(at(speed).pressure(0.05) - 40, 9);
    expect(lowestFlow).toBe(0);
    const [stepped] = selectUnit(requirements, [unitOf(humped, { stepped: true })]);
    expect(stepped.duty.clean.supply).toMatchObject({ speed: 2000, lowestFlow: 0 });
  });

  test("a flow that only speeds between two curves serve is found there", () => {
    // The fast curve was measured from 0.14 m³/s only, the slow one up to 0.1 m³/s.
    const unit = unitOf([
      curve(1000, [
        [0, 90],
        [0.1, 40],
      ]),
      curve(2000, [
        [0.14, 250],
        [0.2, 160],
      ]),
    ]);
    const [{ fits, duty }] = selectUnit({ duty: dutyOf(0.12, 45, 45), margin: 0 }, [unit]);
    expect(fits).toBe(true);
    expect(duty.clean.supply.speed).toBeCloseTo(1200, 6);
    // 0.2 m³/s at 2000 is 0.1 at 1000, so that a fan with steps has no speed for 0.12.
    const [{ binds }] = selectUnit({ duty: dutyOf(0.12, 45, 45), margin: 0 }, [{ ...unit, stepped: true }]);
    expect(binds[0].message).toContain("serves from 140.0 l/s to 200.0 l/s");
  });

  test("whatever fits runs inside its curve and right of its stall region, in a network that loses what was required; no slower speed does", () => {
    const pressures = fc.tuple(amount(0.55, 1.1), amount(0.55, 1.1), amount(0.55, 1.1));
    const families = fc.array(fc.tuple(pressures, amount(0.8, 1.1)), { minLength: 2, maxLength: 3 }).map((list) =>
      list.map(([[a, b, c], end], i) => {
        const n = 1000 * (i + 1);
        const [q, p] = [n / 1e4, 60 * (i + 1) ** 2];
        return curve(n, [
          [0, p],
          [0.3 * q, a * p],
          [0.5 * q, b * p],
          [0.7 * q, c * p],
          [end * q, 0.15 * p],
        ]);
      }),
    );
    let solved = 0;
    fc.assert(
      fc.property(families, amount(0.02, 0.3), amount(5, 500), fc.boolean(), (speeds, flow, p, stepped) => {
        const family = { pressureKind: "total" as const, speeds };
        fc.pre(readFamily(family).problems.length === 0);
        const requirements = { duty: dutyOf(flow, p, p), margin: 0 };
        const [{ fits, duty, binds }] = selectUnit(requirements, [unitOf(speeds, { stepped })]);
        const { speed, excessPressure, lowestFlow, highestFlow } = duty.clean.supply;
        expect(highestFlow).toBeGreaterThan(lowestFlow);
        for (const { by } of binds) expect(by).toBeGreaterThan(0);
        const model = fanFamily(family);
        const serves = (n: number): boolean => {
          const fan = model.at(n);
          const { min, max } = fan.range;
          return flow >= (stallRange(fan)?.to ?? min) && flow <= max && fan.pressure(flow) >= p;
        };
        const fastest = 1000 * speeds.length;
        const slower = Array.from({ length: stepped ? speeds.length : 200 }, (_, i) =>
          stepped ? 1000 * (i + 1) : 1000 + (i / 199) * (fastest - 1000),
        ).filter((n) => n < (speed ?? fastest + 1) * (1 - 1e-8));
        expect(slower.filter(serves)).toEqual([]);
        if (!fits || speed === undefined) return;
        expect(excessPressure).toBeGreaterThanOrEqual(0);
        expect(lowestFlow).toBeLessThanOrEqual(flow);
        expect(highestFlow).toBeGreaterThanOrEqual(flow);
        const fan = model.at(speed);
        const total = p + excessPressure;
        // Where the system meets the curve left of the duty too, a network may run there.
        const before = Array.from({ length: 200 }, (_, i) => (flow * i) / 200);
        fc.pre(before.every((q) => fan.pressure(q) > total * (q / flow) ** 2));
        const { fans } = solveNetwork({
          format: "ductgraph/1",
          nodes: [
            { id: "in", kind: "outdoors", coefficient: 0 },
            { id: "out", kind: "outdoors", coefficient: 0 },
            { id: "f", kind: "fan", curve: family, speed },
          ],
          ducts: [
            { id: "a", from: "in", to: "f.inlet", length: 0, section: { diameter: 0.25 } },
            {
              ...{ id: "b", from: "f.outlet", to: "out", length: 0, section: { diameter: 0.25 } },
              fittings: [{ kind: "rating", pressure: total, flow }],
            },
          ],
        });
        const { flow: runs } = fans.f;
        expect(Math.abs(runs / flow - 1)).toBeLessThan(1e-6);
        expect(runs).toBeGreaterThan((stallRange(fan)?.to ?? fan.range.min) * (1 - 1e-6));
        expect(runs).toBeLessThan(fan.range.max * (1 + 1e-6));
        solved++;
      }),
      { numRuns: 400 },
    );
    expect(solved).toBeGreaterThan(20);
  });
});

describe("what binds", () => {
  const binding = (requirements: UnitRequirements, unit: VentilationUnit) => selectUnit(requirements, [unit])[0].binds;

  test("too little pressure, with numbers", () => {
    const [first] = binding({ duty: dutyOf(0.2, 300, 10), margin: 0 }, line);
    expect(first).toMatchObject({ what: "pressure" });
    expect(first.message).toBe("supply at duty: needs 300 Pa at 200.0 l/s with loaded filters, has 200 Pa at most");
    expect(first.by).toBeCloseTo(1 / 3, 12);
  });

  test("a flow beyond the curve's end, and one in the stall region at the lowest speed", () => {
    expect(binding({ duty: dutyOf(0.5, 10, 10) }, line)[0]).toMatchObject({
      what: "flow",
      by: expect.closeTo(0.25, 12),
    });
    const hump = bare([
      [0, 200],
      [0.1, 220],
      [0.3, 20],
    ]);
    const [first] = binding({ duty: dutyOf(0.04, 50, 50) }, { ...hump, minSpeed: 0.5 });
    expect(first).toMatchObject({ what: "flow", by: expect.closeTo(0.2, 12) });
    expect(first.message).toContain("serves from 50.0 l/s to 300.0 l/s");
  });

  test("size, spigots, specific fan power and power that is not known", () => {
    const duty = dutyOf(0.1, 20, 20);
    expect(binding({ duty, maxSize: { height: 0.8 } }, line)).toEqual([
      { what: "size", message: "height: 1000 mm where 800 mm is free", by: 0.25 },
    ]);
    expect(binding({ duty, spigotDiameters: [0.2, 0.315] }, line)[0].message).toBe(
      "spigots: 250 mm where 200 mm or 315 mm is wanted",
    );
    expect(binding({ duty, spigotDiameters: [0.2499] }, line)).toEqual([]);
    expect(binding({ duty, maxSpecificFanPower: 1.3 }, line)[0]).toMatchObject({
      what: "specificFanPower",
      message: expect.stringContaining("where 0.0013 W/(l/s) is the limit"), // 1.3 W/(m³/s) as asked, not 1.3 W/(l/s)
    });
    const silent = bare([
      [0, 300],
      [0.4, 100],
    ]);
    expect(binding({ duty, maxSpecificFanPower: 1000 }, silent)[0].what).toBe("power");
    expect(binding({ duty }, silent)).toEqual([]);
  });

  test("reasons stand with the worst first, and every number of a result is finite", () => {
    for (const { fits, binds, ...rest } of selectUnit(
      { ...hostel, boost: dutyOf(0.2, 122, 134), maxSize: { width: 1.6 }, spigotDiameters: [0.2] },
      units,
    )) {
      expect(fits).toBe(binds.length === 0);
      expect(binds.map(({ by }) => by)).toEqual(binds.map(({ by }) => by).sort((a, b) => b - a));
      expect(JSON.stringify([binds, rest])).not.toContain("null");
    }
  });
});

const share = amount(0.05, 1);

describe("any duty", () => {
  test("a unit that serves a larger duty serves a smaller one, with no more speed", () => {
    fc.assert(
      fc.property(
        fc.constantFrom(...units),
        amount(0.03, 0.4),
        amount(0, 300),
        share,
        share,
        (unit, flow, p, sq, sp) => {
          const [larger] = selectUnit({ duty: dutyOf(flow, p, p) }, [unit]);
          const [smaller] = selectUnit({ duty: dutyOf(flow * sq, p * sp, p * sp) }, [unit]);
          if (!larger.fits) return;
          expect(smaller.fits).toBe(true);
          const [fast, slow] = [larger, smaller].map(({ duty }) => duty.clean.supply.speed as number);
          expect(slow).toBeLessThanOrEqual(fast * (1 + 1e-12));
        },
      ),
    );
  });

  test("the fan gives what is required and what is in excess, at a speed of the unit, within its curve", () => {
    fc.assert(
      fc.property(fc.constantFrom(...units), amount(0.02, 0.5), amount(0, 400), (unit, flow, p) => {
        const [{ duty }] = selectUnit({ duty: dutyOf(flow, p, p) }, [unit]);
        for (const { supply } of [duty.clean, duty.loaded]) {
          const { speed, requiredPressure, excessPressure } = supply;
          if (speed === undefined) continue;
          const law = unit.supply.fan.points.map((point) => [point.flow * speed, point.pressure * speed ** 2] as const);
          const at = law.findIndex(([q]) => q >= flow * (1 - 1e-12));
          // Between its neighbours, by the laws alone: the curve keeps the shape of its points.
          const given = requiredPressure + excessPressure;
          expect(given).toBeLessThanOrEqual((law[at - 1] ?? law[at])[1] + 1e-6);
          expect(given).toBeGreaterThanOrEqual(law[at][1] - 1e-6);
          expect(speed).toBeGreaterThanOrEqual(unit.minSpeed);
          expect(speed).toBeLessThanOrEqual(unit.maxSpeed);
        }
      }),
    );
  });

  test("a margin raises the pressure required with loaded filters by that share of the external pressure, and only there", () => {
    fc.assert(
      fc.property(amount(0, 200), amount(0, 1), (p, margin) => {
        const [plain] = selectUnit({ duty: dutyOf(0.16, p, p), margin: 0 }, [named("Invented 800")]);
        const [more] = selectUnit({ duty: dutyOf(0.16, p, p), margin }, [named("Invented 800")]);
        const rise = more.duty.loaded.supply.requiredPressure - plain.duty.loaded.supply.requiredPressure;
        expect(rise).toBeCloseTo(margin * p, 9);
        expect(more.duty.clean).toEqual(plain.duty.clean);
      }),
    );
  });

  test("fitting units stand first and by power, the others by what they fail most in; the order of input matters only between equals", () => {
    fc.assert(
      fc.property(
        amount(0.03, 0.35),
        amount(10, 200),
        fc.shuffledSubarray(units, { minLength: 5 }),
        (flow, p, list) => {
          const choices = selectUnit({ duty: dutyOf(flow, p, p), spigotDiameters: [0.25, 0.16] }, list);
          const fitting = choices.filter(({ fits }) => fits);
          expect(choices.slice(0, fitting.length)).toEqual(fitting);
          const powers = fitting.map(({ power }) => power as number);
          expect(powers).toEqual([...powers].sort((a, b) => a - b));
          const worst = choices.slice(fitting.length).map(({ binds }) => binds[0].by);
          expect(worst).toEqual([...worst].sort((a, b) => a - b));
          const again = selectUnit({ duty: dutyOf(flow, p, p), spigotDiameters: [0.25, 0.16] }, units);
          const key = ({ fits, power, binds }: (typeof again)[number]) => [fits, fits ? power : binds[0].by];
          expect(choices.map(key)).toEqual(again.map(key));
        },
      ),
    );
  });

  test("a fan with a hump runs right of its stall region or not at all", () => {
    const points = [
      [0, 200],
      [0.05, 150],
      [0.1, 220],
      [0.2, 100],
    ] as const;
    const { to } = stallRange(total(points)) as { to: number };
    fc.assert(
      fc.property(amount(0.01, 0.25), amount(0, 250), (flow, p) => {
        const { speed } = selectUnit({ duty: dutyOf(flow, p, p) }, [bare(points)])[0].duty.clean.supply;
        if (speed !== undefined) expect(flow / speed).toBeGreaterThanOrEqual(to * (1 - 1e-12));
      }),
    );
  });
});

describe("wrong data", () => {
  const refused = (requirements: unknown, list: unknown, ...faults: [string, string][]): void => {
    expect(() => selectUnit(requirements as UnitRequirements, list as VentilationUnit[])).toThrow(
      expect.objectContaining({
        name: "InputError",
        problems: faults.map(([path, code]) => expect.objectContaining({ path, code })),
      }),
    );
  };

  test.each<[unknown, string, string]>([
    [undefined, "requirements", "not-an-object"],
    [{ ...hostel, marginn: 0.1 }, "requirements.marginn", "unknown-key"],
    [{ ...hostel, margin: Number.NaN }, "requirements.margin", "out-of-range"],
    [
      { duty: { supply: { flow: 0, externalStaticPressure: 1 }, extract: hostel.duty.extract } },
      "requirements.duty.supply.flow",
      "out-of-range",
    ],
    [
      { duty: { supply: { flow: 1 }, extract: hostel.duty.extract } },
      "requirements.duty.supply.externalStaticPressure",
      "out-of-range",
    ],
    [{ ...hostel, boost: { supply: hostel.duty.supply } }, "requirements.boost.extract", "not-an-object"],
    [{ ...hostel, loadedFilters: { supply: -1 } }, "requirements.loadedFilters.supply", "out-of-range"],
    [{ ...hostel, maxSize: { width: 0 } }, "requirements.maxSize.width", "out-of-range"],
    [{ ...hostel, maxSpecificFanPower: 0 }, "requirements.maxSpecificFanPower", "out-of-range"],
    [{ ...hostel, spigotDiameters: 0.25 }, "requirements.spigotDiameters", "value.wrong"],
    [{ ...hostel, spigotDiameters: [0.25, Number.NaN] }, "requirements.spigotDiameters.1", "out-of-range"],
  ])("in requirements: %j", (requirements, path, code) => {
    refused(requirements, [line], [path, code]);
  });

  test.each<[object, string, string]>([
    [{ name: 5 }, "units.0.name", "value.wrong"],
    [{ stepped: "yes" }, "units.0.stepped", "value.wrong"],
    [{ minSpeed: 0 }, "units.0.minSpeed", "out-of-range"],
    [{ minSpeed: 0.5, maxSpeed: 0.4 }, "units.0.maxSpeed", "out-of-range"],
    [{ size: { width: 1, height: 1 } }, "units.0.size.depth", "out-of-range"],
    [{ spigotDiameter: Number.NaN }, "units.0.spigotDiameter", "out-of-range"],
    [{ heatRecovery: 85 }, "units.0.heatRecovery", "out-of-range"],
    [{ controlsPower: undefined }, "units.0.controlsPower", "out-of-range"],
    [{ colour: "white" }, "units.0.colour", "unknown-key"],
    [{ extract: undefined }, "units.0.extract", "not-an-object"],
    [{ supply: { fan: line.supply.fan } }, "units.0.supply.components", "value.wrong"],
    [{ supply: { components: [] } }, "units.0.supply.fan", "not-an-object"],
    [
      { supply: { fan: { ...line.supply.fan, pointz: 1 }, components: [] } },
      "units.0.supply.fan.pointz",
      "unknown-key",
    ],
    [
      { supply: { ...line.supply, components: [{ name: "filter", pressure: 50, loaded: 40, flow: 0.1 }] } },
      "units.0.supply.components.0.loaded",
      "out-of-range",
    ],
  ])("in a unit: %j", (changes, path, code) => {
    refused(hostel, [{ ...line, ...changes }], [path, code]);
  });

  test("all faults come at once, with the index of the unit and of the point", () => {
    const broken = bare([
      [0, 300],
      [0.1, Number.NaN],
    ]);
    refused(
      { ...hostel, margin: -1 },
      [line, broken],
      ["requirements.margin", "out-of-range"],
      ["units.1.supply.fan.points.1.pressure", "out-of-range"],
      ["units.1.extract.fan.points.1.pressure", "out-of-range"],
    );
    refused(hostel, "none", ["units", "value.wrong"]);
  });

  test("no units give no choice, and nothing given is changed", () => {
    expect(selectUnit(hostel, [])).toEqual([]);
    const copy = structuredClone(units);
    selectUnit(hostel, units);
    expect(units).toEqual(copy);
  });
});
