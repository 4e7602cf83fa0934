import fc from "fast-check";
import { describe, expect, test } from "vitest";
import type { FanCurve } from "../../../src/fans/curve.js";
import { atSpeed } from "../../../src/fans/laws.js";
import { fanCurve } from "../../../src/fans/model.js";
import { InputError, type NetworkDocument, type Solution, solveNetwork, systemCurve } from "../../../src/index.js";
import { bare, codesOf } from "../../helpers/documents.js";
import tables from "../../references/fan-tables.json" with { type: "json" };

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

describe("a steep network", () => {
  const linear = total([
    [0, 300],
    [0.25, 20],
  ]);
  const given = (flow: number): number => 300 - 1120 * flow;
  const grids = [3, 7, 21, 101];
  /** The fan in a line that ends against a pressure. */
  const against = (pressure: number, fittings: object[], duct: object = {}) =>
    document(
      [out("in"), fan("f", linear), out("out", { pressure })],
      [bare("a", "in", "f.inlet"), bare("b", "f.outlet", "out", { fittings, ...duct })],
    );

  test("of a regulator of 0.1 m³/s, 50 to 2000 Pa, within 0.5 %: its cubic, solved by hand, from any number of points", () => {
    const regulator = { kind: "regulator", flow: 0.1, minPressure: 50, maxPressure: 2000, accuracy: 0.005 };
    for (const wind of [0, 20, 50, 100]) {
      // Velocity pressure of 100 mm is lost at no end here (`entry` 0), and at the outlet in full (`exit` 1).
      const law = (q: number): number => {
        const [low, high] = [0.0995, 0.1005];
        const t = (q - low) / (high - low);
        const [slopeLow, slopeHigh] = [(2 * 50) / low, (2 * 2000) / high].map((slope) => slope * (high - low));
        const cubic =
          50 * (1 + 2 * t) * (1 - t) ** 2 +
          2000 * t * t * (3 - 2 * t) +
          slopeLow * t * (1 - t) ** 2 -
          slopeHigh * t * t * (1 - t);
        return wind + 0.6 * (q / (Math.PI * 0.0025)) ** 2 + (q < low ? 50 * (q / low) ** 2 : cubic);
      };
      let [low, high] = [0.05, 0.1005];
      for (let i = 0; i < 60; i++) {
        const middle = (low + high) / 2;
        if (given(middle) > law(middle)) low = middle;
        else high = middle;
      }
      for (const points of grids) {
        const { intersections } = systemCurve(against(wind, [regulator]), "f", { from: 0, to: 0.25, points });
        expect(intersections).toHaveLength(1);
        const [{ flow, pressure, stable }] = intersections;
        expect(Math.abs(flow / low - 1)).toBeLessThan(1e-11);
        expect(pressure).toBeCloseTo(given(low), 8);
        expect(stable).toBe(true);
      }
    }
  });

  test("of a backdraught damper, open or shut: where solveNetwork finds it, from any number of points and against the fan", () => {
    for (const wind of [0, 290, 400]) {
      const network = against(wind, [rating(100, 0.05)], { backdraught: true });
      const { flow } = solveNetwork(network, { tolerance: 1e-4 }).fans.f;
      expect(flow > 0).toBe(wind < 300);
      for (const points of grids) {
        const {
          intersections,
          points: needs,
          unreachable,
        } = systemCurve(network, "f", { from: -0.05, to: 0.25, points });
        expect(intersections).toHaveLength(1);
        expect(Math.abs(intersections[0].flow / flow - 1)).toBeLessThan(1e-9);
        expect(Math.abs(intersections[0].pressure / given(flow) - 1)).toBeLessThan(1e-9);
        // What is asked of the shut damper is left out, with the reason, and nothing else is.
        expect(needs.length + unreachable.length).toBe(points);
        for (const one of unreachable) {
          expect(one.flow).toBeLessThan(-1e-6);
          expect(one.reason).toContain("more than 100000 Pa");
          expect(one.reason).toContain("'b'");
        }
        for (const one of needs) {
          expect(one.flow).toBeGreaterThan(-1e-4);
          const open = wind + 100 * (one.flow / 0.05) ** 2 + 0.6 * (one.flow / (Math.PI * 0.0025)) ** 2;
          expect(Math.abs(one.pressure / open - 1) * Math.min(one.flow, 1)).toBeLessThan(1e-9);
        }
      }
    }
  });

  test("has no curve at all where every flow is shut off, and says so at each", () => {
    const network = against(0, [], { backdraught: true });
    const { intersections, points, unreachable } = systemCurve(network, "f", { from: -0.1, to: -0.05, points: 4 });
    expect([intersections, points, unreachable.length]).toEqual([[], [], 4]);
  });
});

describe("60 networks with regulators, dampers, fans beside and winds, against solves at flows held by two junctions", () => {
  const step = (min: number, max: number) =>
    fc.integer({ min: 0, max: 1000 }).map((i) => min + ((max - min) * i) / 1000);
  const way = fc.record({
    pressure: step(5, 120),
    exponent: step(1, 2),
    damper: fc.constantFrom(0, 0, 1, -1),
    regulator: fc.option(
      fc.record({ flow: step(0.02, 0.15), minPressure: step(20, 80), wide: step(1.5, 30), accuracy: step(0.005, 0.1) }),
    ),
  });
  const sketches = fc.record({
    hump: fc.boolean(),
    speed: step(0.6, 1.3),
    winds: fc.tuple(step(-60, 60), step(-60, 60), step(-60, 60)),
    ways: fc.tuple(way, way, way, way),
    beside: fc.option(step(0.3, 1.2)),
  });
  type Sketch = typeof sketches extends fc.Arbitrary<infer T> ? T : never;

  /** In: from one place of wind. Out: through two ways to two others, a fan perhaps beside. */
  const drawn = ({ hump: humped, speed, winds, ways, beside }: Sketch): NetworkDocument => {
    const duct = (
      id: string,
      from: string,
      to: string,
      { pressure, exponent, damper, regulator }: Sketch["ways"][0],
    ) => {
      const fittings: object[] = [rating(pressure, 0.1, exponent)];
      if (regulator !== null) {
        const { wide, ...rest } = regulator;
        fittings.push({ kind: "regulator", ...rest, maxPressure: rest.minPressure * wide });
      }
      const ends = damper < 0 ? { from: to, to: from } : { from, to };
      return bare(id, ends.from, ends.to, { fittings, ...(damper === 0 ? {} : { backdraught: true }) });
    };
    const other = beside === null ? [] : [fan("g", falling, { speed: beside })];
    return document(
      [
        out("in", { pressure: winds[0], entry: 0.5 }),
        { id: "s", kind: "junction" },
        fan("f", humped ? hump : falling, { speed }),
        { id: "e", kind: "junction" },
        out("one", { pressure: winds[1], entry: 0.5 }),
        out("two", { pressure: winds[2], entry: 0.5 }),
        ...other,
      ],
      [
        duct("a", "in", "s", { ...ways[0], regulator: null }),
        bare("b", "s", "f.inlet"),
        bare("c", "f.outlet", "e"),
        duct("d", "e", "one", ways[1]),
        duct("h", "e", "two", ways[2]),
        ...(beside === null ? [] : [duct("i", "s", "g.inlet", ways[3]), bare("j", "g.outlet", "e")]),
      ],
    );
  };

  /** The network at a flow: the fan gives way to two junctions. */
  const heldAt = (network: NetworkDocument, flow: number, start: Solution | undefined): Solution => {
    const nodes = network.nodes?.flatMap((node) =>
      node.id !== "f"
        ? [node]
        : [
            { id: "before", kind: "junction" as const, inflow: -flow },
            { id: "after", kind: "junction" as const, inflow: flow },
          ],
    );
    const renamed = (end: string): string => ({ "f.inlet": "before", "f.outlet": "after" })[end] ?? end;
    const ducts = network.ducts?.map((duct) => ({ ...duct, from: renamed(duct.from), to: renamed(duct.to) }));
    const held = { ...network, nodes, ducts } as NetworkDocument;
    return solveNetwork(held, { tolerance: 1e-3, ...(start === undefined ? {} : { start }) });
  };
  const needIn = ({ nodes }: Solution): number => (nodes.after.totalPressure ?? 0) - (nodes.before.totalPressure ?? 0);

  test("meets the fan once in each step of a dense scan at which they change sides, whatever the number of points", () => {
    const counts = new Map<number, number>();
    let [asked, unsolved] = [0, 0];
    fc.assert(
      fc.property(sketches, (sketch) => {
        const network = drawn(sketch);
        const { from, to } = { from: -0.03, to: 0.22 };
        const model = atSpeed(fanCurve((sketch.hump ? hump : falling) as FanCurve), sketch.speed);
        const curves = [3, 7, 21, 101].map((points) => systemCurve(network, "f", { from, to, points }));
        const [{ intersections }] = curves;
        counts.set(intersections.length, (counts.get(intersections.length) ?? 0) + 1);
        for (const other of curves) {
          expect(other.intersections.length).toBe(intersections.length);
          other.intersections.forEach(({ flow, stable }, i) => {
            expect(Math.abs(flow - intersections[i].flow)).toBeLessThan(1e-9 * Math.abs(intersections[i].flow));
            expect(stable).toBe(intersections[i].stable);
          });
        }
        let last: Solution | undefined;
        const need = (flow: number): number | undefined => {
          asked++;
          try {
            last = heldAt(network, flow, last);
            return needIn(last);
          } catch {
            unsolved++;
            return undefined;
          }
        };
        const scan = Array.from({ length: 121 }, (_, i) => from + ((to - from) * i) / 120);
        const sides = scan.map((flow) => {
          const needed = need(flow);
          if (needed === undefined || Math.abs(needed) > 1e5) return undefined;
          // Every answer of the scan is on the curve, or would take more than any fan gives.
          const point = curves[2].points.find((one) => Math.abs(one.flow - flow) < 1e-12);
          const missing = curves[2].unreachable.find((one) => Math.abs(one.flow - flow) < 1e-12);
          if (point !== undefined) expect(Math.abs(point.pressure / needed - 1)).toBeLessThan(1e-7);
          expect(missing).toBeUndefined();
          return Math.sign(model.pressure(flow) - needed);
        });
        for (let i = 0; i + 1 < scan.length; i++) {
          if (sides[i] === undefined || sides[i + 1] === undefined) continue;
          const inside = intersections.filter(({ flow }) => flow > scan[i] && flow < scan[i + 1]);
          expect(inside.length % 2).toBe(sides[i] === sides[i + 1] ? 0 : 1);
        }
        // Each is a change of sides within 1e-9 of its flow, in the direction that `stable` says.
        for (const { flow, pressure, stable } of intersections) {
          const off = 1e-9 * Math.max(Math.abs(flow), 1e-3);
          last = undefined;
          const [before, after] = [flow - off, flow + off].map((at) => model.pressure(at) - (need(at) ?? Number.NaN));
          if (!Number.isNaN(before + after)) expect([before > 0, after > 0]).toEqual([stable, !stable]);
          expect(Math.abs(pressure / model.pressure(flow) - 1)).toBeLessThan(1e-12);
        }
      }),
      { numRuns: 60, endOnFailure: true },
    );
    // Mostly one; the scan could follow nearly all flows that are not shut off.
    expect(counts.get(1)).toBeGreaterThan(40);
    expect(unsolved).toBeLessThan(0.2 * asked);
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
    expect(below.said).toContain("below the rising part of its curve, which ends at 100 l/s");
    // At half its speed the hump stands at half its flow.
    expect(at(2000, { speed: 0.5 }).said).toContain("which ends at 50 l/s");
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
    ["out-of-range from", () => systemCurve(network, "f", { ...range, from: Symbol("0") as never })],
    ["out-of-range to", () => systemCurve(network, "f", { ...range, to: Object.create(null) })],
    ["out-of-range points", () => systemCurve(network, "f", { ...range, points: 1 })],
    ["out-of-range points", () => systemCurve(network, "f", { ...range, points: 2.5 })],
    ["unknown-key pionts", () => systemCurve(network, "f", { ...range, pionts: 3 } as never)],
    ["not-an-object range", () => systemCurve(network, "f", undefined as never)],
    ["not-an-object range", () => systemCurve(network, "f", new Map(Object.entries(range)) as never)],
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
