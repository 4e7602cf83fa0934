import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { bare, solved } from "../../helpers/documents.js";

/*
 * Fans together, against closed forms. Every fan is the straight line p = p₀ − s·q, every loss k·q² (a rating), so that
 * the flow is the root of a quadratic; one air of 1.2 kg/m³.
 */

const [p0, slope] = [200, 1000];
const curve = {
  pressureKind: "total" as const,
  points: [
    { flow: 0, pressure: p0 },
    { flow: 0.2, pressure: 0 },
  ],
};
const out = (id: string) => ({ id, kind: "outdoors" as const, entry: 0, exit: 0 });
const fan = (id: string, more: object = {}) => ({ id, kind: "fan" as const, curve, ...more });
const junction = (id: string) => ({ id, kind: "junction" as const });
/** A duct that loses `pressure` at 0.1 m³/s, by the square of flow. */
const losing = (id: string, from: string, to: string, pressure: number) =>
  bare(id, from, to, { fittings: [{ kind: "rating", pressure, flow: 0.1 }] });
const numbered = <T>(count: number, one: (i: number) => T): T[] => Array.from({ length: count }, (_, i) => one(i));

/** The positive root of a = b·q + k·q². */
const rootOf = (a: number, b: number, k: number): number => (2 * a) / (b + Math.sqrt(b * b + 4 * k * a));

const counts = fc.integer({ min: 1, max: 5 });
const losses = fc.integer({ min: 5, max: 300 });
const near = (value: number, expected: number): void => {
  expect(Math.abs(value / expected - 1)).toBeLessThan(1e-9);
};

describe("equal fans against one quadratic loss", () => {
  test("n in parallel: p₀ − s·q = k·(n·q)² for each", () => {
    fc.assert(
      fc.property(counts, losses, (n, loss) => {
        const { fans, ducts } = solved({
          nodes: [out("in"), junction("s"), ...numbered(n, (i) => fan(`f${i}`)), junction("e"), out("out")],
          ducts: [
            losing("a", "in", "s", 0.4 * loss),
            ...numbered(n, (i) => bare(`b${i}`, "s", `f${i}.inlet`)),
            ...numbered(n, (i) => bare(`c${i}`, `f${i}.outlet`, "e")),
            losing("d", "e", "out", 0.6 * loss),
          ],
        });
        const q = rootOf(p0, slope, 100 * loss * n * n);
        for (let i = 0; i < n; i++) near(fans[`f${i}`].flow, q);
        near(ducts.d.flow, n * q);
      }),
      { numRuns: 20 },
    );
  });

  test("n in series: n·(p₀ − s·q) = k·q²; two in series give more than two side by side against a steep loss, and less against a slight one", () => {
    const inSeries = (n: number, loss: number) =>
      solved({
        nodes: [out("in"), ...numbered(n, (i) => fan(`f${i}`)), out("out")],
        ducts: [
          losing("a", "in", "f0.inlet", 0.4 * loss),
          ...numbered(n - 1, (i) => bare(`b${i}`, `f${i}.outlet`, `f${i + 1}.inlet`)),
          losing("d", `f${n - 1}.outlet`, "out", 0.6 * loss),
        ],
      }).fans;
    fc.assert(
      fc.property(counts, losses, (n, loss) => {
        const fans = inSeries(n, loss);
        const q = rootOf(n * p0, n * slope, 100 * loss);
        for (let i = 0; i < n; i++) near(fans[`f${i}`].flow, q);
      }),
      { numRuns: 20 },
    );
    const besides = (loss: number) => 2 * rootOf(p0, slope, 400 * loss);
    expect(inSeries(2, 300).f0.flow).toBeGreaterThan(besides(300));
    expect(inSeries(2, 5).f0.flow).toBeLessThan(besides(5));
  });
});

describe("a booster fan in one of two branches", () => {
  test("takes air from the other branch: the answer is that of the three laws, by bisection", () => {
    const [main, boosted, plain] = [100 * 30, 100 * 250, 100 * 100];
    const network = (speed: number) =>
      solved({
        nodes: [out("in"), fan("f"), junction("s"), fan("booster", { speed }), out("far"), out("near")],
        ducts: [
          losing("a", "in", "f.inlet", 30),
          bare("b", "f.outlet", "s"),
          losing("c", "s", "booster.inlet", 250),
          bare("d", "booster.outlet", "far"),
          losing("e", "s", "near", 100),
        ],
      });
    // The pressure at the branching, from which both branches follow.
    const flows = (pressure: number, speed: number) => [
      rootOf(pressure + speed * speed * p0, speed * slope, boosted),
      Math.sqrt(pressure / plain),
    ];
    const expected = (speed: number) => {
      let [low, high] = [0, p0];
      for (let i = 0; i < 200; i++) {
        const middle = (low + high) / 2;
        const q = flows(middle, speed)[0] + flows(middle, speed)[1];
        if (p0 - slope * q - main * q * q > middle) low = middle;
        else high = middle;
      }
      return flows(low, speed);
    };
    for (const speed of [0.3, 0.6, 1]) {
      const { ducts } = network(speed);
      const [far, close] = expected(speed);
      near(ducts.d.flow, far);
      near(ducts.e.flow, close);
    }
    expect(network(1).ducts.d.flow).toBeGreaterThan(network(0.3).ducts.d.flow);
    expect(network(1).ducts.e.flow).toBeLessThan(network(0.3).ducts.e.flow);
  });
});

describe("one central fan for several dwellings", () => {
  const house = (dwellings: number, flat: number) =>
    solved({
      nodes: [...numbered(dwellings, (i) => out(`home${i}`)), junction("shaft"), fan("f"), out("roof")],
      ducts: [
        ...numbered(dwellings, (i) => losing(`d${i}`, `home${i}`, "shaft", flat)),
        losing("riser", "shaft", "f.inlet", 40),
        bare("e", "f.outlet", "roof"),
      ],
    });

  test("m equal dwellings share its flow alike: p₀ − s·m·q = k·(m·q)² + k_dwelling·q²", () => {
    fc.assert(
      fc.property(counts, losses, (m, loss) => {
        const { ducts } = house(m, loss);
        const q = rootOf(p0, slope * m, 100 * (40 * m * m + loss));
        for (let i = 0; i < m; i++) near(ducts[`d${i}`].flow, q);
      }),
      { numRuns: 20 },
    );
  });

  test("where one dwelling shuts its valve the others get more air, the fan less", () => {
    const [all, without] = [house(4, 200), house(3, 200)];
    expect(without.ducts.d0.flow).toBeGreaterThan(all.ducts.d0.flow);
    expect(without.fans.f.flow).toBeLessThan(all.fans.f.flow);
  });
});

describe("a fan that stands still", () => {
  const still = (id: string) => fan(id, { speed: 0, stopped: { pressure: 50, flow: 0.1 } });

  test("in series loses its rating: p₀ − s·q = (k + k_stopped)·q²", () => {
    const { fans } = solved({
      nodes: [out("in"), fan("f"), still("g"), out("out")],
      ducts: [losing("a", "in", "f.inlet", 80), bare("b", "f.outlet", "g.inlet"), bare("c", "g.outlet", "out")],
    });
    const q = rootOf(p0, slope, 100 * (80 + 50));
    near(fans.f.flow, q);
    near(fans.g.totalPressure, -100 * 50 * q * q);
  });

  test("side by side lets air back to the running one: the ring and the system lie in parallel", () => {
    const { ducts, fans } = solved({
      nodes: [out("in"), junction("s"), fan("f"), still("g"), junction("e"), out("out")],
      ducts: [
        bare("a", "in", "s"),
        bare("b", "s", "f.inlet"),
        bare("c", "s", "g.inlet"),
        bare("d", "f.outlet", "e"),
        bare("h", "g.outlet", "e"),
        losing("i", "e", "out", 80),
      ],
    });
    // Quadratic losses in parallel: 1/√k adds.
    const k = 100 / (1 / Math.sqrt(80) + 1 / Math.sqrt(50)) ** 2;
    const q = rootOf(p0, slope, k);
    near(fans.f.flow, q);
    near(ducts.i.flow, Math.sqrt((k * q * q) / 8000));
    near(-fans.g.flow, Math.sqrt((k * q * q) / 5000));
  });
});

describe("speed in a network of quadratic losses and one air", () => {
  test("half the speed of all fans gives half of every flow, a quarter of every pressure, an eighth of the air power", () => {
    const at = (speed: number) =>
      solved({
        nodes: [out("in"), fan("f", { speed }), junction("s"), fan("g", { speed: 0.8 * speed }), out("o"), out("p")],
        ducts: [
          losing("a", "in", "f.inlet", 35),
          bare("b", "f.outlet", "s", { frictionFactor: 0.02, length: 12 }),
          losing("c", "s", "g.inlet", 70),
          bare("d", "g.outlet", "o"),
          losing("e", "s", "p", 90),
        ],
      });
    const [full, half] = [at(1), at(0.5)];
    for (const id in full.ducts) near(half.ducts[id].flow, full.ducts[id].flow / 2);
    for (const id of ["f", "g"]) {
      near(half.fans[id].totalPressure, full.fans[id].totalPressure / 4);
      near(half.fans[id].airPower, full.fans[id].airPower / 8);
    }
  });
});
