import fc from "fast-check";
import { expect, test } from "vitest";
import { type FanFamily, familyDeviation } from "../../../src/fans/index.js";
import {
  checkNetwork,
  compileNetwork,
  type NetworkDocument,
  parseNetwork,
  solveNetwork,
  sources,
} from "../../../src/index.js";
import { bare, solved } from "../../helpers/documents.js";
import { numberWithin } from "../../helpers/numbers.js";

const codesOf = (document: object): string[] =>
  checkNetwork({ format: "ductgraph/1", ...document }).problems.map(({ code }) => code);

type Document = Omit<NetworkDocument, "format">;

const pressureAt = (flow: number): number => 300 - 6000 * flow ** 2;

const points = (speed: number, exponent = 3): object[] =>
  [0, 0.05, 0.1, 0.15, 0.2].map((flow) => ({
    flow: flow * speed,
    pressure: speed ** 2 * pressureAt(flow),
    power: speed ** exponent * (30 + 100 * flow),
  }));

const document = (curve: object, more: object = {}): Document =>
  ({
    nodes: [
      { id: "o", kind: "outdoors", entry: 0.5, exit: 1 },
      { id: "p", kind: "outdoors", entry: 0.5, exit: 1 },
      { id: "f", kind: "fan", curve: { pressureKind: "total", ...curve }, ...more },
    ],
    ducts: [
      bare("a", "o", "f.inlet", { length: 5, section: { diameter: 0.2 } }),
      bare("b", "f.outlet", "p", {
        length: 15,
        section: { diameter: 0.16 },
        fittings: [{ kind: "fixed", coefficient: 3 }],
      }),
    ],
  }) as unknown as Document;

const family = (exponent?: number): object => ({
  speeds: [0.4, 0.7, 1].map((speed) => ({ speed, points: points(speed, exponent) })),
});

test("curves at several speeds that keep the fan laws are the one curve at any speed", () => {
  for (const speed of [0.3, 0.5, 0.7, 0.85, 1]) {
    const several = solved(document(family(), { speed })).fans.f;
    const one = solved(document({ points: points(1) }, { speed })).fans.f;
    expect(several.flow).toBeCloseTo(one.flow, 9);
    expect(several.power).toBeCloseTo(one.power as number, 6);
  }
});

test("power between given speeds follows what was given, not the cube of the speed", () => {
  const { flow, power = 0 } = solved(document(family(2.2), { speed: 0.55 })).fans.f;
  expect(power).toBeCloseTo(0.55 ** 2.2 * (30 + (100 * flow) / 0.55), 6);
});

test("a fan with curves at several speeds is controlled as any other", () => {
  const found = solved(document(family(2.2), { control: { kind: "flow", flow: "60 l/s" } }));
  const again = solved(document(family(2.2), { speed: found.fans.f.speed }));
  expect(found.fans.f.flow).toBeCloseTo(0.06, 9);
  expect(again.fans.f.flow).toBeCloseTo(0.06, 8);
});

/** The same fan with its speeds in a unit of its own. */
const inUnit = (unit: number): object => ({
  speeds: [0.4, 0.7, 1].map((speed) => ({ speed: speed * unit, points: points(speed, 2.2) })),
});

test("in whatever unit a family has its speeds, a fan runs at the fastest and is controlled down to a tenth of it", () => {
  const plain = solved(document(family(2.2))).fans.f;
  fc.assert(
    fc.property(numberWithin(-3, 5), fc.constantFrom(0.001, 0.03, 0.06, 0.5), (power, flow) => {
      const unit = 10 ** power;
      const given = document(inUnit(unit));
      const network = parseNetwork({ format: "ductgraph/1", ...given });
      expect(network.nodes[2]).toMatchObject({ speed: unit });
      expect(solved(given).fans.f.flow).toBeCloseTo(plain.flow, 9);

      const control = { kind: "flow", flow };
      const controlled = parseNetwork({ format: "ductgraph/1", ...document(inUnit(unit), { control }) });
      expect(controlled.nodes[2]).toMatchObject({ speed: unit, control: { minSpeed: 0.1 * unit, maxSpeed: unit } });
      expect(parseNetwork(structuredClone(controlled))).toEqual(controlled);
      const found = solved(document(inUnit(unit), { control })).fans.f;
      const alone = solved(document(family(2.2), { control })).fans.f;
      expect(found.speed / unit).toBeCloseTo(alone.speed, 9);
      expect(solved(document(inUnit(unit), { speed: found.speed })).fans.f.flow).toBeCloseTo(found.flow, 8);
    }),
    { numRuns: 20 },
  );
});

test("any speed between the limits of a controller may be given as a fixed one", () => {
  const curve = inUnit(3000);
  fc.assert(
    fc.property(
      fc.double({ min: 10, max: 20_000, noNaN: true }),
      fc.double({ min: 1, max: 3, noNaN: true }),
      (low, up) => {
        const control = { kind: "flow", flow: 0.05, minSpeed: low, maxSpeed: low * up * 1.01 };
        if (codesOf(document(curve, { control })).length > 0) return;
        for (const speed of [control.minSpeed, control.maxSpeed])
          expect(codesOf(document(curve, { speed }))).toEqual([]);
      },
    ),
  );
});

test("limits of a controller that are in another unit than the curves are told", () => {
  const faults = (control: object): unknown[] =>
    checkNetwork({
      format: "ductgraph/1",
      ...document(inUnit(3000), { control: { kind: "flow", flow: 0.05, ...control } }),
    }).problems.map(({ code, path }) => [code, path]);
  expect(faults({ minSpeed: 0.1, maxSpeed: 1 })).toEqual([
    ["fan.speed-far", "nodes.2.control.minSpeed"],
    ["fan.speed-far", "nodes.2.control.maxSpeed"],
  ]);
  expect(faults({ minSpeed: 300 })).toEqual([]);
  // 50 1/s is 3000 1/min
  expect(faults({ minSpeed: 5, maxSpeed: 50 })).toHaveLength(2);
});

test("a speed of one curve in percent or in 1/min is told, whatever form the curve has and wherever it stands", () => {
  const line = { pressureKind: "total", points: points(1) };
  const parabola = { pressureKind: "total", coefficients: [300, 0, -6000], from: 0, to: 0.2 };
  for (const curve of [line, parabola]) {
    const faults = (fan: object): unknown[] =>
      checkNetwork({ format: "ductgraph/1", ...document(curve, fan) }).problems.map(({ code, path }) => [code, path]);
    for (const speed of [85, 1450, 5.01, 0.049])
      expect(faults({ speed })).toEqual([["fan.speed-far", "nodes.2.speed"]]);
    for (const speed of [0.05, 0.85, 5]) expect(faults({ speed })).toEqual([]);
    const control = { kind: "flow", flow: 0.05 };
    expect(faults({ control: { ...control, maxSpeed: 100 } })).toEqual([["fan.speed-far", "nodes.2.control.maxSpeed"]]);
    expect(faults({ control: { ...control, minSpeed: 0.01 } })).toEqual([
      ["fan.speed-far", "nodes.2.control.minSpeed"],
    ]);
    expect(faults({ speed: 85, control: { ...control, minSpeed: 30, maxSpeed: 100 } })).toHaveLength(3);
    expect(faults({ control: { ...control, minSpeed: 0.05, maxSpeed: 5 } })).toEqual([]);
  }
  const [problem] = checkNetwork({ format: "ductgraph/1", ...document(line, { speed: 85 }) }).problems;
  expect(problem.expected).toBe("0.05 to 5, counted from the curve's own speed, which is 1: 0.85 for 85 %");
  const speed = compileNetwork({ format: "ductgraph/1", ...document(line) } as NetworkDocument).parameter(
    "fans.f.speed",
  );
  expect(() => {
    speed.value = 85;
  }).toThrow(/counted from the curve's own speed/);
});

test("a speed that was left out is a parameter as one that was given is", () => {
  const left = compileNetwork({ format: "ductgraph/1", ...document(inUnit(3000)) } as NetworkDocument);
  const speed = left.parameter("fans.f.speed");
  expect(speed.initial).toBe(3000);
  expect(() => {
    speed.value = 0.8;
  }).toThrow(/speed in the unit of the curves/);
  speed.value = 2400;
  left.update({ start: "document" });
  expect(left.output("fans.f.flow").value).toBeCloseTo(solved(document(inUnit(3000), { speed: 2400 })).fans.f.flow, 9);
});

test("an answer rests on the fan laws between the curves of a family, not on one of them", () => {
  const laws = (speed: number): number => {
    const network = parseNetwork({ format: "ductgraph/1", ...document(inUnit(3000), { speed }) });
    return sources(network, solveNetwork(network)).filter(({ of }) => of.includes("fans.f.speed")).length;
  };
  expect([1200, 1500, 2100, 3000].map(laws)).toEqual([0, 1, 0, 0]);
});

test("a speed between curves that are far off the fan laws warns, with their speeds and by how much; that of a curve does not", () => {
  const off = (share: number): FanFamily => ({
    pressureKind: "total",
    speeds: [1500, 3000].map((speed) => ({
      speed,
      points: [0, 0.05, 0.1, 0.15, 0.2].map((flow) => ({
        flow: (flow * speed) / 3000,
        pressure: (speed / 3000) ** 2 * pressureAt(flow) * (speed < 3000 ? 1 - share : 1),
      })),
    })),
  });
  const warned = (share: number, fan: object): string[] =>
    solved(document(off(share), fan))
      .warnings.filter(({ code }) => code === "fan.off-laws")
      .map(({ path, message }) => `${path} ${message}`);
  const [{ pressure }] = familyDeviation(off(0.2));
  expect(pressure).toBeCloseTo(-0.2, 9);
  const [told] = warned(0.2, { speed: 2200 });
  expect(told).toMatch(/^fans\.f\.speed fan 'f' runs at speed 2200, .* 1500 and 3000: .* 20 % .* below .* 0 l\/s/);
  for (const speed of [1400, 3100]) expect(warned(0.2, { speed })).toHaveLength(1);
  expect(warned(0.2, { control: { kind: "flow", flow: 0.1 } })).toHaveLength(1);
  for (const speed of [1500, 3000]) expect(warned(0.2, { speed })).toEqual([]);
  expect(warned(0.14, { speed: 2200 })).toEqual([]);
});

test("a parabola by its coefficients runs where its points run", () => {
  const dense = Array.from({ length: 21 }, (_, i) => ({ flow: i / 100, pressure: pressureAt(i / 100) }));
  const byCoefficients = solved(document({ coefficients: [300, 0, -6000], from: 0, to: 0.2 })).fans.f;
  expect(byCoefficients.flow).toBeCloseTo(solved(document({ points: dense })).fans.f.flow, 6);
});

test("faults of curves at several speeds name their place", () => {
  const [low, high] = [points(0.4), points(1)];
  expect(
    codesOf(
      document({
        speeds: [
          { speed: 1, points: high },
          { speed: 0.4, points: low },
        ],
      }),
    ),
  ).toContain("curve.speed-not-rising");
  expect(
    codesOf(
      document(
        {
          speeds: [
            { speed: 900, points: low },
            { speed: 2000, points: high },
          ],
        },
        { speed: 1 },
      ),
    ),
  ).toContain("fan.speed-far");
  expect(codesOf(document({ coefficients: [300, 0, 6000], from: 0, to: 0.2 }))).toEqual(["curve.rising-end"]);
});

test("a polynomial has two to nine coefficients, that of power one to nine", () => {
  const ten = new Array(10).fill(-1);
  expect(codesOf(document({ coefficients: [300], from: 0, to: 0.2 }))).toEqual(["list.short"]);
  expect(codesOf(document({ coefficients: ten, from: 0, to: 0.2 }))).toEqual(["list.long"]);
  expect(codesOf(document({ coefficients: [300, -1], powerCoefficients: ten, from: 0, to: 0.2 }))).toEqual([
    "list.long",
  ]);
});

test("a polynomial holds from no flow below 0", () => {
  const from = (flow: number): string[] => codesOf(document({ coefficients: [300, 0, -6000], from: flow, to: 0.2 }));
  expect(from(0)).toEqual([]);
  expect(from(-0.01)).toEqual(["value.range"]);
});
