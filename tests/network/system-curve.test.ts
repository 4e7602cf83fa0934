import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { InputError, type NetworkDocument, solveNetwork, systemCurve } from "../../src/index.js";
import { bare, codesOf } from "../helpers/documents.js";
import tables from "../references/fan-tables.json" with { type: "json" };

const out = (id: string, more: object = {}) => ({ id, kind: "outdoors" as const, entry: 0, exit: 1, ...more });
const total = (points: readonly (readonly [number, number])[]) => ({
  pressureKind: "total" as const,
  points: points.map(([flow, pressure]) => ({ flow, pressure })),
});
const fan = (id: string, curve: object, more: object = {}) => ({ id, kind: "fan" as const, curve, ...more });
const rating = (pressure: number, flow: number, exponent = 2) => ({
  kind: "rating" as const,
  pressure,
  flow,
  exponent,
});
const document = (nodes: object[], ducts: object[], more: object = {}): NetworkDocument =>
  ({ format: "ductgraph/1", nodes, ducts, ...more }) as NetworkDocument;
const falling = total([
  [0, 200],
  [0.1, 100],
  [0.15, 0],
]);
const hump = total([
  [0, 200],
  [0.05, 150],
  [0.1, 220],
  [0.2, 0],
]);
/** A fan in a line of ducts; what is lost there is that of the end of the last and of the ratings. */
const line = (curve: object, fittings: object[], more: object = {}, ends: object = {}): NetworkDocument =>
  document(
    [out("in", ends), fan("f", curve, more), out("out", { exit: 0 })],
    [bare("a", "in", "f.inlet"), bare("b", "f.outlet", "out", { fittings })],
  );

describe("the pressure that a network needs of a fan", () => {
  test("is the sum of all laws at that flow: two ratings here, and the pressure of the wind", () => {
    const network = line(falling, [rating(40, 0.1), rating(30, 0.1, 1)], {}, { pressure: -12 });
    const { points } = systemCurve(network, "f", { from: -0.1, to: 0.2, points: 7 });
    points.forEach(({ flow, pressure }, i) => {
      expect(flow).toBeCloseTo(-0.1 + 0.05 * i, 14);
      const end = flow < 0 ? 0.6 * (flow / (Math.PI * 0.0025)) ** 2 : 0;
      expect(pressure).toBeCloseTo(12 + 40 * Math.sign(flow) * (flow / 0.1) ** 2 + 300 * flow - end, 6);
    });
  });

  test("does not depend on the fan's own curve or speed, nor on whether it stands still", () => {
    const range = { from: 0, to: 0.12, points: 5 };
    const fittings = [rating(70, 0.1, 1.6)];
    const { points } = systemCurve(line(falling, fittings), "f", range);
    const stopped = { speed: 0, stopped: { pressure: 20, flow: 0.1 } };
    for (const other of [
      line(hump, fittings),
      line(falling, fittings, { speed: 0.5 }),
      line(falling, fittings, stopped),
    ])
      systemCurve(other, "f", range).points.forEach(({ pressure }, i) => {
        expect(Math.abs(pressure - points[i].pressure)).toBeLessThan(1e-7);
      });
    expect(systemCurve(line(falling, fittings, stopped), "f", range).intersections).toEqual([]);
  });

  test("counts what a stream loses inside its air handler, at the flow and air of its fan", () => {
    const unit = (fanAt: string) => ({
      id: "unit",
      kind: "airHandler",
      supply: {
        fan: { curve: falling },
        fanAt,
        components: [{ name: "filter", pressure: 50, flow: 0.1, exponent: 1 }],
      },
      extract: { fan: { curve: falling } },
    });
    const of = (fanAt: string) =>
      document(
        [out("in"), unit(fanAt), out("out"), out("from"), out("to")],
        [
          bare("a", "in", "unit.intake", { air: { density: 1.4 } }),
          bare("b", "unit.supply", "out", { air: { density: 1.2 } }),
          bare("c", "from", "unit.extract"),
          bare("d", "unit.exhaust", "to"),
        ],
        { air: { density: 1.2 } },
      );
    for (const fanAt of ["inlet", "outlet"] as const) {
      const density = fanAt === "inlet" ? 1.4 : 1.2;
      const [{ pressure }] = systemCurve(of(fanAt), "unit.supply", { from: 0.08, to: 0.1, points: 2 }).points;
      const mass = 0.08 * density;
      const filter = 50 * (mass / density / 0.1);
      const exit = (mass / (Math.PI * 0.0025)) ** 2 / (2 * 1.2);
      expect(pressure).toBeCloseTo(filter + exit, 6);
    }
  });
});

describe("where the fan meets it", () => {
  test("is where solveNetwork finds it, within 1e-6, beside another fan, rooms and openings, and at another speed", () => {
    const between = (min: number, max: number) =>
      fc.integer({ min: 0, max: 1000 }).map((i) => min + ((max - min) * i) / 1000);
    const law = fc.record({
      speed: between(0.5, 1.2),
      other: between(0.4, 1.1),
      pressure: between(20, 200),
      exponent: between(1, 2),
      wind: between(-20, 20),
    });
    fc.assert(
      fc.property(law, ({ speed, other, pressure, exponent, wind }) => {
        const network = document(
          [
            out("in", { pressure: wind }),
            fan("f", falling, { speed }),
            { id: "room", kind: "room" },
            fan("g", falling, { speed: other }),
            out("out"),
          ],
          [
            { ...bare("a", "in", "f.inlet"), frictionFactor: undefined, length: 5 },
            bare("b", "f.outlet", "room", { fittings: [rating(pressure, 0.1, exponent)] }),
            bare("c", "room", "g.inlet", { fittings: [rating(60, 0.1, 1.3)] }),
            bare("d", "g.outlet", "out"),
          ],
          { openings: [{ id: "leak", from: "room", to: "out", coefficient: 0.005, exponent: 0.6 }] },
        );
        const { f } = solveNetwork(network, { tolerance: 1e-4 }).fans;
        const { intersections } = systemCurve(network, "f", { from: -0.05, to: 0.2, points: 11 });
        expect(intersections).toHaveLength(1);
        expect(Math.abs(intersections[0].flow - f.flow)).toBeLessThan(1e-6 * Math.max(Math.abs(f.flow), 0.01));
        expect(Math.abs(intersections[0].pressure - f.totalPressure)).toBeLessThan(
          1e-6 * Math.max(f.totalPressure, 10),
        );
        expect(intersections[0].stable).toBe(true);
      }),
      { numRuns: 25 },
    );
  });

  test("is three flows of a fan with a hump in a network made for it, the middle one unstable", () => {
    // A steep straight rise from wind against the fan: 120 Pa at rest and 500 Pa per m³/s.
    const steady = [rating(60, 0.1, 1)];
    const network = line(hump, steady, {}, { pressure: -135, entry: 0 });
    const range = { from: 0, to: 0.2, points: 5 };
    const { intersections } = systemCurve(network, "f", range);
    expect(intersections.map(({ stable }) => stable)).toEqual([true, false, true]);
    for (const { flow, pressure, aboveStall, toCurveEnd } of intersections) {
      expect(pressure).toBeCloseTo(135 + 600 * flow, 5);
      expect(aboveStall).toBeCloseTo(flow - 0.1, 12);
      expect(toCurveEnd).toBeCloseTo(0.2 - flow, 12);
    }
    const { flow } = solveNetwork(network).fans.f;
    expect(intersections.some((one) => one.stable && Math.abs(one.flow - flow) < 1e-6)).toBe(true);
    // On a finer grid the same three.
    const fine = systemCurve(network, "f", { ...range, points: 200 }).intersections;
    fine.forEach((one, i) => {
      expect(Math.abs(one.flow - intersections[i].flow)).toBeLessThan(1e-8);
    });
  });

  test("is, for one of two equal fans side by side, where both share the flow", () => {
    const network = document(
      [
        out("in"),
        { id: "s", kind: "junction" },
        fan("f", falling),
        fan("g", falling),
        { id: "e", kind: "junction" },
        out("out"),
      ],
      [
        bare("a", "in", "s", { fittings: [rating(30, 0.1)] }),
        bare("b", "s", "f.inlet"),
        bare("c", "s", "g.inlet"),
        bare("d", "f.outlet", "e"),
        bare("h", "g.outlet", "e"),
        bare("i", "e", "out", { fittings: [rating(50, 0.1)] }),
      ],
    );
    const { fans } = solveNetwork(network, { tolerance: 1e-4 });
    expect(fans.f.flow).toBeCloseTo(fans.g.flow, 9);
    const { intersections } = systemCurve(network, "f", { from: 0, to: 0.15, points: 16 });
    expect(intersections).toHaveLength(1);
    expect(Math.abs(intersections[0].flow / fans.f.flow - 1)).toBeLessThan(1e-6);
  });

  test("is, for a controlled fan, at the speed that its controller finds", () => {
    const control = { kind: "flow", flow: 0.07 };
    const network = line(falling, [rating(60, 0.1)], { control });
    const { intersections } = systemCurve(network, "f", { from: 0, to: 0.1, points: 11 });
    expect(intersections).toHaveLength(1);
    expect(intersections[0].flow).toBeCloseTo(0.07, 7);
  });
});

describe(`${tables.cengel.source}`, () => {
  // Hood entry 1.3, five bends 0.21, damper 1.8, outlet 1.05; 0.230 m, 13.4 m, 0.15 mm; 1.184 kg/m³, 1.562e-5 m²/s (read).
  const cubicFoot = 0.3048 ** 3 / 60;
  const inch = 998 * 9.81 * 0.0254;
  const points = (tables.cengel.points as [number, number][]).map(([q, p]) => [q * cubicFoot, p * inch] as const);
  const section = { diameter: 0.23 };
  const network = document(
    [
      out("hood", { coefficient: undefined, entry: 1.3 }),
      fan("f", { ...total(points), density: 1.184 }),
      out("out", { exit: 1.05 }),
    ],
    [
      {
        id: "suction",
        from: "hood",
        to: "f.inlet",
        length: 13.4,
        section,
        roughness: 0.15e-3,
        fittings: [
          { kind: "fixed", coefficient: 0.21, count: 5 },
          { kind: "fixed", coefficient: 1.8 },
        ],
      },
      bare("stack", "f.outlet", "out", { section, length: 0 }),
    ],
    { air: { density: 1.184, viscosity: 1.562e-5 * 1.184 } },
  );

  test("needs 0.709808 in at 600 ft³/min (computed elsewhere)", () => {
    const [, { pressure }] = systemCurve(network, "f", { from: 0, to: 600 * cubicFoot, points: 2 }).points;
    expect(Math.abs(pressure / inch - 0.709808)).toBeLessThan(2e-6);
  });

  test("runs at about 650 ft³/min and 0.83 in (read off a graph); 648.199 and 0.827038 (computed elsewhere)", () => {
    const { intersections } = systemCurve(network, "f", { from: 0, to: 1200 * cubicFoot, points: 13 });
    expect(intersections).toHaveLength(1);
    const [{ flow, pressure, stable }] = intersections;
    expect(stable).toBe(true);
    expect(Math.abs(flow / cubicFoot - 648.199)).toBeLessThan(0.002);
    expect(Math.abs(pressure / inch - 0.827038)).toBeLessThan(2e-6);
    expect(Math.abs(flow / cubicFoot / 650 - 1)).toBeLessThan(0.015);
    expect(Math.abs(pressure / inch - 0.83)).toBeLessThan(0.017);
  });
});

describe("a fan on the rising part of its curve, or below it", () => {
  const at = (loss: number, more: object = {}) => {
    const { fans, warnings } = solveNetwork(line(hump, [rating(loss, 0.075)], more));
    return { flow: fans.f.flow, said: warnings.find(({ code }) => code === "fan.unstable-region")?.message };
  };

  test("warns, and nowhere else", () => {
    // Steeper than the fan rises, so that the answer is stable there.
    const rising = at(190);
    expect(rising.flow).toBeGreaterThan(0.05);
    expect(rising.flow).toBeLessThan(0.1);
    expect(rising.said).toContain("on the rising part of its curve");
    const below = at(2000);
    expect(below.flow).toBeLessThan(0.05);
    expect(below.said).toContain("below the rising part of its curve, which ends at 100.0 l/s");
    // At half its speed the hump stands at half its flow.
    expect(at(2000, { speed: 0.5 }).said).toContain("which ends at 50.0 l/s");
    expect(at(20).said).toBeUndefined();
    expect(codesOf(solveNetwork(line(falling, [rating(2000, 0.075)])))).not.toContain("fan.unstable-region");
  });

  test("has its stall region where its points rise, from first to last", () => {
    const many = total([
      [0, 100],
      [0.1, 120],
      [0.2, 90],
      [0.3, 95],
      [0.4, 0],
    ]);
    const network = (pressure: number) => line(many, [rating(pressure, 0.15)]);
    // Between two rises the curve falls; it is not above the stall region for that.
    const between = solveNetwork(network(105));
    expect(Math.abs(between.fans.f.flow - 0.15)).toBeLessThan(0.02);
    expect(codesOf(between)).toContain("fan.unstable-region");
    expect(codesOf(solveNetwork(network(5)))).not.toContain("fan.unstable-region");
  });
});

describe("wrong arguments", () => {
  const network = line(falling, [rating(40, 0.1)]);
  const codeOf = (call: () => unknown): string => {
    try {
      call();
    } catch (error) {
      if (error instanceof InputError) return `${error.problems[0].code} ${error.problems[0].path}`;
      throw error;
    }
    return "none";
  };
  const range = { from: 0, to: 0.1, points: 3 };
  test.each([
    ["unknown-fan fanName", () => systemCurve(network, "fann", range)],
    ["out-of-range to", () => systemCurve(network, "f", { ...range, to: 0 })],
    ["out-of-range to", () => systemCurve(network, "f", { ...range, to: Number.NaN })],
    ["out-of-range from", () => systemCurve(network, "f", { ...range, from: Number.NaN })],
    ["out-of-range points", () => systemCurve(network, "f", { ...range, points: 1 })],
    ["out-of-range points", () => systemCurve(network, "f", { ...range, points: 2.5 })],
    ["unknown-key pionts", () => systemCurve(network, "f", { ...range, pionts: 3 } as never)],
    ["not-an-object range", () => systemCurve(network, "f", undefined as never)],
  ])("%s", (expected, call) => {
    expect(codeOf(call)).toBe(expected);
  });

  test("a fan that blows into a room without any other way out has no system curve", () => {
    const closed = document(
      [out("in"), fan("f", falling), { id: "room", kind: "room" }],
      [bare("a", "in", "f.inlet"), bare("b", "f.outlet", "room")],
    );
    expect(codeOf(() => systemCurve(closed, "f", range))).toBe("fan.no-way-round fanName");
  });
});
