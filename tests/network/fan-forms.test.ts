import { expect, test } from "vitest";
import { checkNetwork, type NetworkDocument } from "../../src/index.js";
import { bare, solved } from "../helpers/documents.js";

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
      document({
        speeds: [
          { speed: 900, points: low },
          { speed: 2000, points: high },
        ],
      }),
    ),
  ).toContain("fan.speed-far");
  expect(codesOf(document({ coefficients: [300, 0, 6000], from: 0, to: 0.2 }))).toEqual(["curve.rising-end"]);
});
